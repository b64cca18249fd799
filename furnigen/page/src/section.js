// A plane that cuts the piece open. What is cut is capped by the stencil and outlined by the cut triangles themselves.

import {
  AlwaysStencilFunc, BackSide, BufferAttribute, BufferGeometry, CanvasTexture, DecrementWrapStencilOp, DoubleSide,
  FrontSide, Group, IncrementWrapStencilOp, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, NotEqualStencilFunc,
  Plane, PlaneGeometry, RepeatWrapping, ReplaceStencilOp, Vector3,
} from "three";

/** The ways a plane may lie across, as the normal of what is kept. */
const ACROSS = { width: [-1, 0, 0], depth: [0, 0, -1], height: [0, -1, 0] };
const OFF_FACE = 1.3e-5; // a plane just in a face would cut nothing there

export class Section {
  /** @param {import("./stage.js").Stage} stage */
  constructor(stage) {
    this.stage = stage;
    this.plane = null;
    this.group = new Group();
    stage.scene.add(this.group);
    this.hatches = [1, -1].map(hatch);
  }

  /**
   * @param {string} across "width", "depth", "height", or "" for none
   * @param {number} share where, 0 to 1 of the piece
   * @param {boolean} other whether the other side is kept
   */
  set(across, share, other) {
    const { stage } = this;
    this.clear();
    this.plane = null;
    if (ACROSS[across]) {
      const normal = new Vector3(...ACROSS[across]);
      const { min, max } = stage.bounds;
      const at = new Vector3().lerpVectors(min, max, across === "depth" ? 1 - share : share);
      if (other) normal.negate();
      this.plane = new Plane(normal, -normal.dot(at) + OFF_FACE);
    }
    const clipped = this.plane ? [this.plane] : null;
    let number = 0;
    for (const part of stage.parts.values()) {
      for (const one of [part.mesh, part.edge]) {
        one.material.clippingPlanes = clipped;
        one.material.needsUpdate = true;
      }
      part.mesh.renderOrder = 0;
      if (this.plane && part.mesh.visible) this.cap(part, number++);
    }
    stage.draw();
  }

  /** Take the caps away. */
  clear() {
    for (const one of this.group.children) {
      one.material.dispose();
      if (one.userData.own) one.geometry.dispose();
    }
    this.group.clear();
  }

  /** The cut face of one part: where its back is seen more often than its front, the plane lies within it. */
  cap(part, number) {
    const outline = cutLines(part.mesh, this.plane);
    if (!outline) return;
    const order = 2 + number * 2;
    for (const [side, op] of [[BackSide, IncrementWrapStencilOp], [FrontSide, DecrementWrapStencilOp]]) {
      const material = new MeshBasicMaterial({
        side, colorWrite: false, depthWrite: false, depthTest: false, clippingPlanes: [this.plane], stencilWrite: true,
        stencilFunc: AlwaysStencilFunc, stencilFail: op, stencilZFail: op, stencilZPass: op,
      });
      const mesh = new Mesh(part.mesh.geometry, material);
      mesh.position.copy(part.mesh.position);
      mesh.quaternion.copy(part.mesh.quaternion);
      mesh.renderOrder = order;
      this.group.add(mesh);
    }
    const size = this.stage.sphere.radius * 6;
    const map = this.hatches[number % 2];
    map.repeat.set(size / 0.012, size / 0.012);
    const cap = new Mesh(new PlaneGeometry(size, size), new MeshBasicMaterial({
      color: part.colour.clone().lerp(WHITE, 0.35), map, side: DoubleSide, stencilWrite: true, stencilRef: 0,
      stencilFunc: NotEqualStencilFunc, stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp,
      stencilZPass: ReplaceStencilOp,
    }));
    this.plane.coplanarPoint(cap.position);
    cap.position.add(this.plane.projectPoint(this.stage.sphere.center, new Vector3()).sub(cap.position));
    cap.lookAt(cap.position.clone().sub(this.plane.normal));
    cap.renderOrder = order + 1;
    cap.userData.own = true;
    cap.onAfterRender = renderer => renderer.clearStencil();
    const line = new LineSegments(outline, new LineBasicMaterial({ color: 0x101416 }));
    line.renderOrder = order + 1;
    line.userData.own = true;
    this.group.add(cap, line);
  }
}

const WHITE = { r: 1, g: 1, b: 1 };

/** Slanting lines to be laid on a cut face, as a drawing has them. */
function hatch(lean) {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 64;
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, 64, 64);
  pen.strokeStyle = "#6b6258";
  pen.lineWidth = 7;
  pen.beginPath();
  for (const shift of [-64, 0, 64]) {
    pen.moveTo(shift - 8, lean > 0 ? 72 : -8);
    pen.lineTo(shift + 72, lean > 0 ? -8 : 72);
  }
  pen.stroke();
  const map = new CanvasTexture(canvas);
  map.wrapS = map.wrapT = RepeatWrapping;
  return map;
}

/** Where a plane cuts the triangles of a mesh, as segments of the scene; null where it misses it. */
function cutLines(mesh, plane) {
  mesh.updateMatrixWorld();
  const { position } = mesh.geometry.attributes, { index } = mesh.geometry;
  const corners = Array.from({ length: position.count }, (_, i) =>
    new Vector3().fromBufferAttribute(position, i).applyMatrix4(mesh.matrixWorld));
  const heights = corners.map(c => plane.distanceToPoint(c));
  const ends = [];
  for (let i = 0; i < index.count; i += 3) {
    const face = [index.getX(i), index.getX(i + 1), index.getX(i + 2)];
    for (let k = 0; k < 3; k++) {
      const a = face[k], b = face[(k + 1) % 3];
      if (heights[a] > 0 === heights[b] > 0) continue;
      const on = corners[a].clone().lerp(corners[b], heights[a] / (heights[a] - heights[b]));
      ends.push(on.x, on.y, on.z);
    }
  }
  if (!ends.length) return null;
  const lines = new BufferGeometry();
  lines.setAttribute("position", new BufferAttribute(new Float32Array(ends), 3));
  return lines;
}
