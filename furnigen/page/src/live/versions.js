// Named versions: kept, opened, and two of them side by side.

import { $, el } from "../dom.js";
import { named } from "./named.js";

const NOW = "now";

export class Versions {
  /** @param {(what: string, body?: object) => Promise<string>} ask */
  constructor(ask) {
    Object.assign(this, { ask, a: "", b: NOW });
    $("saving").addEventListener("submit", async e => {
      e.preventDefault();
      const why = await ask("save", { name: $("version-name").value });
      this.wrong(why);
      if (!why) $("version-name").value = "";
    });
  }

  wrong(why) {
    $("version-wrong").textContent = why;
    $("version-wrong").hidden = !why;
  }

  list({ folder, versions }) {
    const keys = [NOW, ...versions.map(v => v.key)];
    if (!keys.includes(this.a)) this.a = versions.at(-1)?.key ?? "";
    if (!keys.includes(this.b)) this.b = NOW;
    if (!versions.length) {
      $("version-list").replaceChildren(el("p", { class: "quiet" }, "None are kept yet. They will lie in ", named(folder), "."));
      return;
    }
    const side = (which, key, name) => el("td", {}, el("input", {
      type: "radio", name: `side-${which}`, checked: this[which] === key, "aria-label": `${name} as ${which.toUpperCase()}`,
      onchange: () => {
        this[which] = key;
      },
    }));
    const row = (key, name, open) => el(
      "tr", {}, el("th", { scope: "row" }, named(name)), side("a", key, name), side("b", key, name), el("td", {}, open),
    );
    const rows = versions.map(v => row(v.key, v.name, el("div", { class: "acts" }, el("button", {
      type: "button", onclick: async () => this.wrong(await this.ask("open", { key: v.key })), "aria-label": `Open ${v.name}`,
    }, "Open"), this.remover(v))));
    const head = el("tr", {}, ...["Version", "A", "B", ""].map(text => el("th", { scope: "col" }, text)));
    $("version-list").replaceChildren(
      el("table", {}, el("thead", {}, head), el("tbody", {}, row(NOW, "as it is now", ""), ...rows)),
      el("p", {}, el("button", {
        type: "button", id: "compare",
        onclick: async () => this.wrong(await this.ask("compare", { a: this.a, b: this.b })),
      }, "Compare A with B"), el("span", { class: "quiet" }, " They lie in ", named(folder), ".")),
    );
  }

  /** A button that deletes a version: it asks once more first, until something else is done. */
  remover({ key, name }) {
    const write = sure => {
      button.textContent = sure ? "Delete for good" : "Delete";
      button.setAttribute("aria-label", `${button.textContent}: ${name}`);
      button.classList.toggle("sure", sure);
    };
    const button = el("button", {
      type: "button", onblur: () => write(false),
      onclick: async () => {
        if (!button.classList.contains("sure")) return write(true);
        this.wrong(await this.ask("forget", { key }));
      },
    });
    write(false);
    return button;
  }

  compared({ a, b, waits, message, sections = [] }) {
    const into = $("compared");
    if (waits || message) {
      into.replaceChildren(el("p", { class: message ? "wrong" : "quiet" }, message || "being compared"));
      return;
    }
    const head = el("tr", {}, ...["", "", "A", "B", "Change"].map((text, i) =>
      el("th", { scope: "col", class: i > 1 ? "n" : "" }, text)));
    const parts = sections.flatMap(({ name, rows, gone, added }) => {
      const title = `${name[0].toUpperCase()}${name.slice(1)}`;
      if (!rows.length) return [el("h4", {}, title, el("span", { class: "quiet" }, " equal"))];
      const lines = rows.map(([of, what, one, other, by]) => el(
        "tr", { class: added.includes(of) ? "added" : gone.includes(of) ? "gone" : "" },
        el("th", { scope: "row" }, named(of), added.includes(of) ? " (added)" : gone.includes(of) ? " (gone)" : ""),
        el("td", {}, what), el("td", { class: "n" }, one), el("td", { class: "n" }, other), el("td", { class: "n" }, by),
      ));
      return [
        el("h4", {}, title),
        el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": `${title} compared, table` },
          el("table", {}, el("thead", {}, head.cloneNode(true)), el("tbody", {}, ...lines))),
      ];
    });
    into.replaceChildren(el("p", {}, "A: ", named(a), ", B: ", named(b)), ...parts);
  }
}
