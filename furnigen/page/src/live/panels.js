// What is said beside the view: the block of sizes, checks and lists, layouts, picture.

import { $, el } from "../dom.js";


export class Panels {
  /** @param {() => void} written is told when lists have been written anew */
  constructor(written) {
    Object.assign(this, { written, number: 0, piece: null, strength: null, cost: "" });
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
    this.written();
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

  laid({ number, said, cost, known, unpriced }) {
    if (number !== this.number) return;
    $("layouts-said").replaceChildren(...said.map(line => el("p", { dir: "auto" }, line)));
    if (cost) $("layouts-said").append(el("p", {}, `Cost: ${cost}`));
    if (unpriced.length) {
      const words = known ? `Cost: ${known}, without ` : "Cost: no price is known of ";
      const where = " Prices stand in the file that --stock names.";
      $("layouts-said").append(el("p", { class: "quiet" }, words, `${unpriced.join(", ")}.`, where));
    }
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
    const lamps = el("dd", {});
    lamps.innerHTML = strength?.lamps ?? piece.lamps;
    if (!strength) lamps.append(el("span", { class: "quiet" }, "and more"));
    $("block").replaceChildren(
      ...cells.map(([name, text]) => el("div", {}, el("dt", {}, name), el("dd", {}, text))),
      el("div", { class: "wide" }, el("dt", {}, "Checks"), lamps),
    );
  }
}
