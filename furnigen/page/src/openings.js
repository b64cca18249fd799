// Clear openings: their sizes drawn within them while the pointer or a row is on them.

import { BufferAttribute, BufferGeometry, Group, LineBasicMaterial, LineSegments, Vector3 } from "three";
import { box } from "./frame.js";

export class Openings {
  /**
   * @param {import("./stage.js").Stage} stage
   * @param {HTMLElement} labels where the sizes are written
   */
  constructor(stage, labels) {
    this.stage = stage;
    this.boxes = new Map();
    this.labels = labels;
    this.lines = new Group();
    this.lines.renderOrder = 1e6;
    this.marks = [];
    this.shown = "";
    stage.scene.add(this.lines);
    stage.before.push(() => this.follow());
  }

  /**
   * The openings of a piece, in place of those before.
   * @param {{label: string, lo: number[], hi: number[], sizes: string[]}[]} openings sizes as width, depth, height
   */
  load(openings) {
    this.show("");
    this.boxes = new Map(openings.map(o => [o.label, { ...o, box: box(o.lo, o.hi) }]));
  }

  /** The opening that a ray meets before a part, or "". */
  met(ray, before) {
    let best = "", near = before;
    for (const [label, { box: b }] of this.boxes) {
      const on = ray.intersectBox(b, new Vector3());
      const far = on ? on.distanceTo(ray.origin) : Infinity;
      if (far < near) [best, near] = [label, far];
    }
    return best;
  }

  /** Show the sizes of one opening, or of none. */
  show(label) {
    if (label === this.shown) return;
    this.shown = label;
    this.lines.clear();
    this.labels.replaceChildren();
    this.marks = [];
    const one = this.boxes.get(label);
    if (one) this.measure(one);
    this.stage.draw();
  }

  measure({ box: { min, max }, sizes }) {
    const middle = min.clone().add(max).multiplyScalar(0.5), front = max.z;
    const lines = [
      [new Vector3(min.x, middle.y, front), new Vector3(max.x, middle.y, front)],
      [new Vector3(max.x, min.y, min.z), new Vector3(max.x, min.y, max.z)],
      [new Vector3(middle.x, min.y, front), new Vector3(middle.x, max.y, front)],
    ];
    const ends = lines.flat().flatMap(p => p.toArray());
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(new Float32Array(ends), 3));
    const line = new LineSegments(geometry, new LineBasicMaterial({ color: 0xb5331f, depthTest: false }));
    line.renderOrder = 1e6;
    this.lines.add(line);
    this.marks = lines.map(([a, b], i) => {
      const mark = document.createElement("span");
      mark.textContent = sizes[i];
      this.labels.append(mark);
      return { mark, at: a.clone().lerp(b, i === 2 ? 0.78 : i === 0 ? 0.3 : 0.5) };
    });
  }

  /** Keep the figures at their lines. */
  follow() {
    const { clientWidth: w, clientHeight: h } = this.labels;
    for (const { mark, at } of this.marks) {
      const on = at.clone().project(this.stage.camera);
      mark.style.left = `${((on.x + 1) / 2) * w}px`;
      mark.style.top = `${((1 - on.y) / 2) * h}px`;
    }
  }
}
