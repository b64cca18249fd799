// A person and a wall beside the piece, so that its size is felt.

import { DoubleSide, EdgesGeometry, Group, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, PlaneGeometry,
  Shape, ShapeGeometry, Vector3 } from "three";
import { direction, point } from "./frame.js";

const TONE = 0x7d8a8c;
// right half of a standing figure, in shares of its height from the middle of its feet
const HALF = [
  [0.012, 0], [0.085, 0], [0.08, 0.03], [0.062, 0.05], [0.072, 0.26], [0.09, 0.46], [0.088, 0.5], [0.13, 0.5], [0.142, 0.6],
  [0.138, 0.78], [0.11, 0.82], [0.04, 0.84], [0.034, 0.868], [0.056, 0.9], [0.062, 0.945], [0.045, 0.985], [0, 1],
];

/** A flat figure of a person, standing at the origin. */
export function person(height) {
  const right = HALF.map(([x, y]) => [x * height, y * height]);
  const left = right.slice(0, -1).reverse().map(([x, y]) => [-x, y]);
  const outline = [...right, ...left];
  const shape = new Shape();
  shape.moveTo(...outline[0]);
  for (const corner of outline.slice(1)) shape.lineTo(...corner);
  return flat(new ShapeGeometry(shape), 0.55);
}

function flat(geometry, opacity) {
  const group = new Group();
  const face = new Mesh(geometry, new MeshBasicMaterial({
    color: TONE, transparent: true, opacity, side: DoubleSide, depthWrite: false,
  }));
  group.add(face, new LineSegments(new EdgesGeometry(geometry), new LineBasicMaterial({ color: TONE })));
  return group;
}

/** A person at the right of the piece, half way to its back. */
export function personBeside(bounds, height) {
  const figure = person(height);
  figure.position.set(bounds.max.x + 0.4, 0, (bounds.min.z + bounds.max.z) / 2);
  return figure;
}

/**
 * The walls the piece is fixed to, else one behind it, each from the floor to well above it.
 * @param {{point: number[], normal: number[]}[]} walls in mm
 */
export function wallsBehind(bounds, walls) {
  const group = new Group();
  const given = walls.length
    ? walls.map(w => ({ at: point(w.point), normal: direction(w.normal) }))
    : [{ at: new Vector3(0, 0, bounds.min.z - 0.005), normal: new Vector3(0, 0, 1) }];
  const size = bounds.getSize(new Vector3()), middle = bounds.getCenter(new Vector3());
  const top = Math.max(bounds.max.y + 0.3, 2.4);
  for (const { at, normal } of given) {
    const sideways = Math.abs(normal.x) > Math.abs(normal.z);
    const wide = (sideways ? size.z : size.x) + 1.6;
    const wall = flat(new PlaneGeometry(wide, top), 0.22);
    wall.position.set(middle.x, top / 2, middle.z);
    wall.position.addScaledVector(normal, at.clone().sub(wall.position).dot(normal) - 0.002);
    wall.lookAt(wall.position.clone().add(normal));
    group.add(wall);
  }
  return group;
}
