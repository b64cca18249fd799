// How far and which way each part leaves when the piece is drawn apart: against the way it goes in.

import { Vector3 } from "three";
import { direction } from "./frame.js";

const APART = 0.16; // of the size of the piece, from one part to the next that it goes onto

/**
 * Offsets of all parts, for a piece that is fully drawn apart.
 *
 * The steps are followed as the piece is put together: what a step brings stands off from what it goes onto, against
 * the proven way, and beside it goes along with it.
 *
 * @param {{parts: string[], onto: string[], way: number[] | null}[]} steps
 * @param {number} size of the piece, in the units of the view
 * @returns {Map<string, Vector3>}
 */
export function offsets(steps, size) {
  const found = new Map();
  const of = label => found.get(label) || new Vector3();
  for (const { parts, onto, way } of steps) {
    if (!way) {
      continue;
    }
    const back = direction(way).normalize().negate();
    const mean = new Vector3();
    let along = 0;
    for (const label of onto) {
      mean.addScaledVector(of(label), 1 / onto.length);
      along = Math.max(along, of(label).dot(back));
    }
    const beside = mean.addScaledVector(back, -mean.dot(back));
    const shift = beside.addScaledVector(back, along + APART * size);
    for (const label of parts) found.set(label, of(label).clone().add(shift));
  }
  return found;
}
