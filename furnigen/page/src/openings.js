// Clear openings: their sizes drawn within them while the pointer or a row is on them.

import { BufferAttribute, BufferGeometry, Group, LineBasicMaterial, LineSegments, Vector3 } from "three";
import { box } from "./frame.js";

const LOW = 0.16; // of an opening, from its edge to a line that measures it
const END = 0.04; // of its least size, half the stroke across each end of a line

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
    this.follow();
    this.stage.draw();
  }

  measure({ box: { min, max }, sizes }) {
    const size = max.clone().sub(min), front = max.z;
    const low = min.y + size.y * LOW, left = min.x + size.x * LOW, right = max.x - size.x * LOW / 2;
    const lines = [
      [new Vector3(min.x, low, front), new Vector3(max.x, low, front)],
      [new Vector3(right, min.y, min.z), new Vector3(right, min.y, max.z)],
      [new Vector3(left, min.y, front), new Vector3(left, max.y, front)],
    ];
    const across = Math.min(size.x, size.y, size.z) * END;
    const ends = [[0, 1, 0], [1, 0, 0], [1, 0, 0]].flatMap((way, i) => lines[i].map(at => {
      const arm = new Vector3(...way).multiplyScalar(across);
      return [at.clone().add(arm), at.clone().sub(arm)];
    }));
    const points = [...lines, ...ends].flat().flatMap(p => p.toArray());
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
    const line = new LineSegments(geometry, new LineBasicMaterial({ color: 0xb5331f, depthTest: false }));
    line.renderOrder = 1e6;
    this.lines.add(line);
    this.marks = lines.map(([a, b], i) => {
      const mark = document.createElement("span");
      mark.textContent = sizes[i];
      this.labels.append(mark);
      return { mark, at: a.clone().lerp(b, 0.5) };
    });
  }

  /** Keep the figures at their lines, and off each other. */
  follow() {
    const { clientWidth: w, clientHeight: h } = this.labels;
    const placed = [];
    for (const { mark, at } of this.marks) {
      const on = at.clone().project(this.stage.camera);
      const one = { x: ((on.x + 1) / 2) * w, y: ((1 - on.y) / 2) * h, w: mark.offsetWidth, h: mark.offsetHeight };
      let way = 0; // once moved up or down, a figure goes on that way
      const meets = o => Math.abs(one.x - o.x) < (one.w + o.w) / 2 && Math.abs(one.y - o.y) < (one.h + o.h) / 2;
      for (let met = placed.find(meets); met; met = placed.find(meets)) {
        way ||= one.y < met.y ? -1 : 1;
        one.y = met.y + way * ((one.h + met.h) / 2 + 1);
      }
      placed.push(one);
      mark.style.left = `${one.x}px`;
      mark.style.top = `${one.y}px`;
    }
  }
}
