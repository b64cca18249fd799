// The live page: form, view and lists tied to the server's session.

import { $ } from "../dom.js";
import { givesWay, has3D, showPicture } from "../without3d.js";
import { Fields } from "./fields.js";
import { START, ask, listen } from "./link.js";
import { LiveView } from "./live_view.js";
import { Making } from "./making.js";
import { Panels } from "./panels.js";
import { Versions } from "./versions.js";

const STATES = { working: "working", following: "strength follows", ready: "up to date", refused: "not as typed: the piece before is shown" };

const fields = new Fields($("fields"), change);
const panels = new Panels(() => view?.mark(view.selection.labels, false));
const drawn = has3D();
showPicture(!drawn);
const making = new Making(ask);
const versions = new Versions(ask);
let recipe = "", view = null, model = 0, known = null, leaving = false;

/** Show the shapes of the newest piece, once they have come. */
async function show({ number, scene }) {
  if (!drawn) return;
  model = number;
  const answer = await fetch(`/model/${number}`);
  const glb = answer.ok ? await answer.arrayBuffer() : null;
  if (!glb || number !== model) return; // a newer one is on its way
  if (view) view.show(glb, scene);
  else begin(glb, scene);
  if (known?.number === number) view.know(known.scene);
  document.documentElement.dataset.ready = String(number);
}

function begin(glb, scene) {
  globalThis.furnigenView = view = new LiveView($("canvas"), glb, scene);
  givesWay(view.stage);
}

/** What follows is known of the parts of one piece. */
function know(found) {
  known = found;
  if (view && document.documentElement.dataset.ready === String(found.number)) view.know(found.scene);
}

async function change(values) {
  const why = await ask("change", { values });
  if (why) say(why);
  if (why) fields.settled();
}

/** A line over all of the page; none for "". */
function say(text) {
  $("banner").textContent = text;
  $("banner").hidden = !text;
}

function lamp(state, text) {
  $("lamp").dataset.state = state;
  $("lamp").textContent = text;
}

const kept = {
  get: () => {
    try {
      return JSON.parse(sessionStorage.getItem("furnigen live")) || {};
    } catch {
      return {};
    }
  },
  put: texts => {
    try {
      sessionStorage.setItem("furnigen live", JSON.stringify({ recipe, texts, start: START }));
    } catch {
      // a browser that keeps nothing: after a new start the page begins anew
    }
  },
};

/** After the server was started anew: the values that stood on this page before. */
function bringBack(form) {
  const before = kept.get();
  if (!before.texts || before.start === START || before.recipe !== form.recipe) return;
  const names = new Set(form.fields.map(f => f.name));
  const texts = Object.fromEntries(Object.entries(before.texts).filter(([name]) => names.has(name)));
  if (Object.keys(texts).length) change(texts);
}

const topics = {
  hello: ({ start }) => {
    if (start === START) return;
    leaving = true; // what another server tells is for the page that it sends
    location.reload();
  },
  form: form => {
    recipe = form.recipe;
    fields.write(form);
    bringBack(form);
  },
  values: ({ texts, undo, redo }) => {
    fields.fill(texts);
    $("undo").disabled = !undo;
    $("redo").disabled = !redo;
    if (recipe) kept.put(texts);
  },
  state: ({ state, fields: wrong, message }) => {
    lamp(state, STATES[state]);
    if (state === "working") return;
    fields.refuse(wrong);
    say(message);
    fields.settled();
  },
  piece: piece => {
    panels.show(piece);
    fields.set(piece.at);
    show(piece);
  },
  strength: found => {
    panels.strong(found);
    know(found);
  },
  later: found => panels.late(found),
  layouts: found => panels.laid(found),
  picture: found => {
    panels.drawn(found);
    if (!found.why) $("still").src = `/picture/${found.number}`;
  },
  command: found => making.command(found),
  making: found => making.progress(found),
  versions: found => versions.list(found),
  compared: found => versions.compared(found),
};

listen(topics, () => leaving, there => {
  document.body.classList.toggle("lost", !there);
  for (const id of ["form", "making", "versions"]) $(id).inert = !there;
  if (there) {
    say("");
  } else {
    lamp("lost", "the server has ended");
    say("The server has ended, or does not answer. Start furnigen serve again: this page goes on by itself.");
  }
});

for (const id of ["undo", "redo"]) $(id).addEventListener("click", () => ask(id));
addEventListener("keydown", e => {
  if (!(e.ctrlKey || e.metaKey) || e.altKey || e.target.matches("input:not([type=range],[type=radio],[type=checkbox])")) return;
  const key = e.key.toLowerCase();
  const act = key === "y" || (key === "z" && e.shiftKey) ? "redo" : key === "z" ? "undo" : "";
  if (!act) return;
  e.preventDefault();
  ask(act);
});
