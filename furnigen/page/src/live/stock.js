// A stock chosen by searching: a text, and below it what of the catalogue holds all of its words.

import { el } from "../dom.js";

const MOST = 60;

/**
 * @param {{name: string, options: string[]}} field
 * @param {{name: string, title: string, kind: string, more: string}[]} stock
 * @param {(text: string) => void} chosen
 * @returns {{box: HTMLElement, input: HTMLInputElement}}
 */
export function stockPicker(field, stock, chosen) {
  const rows = stock
    .filter(s => !field.options.length || field.options.includes(s.kind))
    .map(s => ({ ...s, words: `${s.name} ${s.title} ${s.more}`.toLowerCase() }));
  const list = el("ul", { role: "listbox", id: `s-${field.name}`, "aria-label": `Stock for ${field.name}`, hidden: true });
  const input = el("input", {
    id: `f-${field.name}`, role: "combobox", "aria-expanded": "false", "aria-autocomplete": "list",
    "aria-controls": list.id, spellcheck: "false", class: "value",
  });
  const count = el("p", { class: "quiet found", role: "status", hidden: true });
  let found = [], at = -1;
  const open = on => {
    list.hidden = count.hidden = !on;
    input.setAttribute("aria-expanded", String(on));
    if (!on) input.removeAttribute("aria-activedescendant");
  };
  const point = to => {
    at = to;
    [...list.children].forEach((row, i) => {
      row.setAttribute("aria-selected", String(i === at));
      if (i === at) {
        input.setAttribute("aria-activedescendant", row.id);
        row.scrollIntoView({ block: "nearest" });
      }
    });
  };
  const take = row => {
    input.value = row.name;
    open(false);
    chosen(row.name);
  };
  const search = text => {
    const words = text.toLowerCase().split(/\s+/).filter(Boolean);
    found = rows.filter(s => words.every(w => s.words.includes(w)));
    list.replaceChildren(...found.slice(0, MOST).map((s, i) => el(
      "li", { role: "option", id: `s-${field.name}-${i}`, onpointerdown: e => { e.preventDefault(); take(s); } },
      el("strong", {}, s.name), el("span", { class: "quiet" }, ` ${s.title}, ${s.more}`),
    )));
    const more = found.length > MOST ? `, the first ${MOST} shown` : "";
    count.textContent = found.length ? `${found.length} found${more}` : "nothing in the catalogue holds these words";
    open(true);
    point(found.slice(0, MOST).findIndex(s => s.name === input.value));
  };
  // where it is opened all are offered: the words of the stock that is set would find that one alone
  input.addEventListener("focus", () => input.select());
  input.addEventListener("pointerdown", () => search(""));
  input.addEventListener("input", () => search(input.value));
  input.addEventListener("blur", () => open(false));
  input.addEventListener("change", () => chosen(input.value));
  input.addEventListener("keydown", e => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[e.key];
    if (step) {
      if (list.hidden) search("");
      else if (list.children.length) point((at + step + list.children.length) % list.children.length);
    } else if (e.key === "Enter" && !list.hidden && at >= 0) take(found[at]);
    else if (e.key === "Escape" && !list.hidden) open(false);
    else return;
    e.preventDefault();
  });
  return { box: el("div", { class: "picker" }, input, list, count), input };
}
