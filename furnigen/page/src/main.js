// The job page: a piece that stays as it is, with the view and its lists.

import { $ } from "./dom.js";
import { keepTicks } from "./lists.js";
import { showPlates } from "./plates.js";
import { liveTables } from "./tables.js";
import { View } from "./view.js";

globalThis.furnigenPage = (model, plates) => {
  const data = JSON.parse($("data").textContent);
  keepTicks(data.key);
  liveTables();
  showPlates(plates);
  if (!document.createElement("canvas").getContext("webgl2")) {
    showPicture(true);
    return;
  }
  showPicture(false);
  const canvas = $("canvas");
  globalThis.furnigenView = new View(canvas, model, data);
  canvas.addEventListener("webglcontextlost", () => showPicture(true));
  canvas.addEventListener("webglcontextrestored", () => {
    showPicture(false);
    globalThis.furnigenView.stage.draw();
  });
  document.documentElement.dataset.ready = "";
};

/** Show the picture in place of the view, where the browser has no 3D, or has lost it. */
function showPicture(on) {
  document.documentElement.dataset.view = on ? "picture" : "3d";
  $("no3d").hidden = !on;
}
