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
    document.documentElement.dataset.view = "picture";
    $("no3d").hidden = false;
    return;
  }
  document.documentElement.dataset.view = "3d";
  globalThis.furnigenView = new View($("canvas"), model, data);
  document.documentElement.dataset.ready = "";
};
