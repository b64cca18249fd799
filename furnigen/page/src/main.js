// The job page: a piece that stays as it is, with the view and its lists.

import { $ } from "./dom.js";
import { keepTicks } from "./lists.js";
import { showPlates } from "./plates.js";
import { liveTables } from "./tables.js";
import { givesWay, has3D, showPicture } from "./without3d.js";
import { View } from "./view.js";

globalThis.furnigenPage = (model, plates) => {
  const data = JSON.parse($("data").textContent);
  keepTicks(data.key);
  liveTables();
  showPlates(plates);
  if (!has3D()) {
    showPicture(true);
    return;
  }
  showPicture(false);
  globalThis.furnigenView = new View($("canvas"), model, data);
  givesWay(globalThis.furnigenView.stage);
  document.documentElement.dataset.ready = "";
};
