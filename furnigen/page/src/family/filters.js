// What is asked for: filters by outcome and column, and the order.

import { $, el } from "../dom.js";
import { mark } from "./list.js";
import { columns, rows, shown, state, statuses, words } from "./variants.js";

const FEW = 8; // values of a column that each get a box

/** Offer columns in a selection. */
export function choose(select, list, value) {
  select.replaceChildren(...list.map(c => el("option", { value: String(c.i) }, c.head)));
  select.value = String(value);
}

/**
 * A filter of one column: boxes for few values, a span for many.
 * @param {object} c
 * @param {() => void} refresh is called when what is asked for has changed
 */
function filter(c, refresh) {
  const box = el("fieldset", {}, el("legend", {}, c.head));
  const values = [...new Set(rows.map(r => r.cells[c.i]))].filter(v => v !== null && v !== undefined);
  if (values.length <= FEW && c.given || !c.number) {
    values.sort((a, b) => c.number ? a - b : String(a).localeCompare(String(b)));
    const on = new Set(values.map(String));
    for (const v of values) {
      const tick = el("input", { type: "checkbox", checked: true });
      tick.addEventListener("change", () => {
        if (tick.checked) on.add(String(v)); else on.delete(String(v));
        if (on.size === values.length) state.sets.delete(c.i); else state.sets.set(c.i, on);
        refresh();
      });
      box.append(el("label", {}, tick, shown(v)));
    }
  } else {
    const low = el("input", { type: "number", step: "any", "aria-label": c.head + " at least" });
    const high = el("input", { type: "number", step: "any", "aria-label": c.head + " at most" });
    const read = e => e.value === "" ? null : +e.value;
    for (const e of [low, high]) e.addEventListener("input", () => {
      state.spans.set(c.i, [read(low), read(high)]); refresh();
    });
    const all = values.filter(v => typeof v === "number");
    low.placeholder = shown(all.reduce((a, b) => Math.min(a, b), Infinity));
    high.placeholder = shown(all.reduce((a, b) => Math.max(a, b), -Infinity));
    box.append("from", low, "to", high);
  }
  if (!c.given) {
    const off = el("button", { type: "button", class: "off", "aria-label": "Take away" }, "\u00d7");
    off.addEventListener("click", () => {
      state.spans.delete(c.i); state.sets.delete(c.i); box.remove(); refresh();
    });
    box.append(off);
  }
  return box;
}

/** Say which way it is sorted. */
export function showDirection() {
  $("turn").textContent = state.down ? "high to low" : "low to high";
  $("turn").setAttribute("aria-pressed", String(state.down));
}

/** Put all filters back to where they let everything through. */
export function clear(refresh) {
  state.find = $("find").value = "";
  state.off.clear(); state.sets.clear(); state.spans.clear();
  state.sort = -1; state.down = false;
  $("statuses").replaceChildren(el("legend", {}, "Outcome"), ...statuses.map(s => {
    const tick = el("input", { type: "checkbox", checked: true });
    tick.addEventListener("change", () => { state.off[tick.checked ? "delete" : "add"](s); refresh(); });
    return el("label", { class: "s-" + s }, tick, el("span", { class: "tag" }, mark(s), words[s] + " (" +
      rows.filter(r => r.status === s).length + ")"));
  }));
  $("filters").replaceChildren(...columns.filter(c => c.given).map(c => filter(c, refresh)));
  $("sort").value = "-1";
  showDirection();
}

/** Filter by one more column. */
export function add(column, refresh) {
  $("filters").append(filter(columns[column], refresh));
}
