// The view of a piece with its panel, and what ties it to the lists beside it.

import { $, el, isPressed, press } from "./dom.js";
import { offsets } from "./explode.js";
import { readGlb } from "./glb.js";
import { listenToKeys } from "./keys.js";
import { intoSight, tieRows } from "./lists.js";
import { Openings } from "./openings.js";
import { personBeside, wallsBehind } from "./scale.js";
import { Section } from "./section.js";
import { Selection } from "./selection.js";
import { Stage, VIEWS } from "./stage.js";
import { standing, Steps } from "./steps.js";

export class View {
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {ArrayBuffer} glb the shapes, as furnigen writes them
   * @param {object} data what `scene_data` gives
   */
  constructor(canvas, glb, data) {
    const stage = new Stage(canvas);
    this.stage = stage;
    this.section = new Section(stage);
    this.openings = new Openings(stage, $("figures"));
    this.selection = new Selection(stage, (labels, by) => this.picked(labels, by));
    this.selection.listen(() => this.section.plane, hit => {
      this.openings.show(hit ? this.openings.met(hit.ray, hit.far - 1e-4) : "");
    });
    this.steps = new Steps(stage, number => this.atStep(number));
    this.mark = tieRows({
      chosen: (labels, row) => this.choose(labels, row), pointed: labels => this.point(labels),
      stepped: number => this.steps.go(number),
    });
    this.panel();
    this.show(glb, data);
    addEventListener("beforeprint", () => {
      $("still").src = stage.picture();
    });
  }

  /** Show a piece; the camera, the cut and the parts that are picked stay as they were, where they can. */
  show(glb, data) {
    const { stage, selection } = this;
    const picked = selection.labels, first = !this.data;
    this.data = data;
    stage.load(readGlb(glb));
    this.apart = offsets(data.steps, stage.sphere.radius * 2);
    this.openings.load(data.openings);
    this.steps.load(data.steps);
    for (const id of ["before", "after", "play", "explode"]) $(id).disabled = !data.steps.length;
    this.scale(first);
    for (const edge of stage.edges) edge.visible = isPressed($("edges"));
    if (first) stage.look("corner");
    else this.explode();
    this.cut();
    selection.reset();
    selection.pick(picked.filter(label => label in data.placements || this.openings.boxes.has(label)), "list");
  }

  /** A person and walls for scale; what hangs or leans shows its walls from the start. */
  scale(first) {
    const { stage, data } = this;
    for (const one of [this.person, this.wall]) one?.removeFromParent();
    this.person = personBeside(stage.bounds, data.person_mm / 1000);
    this.wall = wallsBehind(stage.bounds, data.walls);
    if (first) press($("wall"), data.walls.length > 0);
    this.person.visible = isPressed($("person"));
    this.wall.visible = isPressed($("wall"));
    stage.scene.add(this.person, this.wall);
    stage.beside = [this.person];
  }

  panel() {
    const { selection, stage, steps } = this;
    for (const button of document.querySelectorAll("[data-look]")) {
      button.addEventListener("click", () => stage.look(button.dataset.look));
    }
    $("explode").addEventListener("input", () => this.explode());
    for (const id of ["across", "at", "side"]) $(id).addEventListener("input", () => this.cut());
    const toggles = {
      edges: on => {
        for (const edge of stage.edges) edge.visible = on;
      },
      parallel: on => stage.lens(on),
      person: on => {
        this.person.visible = on;
        stage.look(stage.last);
      },
      wall: on => {
        this.wall.visible = on;
      },
    };
    for (const [id, act] of Object.entries(toggles)) {
      $(id).addEventListener("click", () => {
        press($(id), !isPressed($(id)));
        act(isPressed($(id)));
        stage.draw();
      });
    }
    const actions = {
      hide: () => selection.hide(), alone: () => selection.isolate(), all: () => this.whole(),
      before: () => steps.go(steps.at - 1), after: () => steps.go(steps.at + 1), play: () => steps.play(),
    };
    for (const [id, act] of Object.entries(actions)) {
      $(id).addEventListener("click", () => {
        act();
        if (["hide", "alone", "all"].includes(id)) this.cut();
      });
    }
    const keys = {
      h: "hide", i: "alone", a: "all", ",": "before", ".": "after", p: "play", e: "edges", o: "parallel", f: "person",
      w: "wall",
    };
    const byKey = Object.fromEntries(Object.entries(keys).map(([key, id]) => [key, () => $(id).click()]));
    Object.keys(VIEWS).forEach((name, i) => {
      byKey[String(i + 1)] = () => stage.look(name);
    });
    listenToKeys(stage.canvas, stage, {
      ...byKey, n: () => selection.next(1), b: () => selection.next(-1), escape: () => selection.pick([]),
    });
  }

  explode() {
    const share = Number($("explode").value) / 100;
    $("explode").setAttribute("aria-valuetext", `${$("explode").value} percent`);
    if (this.steps.at >= 0) this.steps.go(-1, { move: false });
    for (const part of this.stage.parts.values()) {
      const way = this.apart.get(part.label);
      part.offset.set(0, 0, 0);
      if (way) part.offset.copy(way).multiplyScalar(share);
    }
    this.stage.place();
    this.stage.follow();
    if (this.section.plane) this.cut();
  }

  cut() {
    const across = $("across").value;
    $("at").disabled = $("side").disabled = !across;
    this.section.set(across, Number($("at").value) / 100, $("side").checked);
  }

  /** Everything back in its place and seen. */
  whole() {
    this.steps.playing = false;
    if (this.steps.at >= 0) this.steps.go(-1, { move: false });
    $("explode").value = 0;
    this.explode();
    this.selection.all();
    this.selection.pick([]);
  }

  atStep(number) {
    const { steps, playing } = this.steps;
    $("play").textContent = playing ? "Stop" : "Play";
    for (const row of document.querySelectorAll("#assembly li")) {
      const on = row.dataset.number === String(number);
      row.classList.toggle("now", on);
      if (on) row.setAttribute("aria-current", "step");
      else row.removeAttribute("aria-current");
      if (on) intoSight(row);
    }
    if (number >= 0) {
      if (Number($("explode").value)) {
        $("explode").value = 0;
        this.stage.place();
        this.stage.follow();
      }
      this.selection.step(standing(steps, number), steps[number].parts);
      this.say(`Step ${number + 1} of ${steps.length}`, [steps[number].text]);
    } else {
      this.selection.step(null, []);
      this.readout();
    }
    if (this.section.plane) this.cut();
  }

  /** A row was pressed: light up what it names; once more: no longer. */
  choose(labels, row) {
    if (!labels.length) {
      this.selection.pick([], "list");
      this.say(row.querySelector(".row").textContent, ["This is about the whole piece."]);
      return;
    }
    const same = labels.join("\n") === this.selection.labels.join("\n");
    if (this.steps.at >= 0) this.steps.go(-1, { move: false });
    this.selection.pick(same ? [] : labels, "list");
    this.openings.show(same ? "" : labels.find(label => this.openings.boxes.has(label)) || "");
  }

  point(labels) {
    const own = [...labels, ...this.selection.labels];
    this.openings.show(own.find(label => this.openings.boxes.has(label)) || "");
  }

  picked(labels, by) {
    this.mark(labels, by === "view");
    this.readout();
  }

  readout() {
    const { placements } = this.data, { labels } = this.selection;
    const parts = labels.filter(label => this.stage.parts.has(label));
    for (const id of ["hide", "alone"]) $(id).disabled = !parts.length;
    if (parts.length === 1) this.say(parts[0], placements[parts[0]] || []);
    else if (parts.length) this.say(`${parts.length} parts`, [parts.join(", ")]);
    else this.say("No part picked", ["Press a part, or N for the next one; press a row to see where it is."]);
  }

  /** Write a heading and lines beside the view. */
  say(head, lines) {
    const rows = lines.map(line => el("span", { dir: "auto" }, line));
    $("readout").replaceChildren(el("strong", { dir: "auto" }, head), ...rows);
  }
}
