// The family: its columns and variants, and which of them are shown in which order.

import { $ } from "../dom.js";
import { holds, ordered } from "../order.js";

const data = JSON.parse($("data").textContent);
export const tables = data.tables;
export const columns = data.columns.map(([label, unit, number, given, less], i) => ({
  i, label, unit, number: !!number, given: !!given, less: !!less, head: unit ? label + " (" + unit + ")" : label,
}));
export const rows = data.rows.map(([name, status, reason, cells, files, picture], i) =>
  ({ i, name, status, reason, cells, files, picture }));
export const words = {
  pass: "passes", warn: "passes, with a warning", fail: "fails a check", refused: "can not be made",
  stopped: "stopped at a limit", crashed: "ended its worker",
};
export const statuses = Object.keys(words).filter(s => rows.some(r => r.status === s));
export const numbers = columns.filter(c => c.number);
export const pictured = rows.some(r => r.picture);
/** What is asked for: found, outcomes left out, values and spans by column, order, view, pages, the variant at hand. */
export const state = {
  find: "", off: new Set(), sets: new Map(), spans: new Map(), sort: -1, down: false, view: pictured ? "cards" : "rows",
  page: 1, at: -1,
};

export function shown(v) {
  if (v === null || v === undefined) return "\u2013";
  if (typeof v === "boolean") return v ? "yes" : "no";
  if (typeof v !== "number") return String(v);
  const a = Math.abs(v);
  const digits = Number.isInteger(v) ? 0 : a >= 1000 ? 1 : a >= 10 ? 2 : 3;
  return v.toLocaleString("en", { maximumFractionDigits: digits });
}

/** The address of a file of a variant. */
export function link(row, file) {
  return [row.name, ...file.split("/")].map(encodeURIComponent).join("/");
}

function filtered() {
  return rows.filter(r => {
    if (state.off.has(r.status)) return false;
    if (!holds(r.name + " " + r.reason, state.find)) return false;
    for (const [i, set] of state.sets) if (!set.has(String(r.cells[i]))) return false;
    for (const [i, [low, high]] of state.spans) {
      const v = r.cells[i];
      if (low === null && high === null) continue;
      if (typeof v !== "number" || (low !== null && v < low) || (high !== null && v > high)) return false;
    }
    return true;
  });
}

/** The variants to show, in their order. */
export function chosen() {
  const list = filtered(), { sort, down } = state;
  if (sort < 0) return down ? list.reverse() : list;
  return ordered(list, r => r.cells[sort], down);
}
