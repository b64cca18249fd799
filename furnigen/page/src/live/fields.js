// The form: a field for each parameter, what is wrong said where it was typed.

import { asTyped } from "./lengths.js";
import { el } from "../dom.js";
import { stockPicker } from "./stock.js";

const FEW = 5, SHORT = 40; // so many words of so many letters in all stand beside each other

export class Fields {
  /**
   * @param {HTMLFormElement} form
   * @param {(values: Record<string, string | null>) => void} changed is told texts; null for what the form begins with
   */
  constructor(form, changed) {
    Object.assign(this, { form, changed, fields: new Map(), waiting: null, busy: false, texts: {} });
    form.addEventListener("submit", e => e.preventDefault());
  }

  /** Write the form anew, where one is for another recipe or its file has changed. */
  write({ fields, units, stock }) {
    const at = this.form.contains(document.activeElement) ? document.activeElement.id : "";
    this.units = units;
    this.fields = new Map(fields.map(f => [f.name, this.field(f, stock)]));
    this.form.replaceChildren(...[...this.fields.values()].map(f => f.row));
    if (at) document.getElementById(at)?.focus();
    this.fill(this.texts);
  }

  field(f, stock) {
    const one = { ...f, edited: false };
    const set = text => {
      one.edited = false;
      this.send(f.name, text);
    };
    const about = `m-${f.name} w-${f.name}`;
    one.wrong = el("p", { class: "wrong", id: `w-${f.name}`, hidden: true });
    one.back = el("button", {
      type: "button", class: "back", hidden: true, "aria-label": `${f.label} back to ${f.base}`,
      onclick: () => this.send(f.name, null),
    }, `back to ${f.base}`);
    const control = this.control(one, stock, set);
    for (const input of control.querySelectorAll("input, select")) input.setAttribute("aria-describedby", about);
    const group = control.tagName === "FIELDSET";
    const label = group
      ? el("span", { class: "label", id: `l-${f.name}` }, f.label)
      : el("label", { for: `f-${f.name}` }, f.label);
    if (group) control.setAttribute("aria-labelledby", `l-${f.name}`);
    one.row = el(
      "div", { class: "field", "data-field": f.name }, el("div", { class: "head" }, label, one.back), control,
      el("p", { class: "meaning", id: `m-${f.name}` }, one.ends.length ? f.meaning : `${f.meaning}${hint(f)}`), one.wrong,
    );
    return one;
  }

  control(one, stock, set) {
    if (one.kind === "stock") {
      const { box, input } = stockPicker(one, stock, set);
      one.input = input;
      input.addEventListener("input", () => {
        one.edited = true;
      });
      return box;
    }
    const words = one.kind === "switch" ? ["yes", "no"] : one.options;
    if (words.length) return words.length <= FEW && words.join("").length <= SHORT ? keysOf(one, words, set) : listOf(one, words, set);
    one.input = el("input", {
      id: `f-${one.name}`, class: "value", spellcheck: "false", inputmode: one.kind === "count" ? "numeric" : "text",
      oninput: () => {
        one.edited = true;
      },
      onchange: () => set(one.input.value),
    });
    if (!one.ends.length) return el("div", { class: "dial" }, one.input);
    one.slider = el("input", {
      type: "range", min: one.low, max: one.high, step: one.step, value: one.at, "aria-label": `${one.label}, slider`,
      oninput: () => {
        one.input.value = asTyped(one, Number(one.slider.value), this.units);
        one.slider.setAttribute("aria-valuetext", one.input.value);
        this.drag(one.name, one.input.value);
      },
    });
    const ends = el("div", { class: "ends", "aria-hidden": "true" }, ...one.ends.map(text => el("span", {}, text)));
    return el("div", { class: "dial" }, el("div", { class: "scale" }, one.slider, ends), one.input);
  }

  /** What is typed now, as the server has it. */
  fill(texts) {
    this.texts = texts;
    for (const [name, one] of this.fields) {
      const text = texts[name] ?? one.base;
      one.back.hidden = !(name in texts);
      if (one.keys) for (const key of one.keys) key.checked = key.value === text;
      else if (!(this.waiting?.[0] === name || (one.edited && document.activeElement === one.input))) one.input.value = text;
    }
  }

  /** Where the sliders stand, once the values are read. */
  set(at) {
    for (const [name, value] of Object.entries(at)) {
      const slider = this.fields.get(name)?.slider;
      if (slider && document.activeElement !== slider) slider.value = value;
      slider?.setAttribute("aria-valuetext", this.fields.get(name).input.value);
    }
  }

  /** What is wrong, said where it was typed. */
  refuse(wrong) {
    for (const [name, one] of this.fields) {
      const text = wrong[name] || "";
      one.wrong.textContent = text;
      one.wrong.hidden = !text;
      one.row.classList.toggle("bad", Boolean(text));
      for (const input of one.keys || [one.input]) {
        if (text) input.setAttribute("aria-invalid", "true");
        else input.removeAttribute("aria-invalid");
      }
    }
  }

  send(name, text) {
    this.waiting = null;
    this.changed({ [name]: text });
  }

  /** While a slider is dragged: the newest value, once the one before has been worked out. */
  drag(name, text) {
    this.waiting = [name, text];
    if (!this.busy) this.next();
  }

  next() {
    if (!this.waiting) return;
    const [name, text] = this.waiting;
    this.waiting = null;
    this.busy = true;
    this.changed({ [name]: text });
  }

  /** The server has worked something out, or given up. */
  settled() {
    this.busy = false;
    this.next();
  }
}

function hint(f) {
  if (f.kind === "counts") return `; ${f.allowed}`;
  if (f.kind === "stock") return ". Type to search; :GRADE and @ the measured thickness may follow its name";
  return "";
}

/** Words beside each other, of which one is pressed. */
function keysOf(one, words, set) {
  one.keys = words.map(word => el("input", {
    type: "radio", name: one.name, value: word, id: `f-${one.name}-${word}`, onchange: () => set(word),
  }));
  return el("fieldset", { class: "keys", role: "radiogroup" }, ...words.map((word, i) =>
    el("label", {}, one.keys[i], el("span", {}, word))));
}

function listOf(one, words, set) {
  one.input = el("select", { id: `f-${one.name}`, class: "value", onchange: () => set(one.input.value) },
    ...words.map(word => el("option", { value: word }, word)));
  return el("div", { class: "dial" }, one.input);
}
