// Variants that no other beats in one column without losing in the other; ties stay.
export function bestFront(list, x, y, lessX, lessY) {
  const sx = lessX ? 1 : -1, sy = lessY ? 1 : -1;
  const all = list.filter(r => (r.status === "pass" || r.status === "warn") &&
    typeof r.cells[x] === "number" && typeof r.cells[y] === "number");
  all.sort((a, b) => sx * (a.cells[x] - b.cells[x]) || sy * (a.cells[y] - b.cells[y]) || a.i - b.i);
  const front = [];
  let best = Infinity;
  for (let k = 0; k < all.length;) {
    const here = all[k].cells[x], value = sy * all[k].cells[y];
    const keep = value < best;
    for (; k < all.length && all[k].cells[x] === here; k++)
      if (keep && sy * all[k].cells[y] === value) front.push(all[k]);
    best = Math.min(best, value);
  }
  return front;
}
