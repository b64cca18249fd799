// The scene: parts, light, camera. Draws when something changed, never by itself.

import {
  Box3, Color, DirectionalLight, EdgesGeometry, Group, HemisphereLight, LineBasicMaterial, LineSegments, Mesh,
  MeshStandardMaterial, PerspectiveCamera, Scene, Sphere, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";

const SHARPEST = 2; // device pixels a CSS pixel: more cannot be told apart
const EDGE_DEG = 20;
const WIDE_DEG = 32, NARROW_DEG = 1.5; // of the lens: as an eye sees it, and so far off that what is parallel stays so
const FREE = 1.08; // how much farther off than what just fits
const ROOM = 4; // kept in front of and behind the piece, in its radii, and for what stands beside it, in metres
/** Where the camera stands for each standard view: to the right, up, towards the front. */
export const VIEWS = {
  corner: [-0.62, 0.42, 1], front: [0, 0, 1], right: [1, 0, 0], left: [-1, 0, 0], top: [0, 1, 1e-4], back: [0, 0, -1],
  below: [0, -1, 1e-4],
};

export class Stage {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, stencil: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.setPixelRatio(Math.min(globalThis.devicePixelRatio || 1, SHARPEST));
    this.renderer.autoClearStencil = true;
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(WIDE_DEG, 1, 0.01, 200);
    this.root = new Group();
    this.scene.add(this.root, new HemisphereLight(0xffffff, 0x8a8578, 1.5));
    const sun = new DirectionalLight(0xffffff, 1.9);
    sun.position.set(-0.5, 0.9, 0.8);
    this.camera.add(sun);
    this.scene.add(this.camera);
    Object.assign(this, { edges: [], beside: [], before: [], parts: new Map(), bounds: new Box3() });
    this.sphere = this.held = new Sphere(new Vector3(), 1);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.addEventListener("change", () => this.draw());
    new ResizeObserver(() => this.fit()).observe(canvas.parentElement);
    this.fit();
  }

  /**
   * Put a piece in the scene, in place of the one before.
   * @param {ReturnType<import("./glb.js").readGlb>} copies
   */
  load(copies) {
    for (const { mesh, edge } of this.parts.values()) {
      for (const one of [mesh, edge]) {
        one.geometry.dispose();
        one.material.dispose();
      }
    }
    this.root.clear();
    this.edges = [];
    this.parts = new Map(copies.map(copy => [copy.label, this.add(copy)]));
    this.bounds = new Box3().setFromObject(this.root);
    this.sphere = this.bounds.getBoundingSphere(new Sphere());
    this.reach();
  }

  /** How near and how far the camera may go. */
  reach() {
    const lens = tangent(WIDE_DEG) / tangent(this.camera.fov);
    this.controls.minDistance = this.sphere.radius * 0.05 * lens;
    this.controls.maxDistance = this.sphere.radius * 20 * lens;
  }

  /** See it as an eye does, or in parallel as a drawing shows it; what is looked at stays as large as it was. */
  lens(parallel) {
    const { camera, controls } = this, fov = parallel ? NARROW_DEG : WIDE_DEG;
    const arm = camera.position.clone().sub(controls.target).multiplyScalar(tangent(camera.fov) / tangent(fov));
    camera.fov = fov;
    camera.updateProjectionMatrix();
    this.reach();
    camera.position.copy(controls.target).add(arm);
    controls.update();
    this.draw();
  }

  add({ label, geometry, colour, turn, shift }) {
    const material = new MeshStandardMaterial({
      color: colour, roughness: 0.75, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    });
    const mesh = new Mesh(geometry, material);
    mesh.name = label;
    mesh.quaternion.copy(turn);
    mesh.position.copy(shift);
    geometry.userData.edges ||= new EdgesGeometry(geometry, EDGE_DEG);
    const edge = new LineSegments(geometry.userData.edges, new LineBasicMaterial({ color: 0x1a2022 }));
    edge.raycast = () => {};
    mesh.add(edge);
    this.edges.push(edge);
    this.root.add(mesh);
    return { label, mesh, edge, colour: new Color(colour), home: shift.clone(), offset: new Vector3(), hidden: false };
  }

  /** Move the camera to a standard view, so that all of the piece is seen. */
  look(name) {
    this.last = name;
    const { camera, controls } = this, box = this.standing();
    this.held = box.getBoundingSphere(new Sphere());
    box.getCenter(controls.target);
    const back = new Vector3(...VIEWS[name]).normalize();
    camera.position.copy(controls.target).add(back);
    camera.lookAt(controls.target);
    const up = tangent(camera.fov), across = up * camera.aspect;
    const turn = camera.quaternion.clone().invert();
    const far = Math.max(...corners(box).map(corner => {
      const { x, y, z } = corner.sub(controls.target).applyQuaternion(turn);
      return z + Math.max(Math.abs(x) / across, Math.abs(y) / up);
    }));
    camera.position.copy(controls.target).addScaledVector(back, far * FREE);
    controls.update();
    this.draw();
  }

  /** Step back, or nearer, as what stands in the scene has grown or shrunk since this or `look` was last asked. */
  follow() {
    const sphere = this.standing().getBoundingSphere(new Sphere()), { held, camera, controls } = this;
    const arm = camera.position.clone().sub(controls.target).multiplyScalar(sphere.radius / held.radius);
    controls.target.add(sphere.center).sub(held.center);
    camera.position.copy(controls.target).add(arm);
    this.held = sphere;
    controls.update();
    this.draw();
  }

  /** The box around what stands in the scene now. */
  standing() {
    const all = new Box3();
    for (const { mesh, hidden } of this.parts.values()) if (!hidden) all.expandByObject(mesh);
    for (const one of this.beside) if (one.visible) all.expandByObject(one);
    return all.isEmpty() ? this.bounds.clone() : all;
  }

  /** Turn by angles, or shift by shares of the distance, or come nearer by a factor: for the keyboard. */
  steer({ turn = 0, tilt = 0, right = 0, up = 0, nearer = 1 }) {
    const { target } = this.controls;
    const arm = this.camera.position.clone().sub(target);
    if (turn || tilt) {
      const r = arm.length(), azimuth = Math.atan2(arm.x, arm.z) + turn;
      const polar = Math.min(Math.PI - 1e-3, Math.max(1e-3, Math.acos(arm.y / r) + tilt));
      arm.setFromSphericalCoords(r, polar, azimuth);
    }
    if (right || up) {
      const shift = new Vector3(right, up, 0).multiplyScalar(arm.length()).applyQuaternion(this.camera.quaternion);
      target.add(shift);
    }
    this.camera.position.copy(target).addScaledVector(arm, nearer);
    this.controls.update();
    this.draw();
  }

  fit() {
    const { clientWidth, clientHeight } = this.canvas.parentElement;
    if (!clientWidth || !clientHeight) return;
    this.renderer.setSize(clientWidth, clientHeight, false);
    this.camera.aspect = clientWidth / clientHeight;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Draw once, with the next picture of the screen. */
  draw() {
    this.waiting ||= requestAnimationFrame(() => this.drawNow());
  }

  drawNow() {
    this.waiting = 0;
    const far = this.camera.position.distanceTo(this.sphere.center), room = ROOM * (this.held.radius + 1);
    this.camera.near = Math.max(0.01, far - room);
    this.camera.far = far + room;
    this.camera.updateProjectionMatrix();
    for (const step of this.before) step();
    this.renderer.render(this.scene, this.camera);
  }

  /** The view as a picture, for printing. */
  picture() {
    this.drawNow();
    return this.canvas.toDataURL("image/png");
  }

  /** Put every part where its offset says. */
  place() {
    for (const part of this.parts.values()) part.mesh.position.copy(part.home).add(part.offset);
    this.draw();
  }
}

/** Of half an angle in degrees. */
function tangent(degrees) {
  return Math.tan((degrees / 2) * (Math.PI / 180));
}

function corners({ min, max }) {
  return [0, 1, 2, 3, 4, 5, 6, 7].map(k =>
    new Vector3(k & 1 ? max.x : min.x, k & 2 ? max.y : min.y, k & 4 ? max.z : min.z));
}
