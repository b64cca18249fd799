// Which parts are picked, lit, hidden or alone, and what that looks like.

import { Color, Raycaster, Vector2 } from "three";

const PICKED = new Color("#d2452a");
const INK = new Color(0x1a2022);
const FADED = 0.16;
const STILL_PX = 5; // a press that moves no further is a pick, else it turned the view

export class Selection {
  /**
   * @param {import("./stage.js").Stage} stage
   * @param {(labels: string[], by: string) => void} changed is told what is picked now, and by whom
   */
  constructor(stage, changed) {
    Object.assign(this, { stage, changed, labels: [], alone: null, inStep: null });
    this.ray = new Raycaster();
  }

  /** Pick some parts; none for an empty list. Labels that are no part are for others to show. */
  pick(labels, by = "view") {
    this.labels = labels;
    this.paint();
    this.changed(labels, by);
  }

  /** The next part that is seen, or the one before. */
  next(step) {
    const seen = [...this.stage.parts.values()].filter(p => p.mesh.visible).map(p => p.label);
    if (!seen.length) return;
    const at = seen.indexOf(this.labels[0]);
    this.pick([seen[at < 0 ? (step > 0 ? 0 : seen.length - 1) : (at + step + seen.length) % seen.length]]);
  }

  hide() {
    for (const label of this.labels) {
      const part = this.stage.parts.get(label);
      if (part) part.hidden = true;
    }
    this.pick([]);
  }

  isolate() {
    const parts = this.labels.filter(label => this.stage.parts.has(label));
    if (parts.length) this.alone = new Set(parts);
    this.paint();
  }

  all() {
    this.alone = null;
    for (const part of this.stage.parts.values()) part.hidden = false;
    this.paint();
  }

  /** Nothing picked, hidden or alone: for another piece. */
  reset() {
    Object.assign(this, { labels: [], alone: null, inStep: null });
    this.paint();
  }

  /** Show the parts of one step alone, its new ones lit; null for all. */
  step(standing, brought) {
    this.inStep = standing;
    this.labels = brought;
    this.paint();
  }

  paint() {
    const lit = new Set(this.labels.filter(label => this.stage.parts.has(label)));
    for (const part of this.stage.parts.values()) {
      const { mesh, edge, colour, label } = part;
      mesh.visible = !part.hidden && (!this.alone || this.alone.has(label)) && (!this.inStep || this.inStep.has(label));
      const on = lit.has(label), faded = lit.size > 0 && !on && !this.inStep;
      mesh.material.color.copy(colour);
      if (on) mesh.material.color.lerp(PICKED, 0.6);
      const change = mesh.material.transparent !== faded;
      mesh.material.transparent = edge.material.transparent = faded;
      mesh.material.opacity = faded ? FADED : 1;
      edge.material.opacity = faded ? FADED * 2 : 1;
      mesh.material.depthWrite = !faded;
      // what a step brings may come in behind: its edges are seen through what stands before it
      const through = on && this.inStep !== null;
      edge.material.depthTest = !through;
      edge.material.color.copy(through ? PICKED : INK);
      edge.renderOrder = through ? 1e5 : 0;
      if (change) mesh.material.needsUpdate = edge.material.needsUpdate = true;
    }
    this.stage.draw();
  }

  /** What lies under a place of the canvas: the label of a part, how far off, and the ray. */
  under(x, y, plane) {
    const box = this.stage.canvas.getBoundingClientRect();
    const at = new Vector2(((x - box.left) / box.width) * 2 - 1, 1 - ((y - box.top) / box.height) * 2);
    this.stage.camera.updateMatrixWorld();
    this.ray.setFromCamera(at, this.stage.camera);
    const seen = [...this.stage.parts.values()].filter(p => p.mesh.visible).map(p => p.mesh);
    const hit = this.ray.intersectObjects(seen, false).find(h => !plane || plane.distanceToPoint(h.point) >= 0);
    return { label: hit ? hit.object.name : "", far: hit ? hit.distance : Infinity, ray: this.ray.ray };
  }

  /** Pick by pressing, tell what is under the pointer by moving it. */
  listen(plane, hovered) {
    const { canvas } = this.stage;
    let down = null;
    canvas.addEventListener("pointerdown", e => {
      down = e.isPrimary ? [e.clientX, e.clientY] : null;
    });
    canvas.addEventListener("pointerup", e => {
      if (!down || Math.hypot(e.clientX - down[0], e.clientY - down[1]) > STILL_PX) return;
      const hit = this.under(e.clientX, e.clientY, plane());
      const { label } = hit;
      const more = e.shiftKey && label ? [...new Set([...this.labels, label])] : label ? [label] : [];
      this.pick(more);
      if (e.pointerType !== "mouse") hovered(hit); // a finger never hovers: what it presses tells the opening too
    });
    canvas.addEventListener("pointermove", e => {
      if (e.buttons || e.pointerType !== "mouse") return;
      hovered(this.under(e.clientX, e.clientY, plane()));
    });
    canvas.addEventListener("pointerleave", () => hovered(null));
  }
}
