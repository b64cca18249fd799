// What is said beside the view: the block of sizes, checks and lists, layouts, picture.

import { tieRows } from "../lists.js";
import { make } from "./make.js";

const $ = id => document.getElementById(id);
const STATUSES = { fail: "fail", warn: "to look at", pass: "pass" };

export class Panels {
  /**
   * @param {(labels: string[], row: HTMLElement) => void} chosen
   * @param {(labels: string[]) => void} pointed
   */
  constructor(chosen, pointed) {
    Object.assign(this, { chosen, pointed, number: 0, piece: null, strength: null, cost: "", lit: [] });
    this.rows = () => {};
  }

  /** Light up the rows of some labels. */
  mark(labels, scroll) {
    this.lit = labels;
    this.rows(labels, scroll);
  }

  /** The server writes these lists: names in them are escaped there. */
  write(html) {
    for (const [name, text] of Object.entries(html)) {
      const part = document.querySelector(`[data-part="${name}"]`);
      const open = [...part.querySelectorAll("details")].map(d => d.open);
      const at = [...part.querySelectorAll("button")].indexOf(document.activeElement);
      part.innerHTML = text || "<p class=quiet>Nothing here.</p>";
      part.classList.remove("stale");
      [...part.querySelectorAll("details")].forEach((d, i) => {
        d.open = Boolean(open[i]);
      });
      if (at >= 0) part.querySelectorAll("button")[at]?.focus();
    }
    this.rows = tieRows(this.chosen, this.pointed);
    this.rows(this.lit, false);
  }

  show(piece) {
    const first = !this.piece;
    Object.assign(this, { piece, number: piece.number, strength: null });
    $("title").textContent = document.title = piece.title;
    this.write(piece.html);
    for (const name of ["strength", "assembly"]) document.querySelector(`[data-part="${name}"]`).classList.add("stale");
    for (const id of ["layouts-said", "layouts-link", "picture-png"]) $(id).classList.add("stale");
    $("later").textContent = first ? "being worked out" : "of the values before; being worked out";
    this.block();
  }

  /** Strength and construction, of the newest piece alone. */
  strong(found) {
    if (found.number !== this.number) return;
    this.strength = found;
    this.write(found.html);
    $("later").textContent = found.waits;
    this.block();
  }

  /** Why strength and what follows can not be had. */
  late({ number, message }) {
    if (number !== this.number) return;
    $("later").textContent = message;
  }

  laid({ number, said, cost }) {
    if (number !== this.number) return;
    $("layouts-said").replaceChildren(...said.map(line => make("p", { dir: "auto" }, line)));
    if (cost) $("layouts-said").append(make("p", {}, `Cost: ${cost}`));
    $("layouts-svg").src = $("layouts-link").href = `/layouts/${number}`;
    $("layouts-link").hidden = false;
    for (const id of ["layouts-said", "layouts-link"]) $(id).classList.remove("stale");
    this.cost = cost;
    this.block();
  }

  drawn({ number, why }) {
    if (number !== this.number) return;
    $("picture-said").textContent = why;
    $("picture-said").hidden = !why;
    $("picture-png").hidden = Boolean(why);
    if (!why) $("picture-png").src = `/picture/${number}`;
    $("picture-png").classList.remove("stale");
  }

  /** The block of a drawing: how large, how heavy, and whether it holds. */
  block() {
    const { piece, strength } = this;
    const cells = [
      ["Width", piece.size[0]], ["Depth", piece.size[1]], ["Height", piece.size[2]], ["Mass", piece.mass],
      ["Parts", `${piece.parts}, ${piece.different} different`],
    ];
    if (this.cost) cells.push(["Cost", this.cost]);
    const lamps = Object.entries(STATUSES).map(([status, word]) => {
      const n = piece.counts[status] + (strength?.counts[status] ?? 0);
      return n ? make("span", { class: `lamp s-${status}` }, sign(status), `${n} ${word}`) : "";
    });
    if (!strength) lamps.push(make("span", { class: "quiet" }, "and more to come"));
    $("block").replaceChildren(
      ...cells.map(([name, text]) => make("div", {}, make("dt", {}, name), make("dd", {}, text))),
      make("div", { class: "wide" }, make("dt", {}, "Checks"), make("dd", {}, ...lamps)),
    );
  }
}

const MARKS = { pass: "M2 8l4 4 8-9", warn: "M8 2v7M8 12v2", fail: "M3 3l10 10M13 3L3 13" };

function sign(status) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", "mark");
  svg.setAttribute("aria-hidden", "true");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", MARKS[status]);
  svg.append(path);
  return svg;
}
