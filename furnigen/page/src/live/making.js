// The command that makes the same, and the button that makes the files.

import { $, el } from "../dom.js";

const SAID_MS = 2000;

export class Making {
  /** @param {(what: string, body?: object) => Promise<string>} ask */
  constructor(ask) {
    this.ask = ask;
    $("copy").addEventListener("click", () => this.copy());
    $("make").addEventListener("click", async () => this.refused(await ask("make")));
    $("stop").addEventListener("click", () => ask("stop"));
  }

  command({ line, formats, known }) {
    $("command").textContent = line;
    if (!$("format-list").children.length) {
      $("format-list").append(...Object.entries(known).map(([name, text]) => el(
        "label", {}, el("input", {
          type: "checkbox", value: name, checked: formats.includes(name), onchange: () => this.choose(),
        }), el("span", {}, text),
      )));
    }
    for (const box of $("format-list").querySelectorAll("input")) box.checked = formats.includes(box.value);
  }

  choose() {
    const chosen = [...$("format-list").querySelectorAll("input:checked")].map(box => box.value);
    this.ask("choose", { formats: chosen }).then(why => this.refused(why));
  }

  async copy() {
    try {
      await navigator.clipboard.writeText($("command").textContent);
      $("copy").textContent = "Copied";
    } catch {
      getSelection().selectAllChildren($("command"));
      $("copy").textContent = "Picked: copy it";
    }
    setTimeout(() => {
      $("copy").textContent = "Copy";
    }, SAID_MS);
  }

  refused(why) {
    if (why) $("progress").textContent = why;
  }

  progress({ step, message, folder, files, counts, kept = [] }) {
    $("make").disabled = Boolean(step);
    $("stop").hidden = !step;
    $("making").classList.toggle("busy", Boolean(step));
    if (step || message) {
      $("progress").textContent = step ? `${step} …` : message;
      return;
    }
    const fails = counts.fail ? `; ${counts.fail} ${counts.fail === 1 ? "check fails" : "checks fail"}` : "";
    const beside = kept.map(([name, as]) => `; ${name} had been changed, kept as ${as}`).join("");
    $("progress").textContent = `${files.length} files in ${folder}${fails}${beside}`;
  }
}
