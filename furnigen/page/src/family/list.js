// Variants as cards, and as a table.

import { $, el } from "../dom.js";
import { columns, link, numbers, pictured, shown, state, words } from "./variants.js";

const given = columns.filter(c => c.given).map(c => c.i);
const measured = numbers.filter(c => !c.given).slice(0, 4).map(c => c.i);
const usual = columns.filter(c => given.includes(c.i) || measured.includes(c.i)).map(c => c.i);

/** An outcome: its sign and its word. */
function outcome(status, more = "") {
  return el("span", { class: "tag" }, mark(status), words[status] + more);
}

/** The sign of an outcome, from those that the page brings along. */
export function mark(status) {
  const kind = ["pass", "warn", "fail"].includes(status) ? status : "none";
  return $("marks").content.querySelector(".s-" + kind + " svg").cloneNode(true);
}

function links(r) {
  return r.files.map(f => el("a", { href: link(r, f) }, f));
}
/** What a variant is called: what the family varies in it. */
export function heading(r) {
  const parts = columns.filter(c => c.given && r.cells[c.i] !== null)
    .map(c => c.label + "\u00a0" + (shown(r.cells[c.i]) + " " + c.unit).trim().replaceAll(" ", "\u00a0"));
  return parts.join(", ") || r.name;
}

/** A card of a variant. */
export function card(r, front) {
  const c = el("article", { class: "card s-" + r.status + (front.includes(r) ? " best" : "") +
    (r.i === state.at ? " at" : ""), id: "v" + r.i });
  if (r.picture) {
    const image = el("img", { alt: "Picture of " + r.name, loading: "lazy" });
    image.src = r.picture.startsWith("data:") ? r.picture : link(r, r.picture);
    c.append(image);
  } else if (pictured) c.append(el("div", { class: "blank", "aria-hidden": "true" }, words[r.status]));
  const body = el("div", { class: "body" }, el("h3", { title: r.name }, heading(r)));
  const best = front.includes(r) ? "; on the best front" : "";
  body.append(outcome(r.status, best));
  const facts = el("dl", {});
  for (const i of new Set([...usual, state.sort, +$("x").value, +$("y").value]))
    if (i >= 0 && !columns[i].given && r.cells[i] !== null)
      facts.append(el("dt", {}, columns[i].label), el("dd", {}, shown(r.cells[i]) + " " + columns[i].unit));
  body.append(facts);
  if (r.reason) body.append(el("p", { class: "why" }, r.reason));
  if (r.files.length) body.append(el("div", { class: "links" }, ...links(r)));
  c.append(body);
  return c;
}

/**
 * A table of variants.
 * @param {object[]} part
 * @param {(column: number) => void} sort is told which heading was pressed
 */
export function table(part, sort) {
  const named = new Set([...usual, ...state.spans.keys(), state.sort, +$("x").value, +$("y").value]);
  const wanted = columns.filter(c => c.given || named.has(c.i));
  const head = el("tr", {}, el("th", { scope: "col" }, "no."), el("th", { scope: "col" }, "outcome"));
  for (const c of wanted) {
    const b = el("button", { type: "button", class: "sort" }, c.head);
    b.addEventListener("click", () => sort(c.i));
    head.append(el("th", { scope: "col", class: c.number ? "n" : "", "aria-sort": c.i === state.sort ?
      (state.down ? "descending" : "ascending") : "none" }, b));
  }
  head.append(el("th", { scope: "col" }, "files"), el("th", { scope: "col" }, "why"));
  const body = el("tbody", {});
  for (const r of part) {
    const line = el("tr", { id: "v" + r.i, class: "s-" + r.status + (r.i === state.at ? " at" : "") },
      el("th", { scope: "row", title: r.name }, String(r.i + 1)),
      el("td", {}, outcome(r.status)));
    for (const c of wanted) line.append(el("td", { class: c.number ? "n" : "" }, shown(r.cells[c.i])));
    line.append(el("td", { class: "files" }, ...links(r).flatMap(a => [a, " "])), el("td", { class: "name" }, r.reason));
    body.append(line);
  }
  return el("div", { class: "scroll", tabindex: "0" }, el("table", {}, el("thead", {}, head), body));
}
