// The order of assembly, played in the scene: each step brings its parts in along their proven way.

import { Vector3 } from "three";
import { direction } from "./frame.js";

const MOVE_MS = 900, REST_MS = 900;
const LEAST = 0.25; // of the size of the piece: what comes in is seen coming

/** Labels that stand in the picture of a step: of one subassembly while it is made up, else of the piece. */
export function standing(steps, number) {
  const { builds } = steps[number];
  return new Set(steps.slice(0, number + 1).filter(s => s.builds === builds).flatMap(s => s.parts));
}

export class Steps {
  /**
   * @param {import("./stage.js").Stage} stage
   * @param {(number: number) => void} shown is told which step is shown, -1 for none
   */
  constructor(stage, shown) {
    Object.assign(this, { stage, shown, steps: [], at: -1, playing: false, size: 0 });
  }

  /** The steps of a piece, in place of those before; none is shown. */
  load(steps) {
    cancelAnimationFrame(this.frame);
    clearTimeout(this.rest);
    Object.assign(this, { steps, at: -1, playing: false, size: this.stage.sphere.radius * 2 });
  }

  /** Show one step: from 0, or -1 for the whole piece. */
  go(number, { move = true } = {}) {
    cancelAnimationFrame(this.frame);
    clearTimeout(this.rest);
    this.at = Math.max(-1, Math.min(number, this.steps.length - 1));
    for (const part of this.stage.parts.values()) part.offset.set(0, 0, 0);
    this.shown(this.at);
    const step = this.steps[this.at];
    const still = !move || matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (step?.way && !still) this.bring(step);
    else this.arrived();
    this.stage.place();
  }

  bring(step) {
    const far = Math.max((step.travel || 0) / 1000, LEAST * this.size);
    const back = direction(step.way).normalize().multiplyScalar(-Math.min(far, this.size));
    const began = performance.now();
    const move = now => {
      const t = Math.min(1, Math.max(0, (now - began) / MOVE_MS)), left = (1 - t) ** 2;
      for (const label of step.parts) {
        this.stage.parts.get(label)?.offset.copy(new Vector3().addScaledVector(back, left));
      }
      this.stage.place();
      if (t < 1) this.frame = requestAnimationFrame(move);
      else this.arrived();
    };
    move(began);
  }

  arrived() {
    if (!this.playing) return;
    if (this.at >= this.steps.length - 1) this.play(false);
    else this.rest = setTimeout(() => this.go(this.at + 1), REST_MS);
  }

  /** Play on from here, from the start where all has been shown, or stop. */
  play(on = !this.playing) {
    this.playing = on;
    clearTimeout(this.rest);
    if (on) this.go(this.at >= this.steps.length - 1 ? 0 : this.at + 1);
    else this.shown(this.at);
  }
}
