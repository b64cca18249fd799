// Named versions: kept, opened, and two of them side by side.

import { make, named } from "./make.js";

const $ = id => document.getElementById(id);
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
      $("version-list").replaceChildren(make("p", { class: "quiet" }, "None are kept yet. They will lie in ", named(folder), "."));
      return;
    }
    const side = (which, key, name) => make("td", {}, make("input", {
      type: "radio", name: `side-${which}`, checked: this[which] === key, "aria-label": `${name} as ${which.toUpperCase()}`,
      onchange: () => {
        this[which] = key;
      },
    }));
    const row = (key, name, open) => make(
      "tr", {}, make("th", { scope: "row" }, named(name)), side("a", key, name), side("b", key, name), make("td", {}, open),
    );
    const rows = versions.map(v => row(v.key, v.name, make("button", {
      type: "button", onclick: async () => this.wrong(await this.ask("open", { key: v.key })), "aria-label": `Open ${v.name}`,
    }, "Open")));
    const head = make("tr", {}, ...["Version", "A", "B", ""].map(text => make("th", { scope: "col" }, text)));
    $("version-list").replaceChildren(
      make("table", {}, make("thead", {}, head), make("tbody", {}, row(NOW, "as it is now", ""), ...rows)),
      make("p", {}, make("button", {
        type: "button", id: "compare",
        onclick: async () => this.wrong(await this.ask("compare", { a: this.a, b: this.b })),
      }, "Compare A with B"), make("span", { class: "quiet" }, " They lie in ", named(folder), ".")),
    );
  }

  compared({ a, b, waits, message, sections = [] }) {
    const into = $("compared");
    if (waits || message) {
      into.replaceChildren(make("p", { class: message ? "wrong" : "quiet" }, message || "being compared"));
      return;
    }
    const head = make("tr", {}, ...["", "", "A", "B", "B less A"].map(text => make("th", { scope: "col" }, text)));
    const parts = sections.flatMap(({ name, rows, gone, added }) => {
      const title = `${name[0].toUpperCase()}${name.slice(1)}`;
      if (!rows.length) return [make("h4", {}, title, make("span", { class: "quiet" }, " equal"))];
      const lines = rows.map(([of, what, one, other, by]) => make(
        "tr", { class: added.includes(of) ? "added" : gone.includes(of) ? "gone" : "" },
        make("th", { scope: "row" }, named(of), added.includes(of) ? " (added)" : gone.includes(of) ? " (gone)" : ""),
        make("td", {}, what), make("td", { class: "n" }, one), make("td", { class: "n" }, other), make("td", { class: "n" }, by),
      ));
      return [
        make("h4", {}, title),
        make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": `${title} compared, table` },
          make("table", {}, make("thead", {}, head.cloneNode(true)), make("tbody", {}, ...lines))),
      ];
    });
    into.replaceChildren(make("p", {}, "A: ", named(a), ", B: ", named(b)), ...parts);
  }
}
