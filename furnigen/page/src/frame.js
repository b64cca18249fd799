// The view is in metres with Y up; furnigen's numbers are millimetres with Z up and the front towards -Y.

import { Box3, Vector3 } from "three";

/** A point in mm as a point of the view. */
export function point([x, y, z]) {
  return new Vector3(x / 1000, z / 1000, -y / 1000);
}

/** A direction of the piece as one of the view. */
export function direction([x, y, z]) {
  return new Vector3(x, z, -y);
}

/** A box of the piece, by two corners in mm. */
export function box(lo, hi) {
  return new Box3().setFromPoints([point(lo), point(hi)]);
}
