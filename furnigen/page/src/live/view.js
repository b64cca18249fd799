// The 3D view of the live page: the stage, its panel, and what is picked.

import { offsets } from "../explode.js";
import { box } from "../frame.js";
import { readGlb } from "../glb.js";
import { listenToKeys } from "../keys.js";
import { Openings } from "../openings.js";
import { personBeside, wallsBehind } from "../scale.js";
import { Section } from "../section.js";
import { Selection } from "../selection.js";
import { VIEWS } from "../stage.js";
import { LiveStage } from "./live_stage.js";

const $ = id => document.getElementById(id);
const pressed = (id, on) => $(id).setAttribute("aria-pressed", String(on));
const isPressed = id => $(id).getAttribute("aria-pressed") === "true";
const isNewest = (a, b) => a === b;

export class View {
  /**
   * @param {(labels: string[], scroll: boolean) => void} mark lights up the rows of what is picked
   */
  constructor(mark) {
    Object.assign(this, { mark, stage: null, data: null, model: 0 });
    this.can = Boolean(document.createElement("canvas").getContext("webgl2"));
    $("no3d").hidden = this.can;
    if (!this.can) document.documentElement.dataset.view = "picture";
  }

  /** Show the piece of one number, once its shapes have come. */
  async show(number, scene) {
    if (!this.can) return;
    this.model = number;
    const answer = await fetch(`/model/${number}`);
    if (!answer.ok) return; // a newer one is on its way
    const copies = readGlb(await answer.arrayBuffer());
    if (!isNewest(this.model, number)) return;
    if (this.stage) this.stage.show(copies);
    else this.begin(copies, scene);
    this.know(number, scene);
    this.put();
    document.documentElement.dataset.ready = String(number);
  }

  /** What is known of the parts; more of it follows. */
  know(number, scene) {
    if (!this.stage || !isNewest(this.model, number)) return;
    this.data = scene;
    this.apart = offsets(scene.steps, this.stage.sphere.radius * 2);
    $("explode").disabled = !scene.steps.length;
    this.openings.show("");
    this.openings.boxes = new Map(scene.openings.map(o => [o.label, { ...o, box: box(o.lo, o.hi) }]));
    this.explode();
    this.readout();
  }

  begin(copies, scene) {
    const stage = new LiveStage($("canvas"), copies);
    this.stage = stage;
    this.section = new Section(stage);
    this.openings = new Openings(stage, scene.openings, $("figures"));
    this.selection = new Selection(stage, (labels, by) => {
      this.mark(labels, by === "view");
      this.readout();
    });
    this.selection.listen(() => this.section.plane, hit => {
      this.openings.show(hit ? this.openings.met(hit.ray, hit.far - 1e-4) : "");
    });
    pressed("wall", scene.walls.length > 0);
    this.data = scene;
    this.panel();
  }

  /** Put what stands beside the piece, and what was picked or cut, where it belongs now. */
  put() {
    const { stage, selection, data } = this;
    for (const one of [this.person, this.wall]) one?.removeFromParent();
    this.person = personBeside(stage.bounds, data.person_mm / 1000);
    this.wall = wallsBehind(stage.bounds, data.walls);
    this.person.visible = isPressed("person");
    this.wall.visible = isPressed("wall");
    stage.scene.add(this.person, this.wall);
    stage.beside.splice(0, stage.beside.length, this.person);
    selection.labels = selection.labels.filter(l => stage.parts.has(l) || this.openings.boxes.has(l));
    if (selection.alone) {
      const left = [...selection.alone].filter(l => stage.parts.has(l));
      selection.alone = left.length ? new Set(left) : null;
    }
    selection.paint();
    this.mark(selection.labels, false);
    this.cut();
  }

  panel() {
    const { selection, stage } = this;
    for (const button of document.querySelectorAll("[data-look]")) {
      button.addEventListener("click", () => stage.look(button.dataset.look));
    }
    $("explode").addEventListener("input", () => this.explode());
    for (const id of ["across", "at", "side"]) $(id).addEventListener("input", () => this.cut());
    const toggles = {
      edges: on => {
        for (const edge of stage.edges) edge.visible = on;
      },
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
        pressed(id, !isPressed(id));
        act(isPressed(id));
        stage.draw();
      });
    }
    const actions = { hide: () => selection.hide(), alone: () => selection.isolate(), all: () => this.whole() };
    for (const [id, act] of Object.entries(actions)) {
      $(id).addEventListener("click", () => {
        act();
        this.cut();
      });
    }
    const keys = { h: "hide", i: "alone", a: "all", e: "edges", f: "person", w: "wall" };
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
    for (const part of this.stage.parts.values()) {
      const way = this.apart.get(part.label);
      part.offset.set(0, 0, 0);
      if (way) part.offset.copy(way).multiplyScalar(share);
    }
    this.stage.place();
    if (this.section.plane) this.cut();
  }

  cut() {
    const across = $("across").value;
    $("at").disabled = $("side").disabled = !across;
    this.section.set(across, Number($("at").value) / 100, $("side").checked);
  }

  whole() {
    $("explode").value = 0;
    this.explode();
    this.selection.all();
    this.selection.pick([]);
  }

  /** A row was pressed: light up what it names; once more: no longer. */
  choose(labels, row) {
    if (!this.stage) return;
    if (!labels.length) {
      this.selection.pick([], "list");
      this.say(row.querySelector(".row")?.textContent || "", ["This is about the whole piece."]);
      return;
    }
    const same = labels.join("\n") === this.selection.labels.join("\n");
    this.selection.pick(same ? [] : labels, "list");
    this.openings.show(same ? "" : labels.find(label => this.openings.boxes.has(label)) || "");
  }

  point(labels) {
    if (!this.stage) return;
    const own = [...labels, ...this.selection.labels];
    this.openings.show(own.find(label => this.openings.boxes.has(label)) || "");
  }

  readout() {
    const { placements } = this.data, { labels } = this.selection;
    const parts = labels.filter(label => this.stage.parts.has(label));
    for (const id of ["hide", "alone"]) $(id).disabled = !parts.length;
    if (parts.length === 1) this.say(parts[0], placements[parts[0]] || []);
    else if (parts.length) this.say(`${parts.length} parts`, [parts.join(", ")]);
    else this.say("No part picked", ["Press a part, or N for the next one; press a row to see where it is."]);
  }

  say(head, lines) {
    const title = document.createElement("strong");
    title.dir = "auto";
    title.textContent = head;
    const rest = lines.map(line => {
      const row = document.createElement("span");
      row.dir = "auto";
      row.textContent = line;
      return row;
    });
    $("readout").replaceChildren(title, ...rest);
  }
}
