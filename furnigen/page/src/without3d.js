// Browsers that show no 3D, or lose it: a picture stands in its place.

import { $ } from "./dom.js";

export const has3D = () => Boolean(document.createElement("canvas").getContext("webgl2"));

/** Show the picture in place of the view, or the view. */
export function showPicture(on) {
  document.documentElement.dataset.view = on ? "picture" : "3d";
  $("no3d").hidden = !on;
}

/** Let a view that is lost give way to the picture until it is there again. */
export function givesWay(stage) {
  stage.canvas.addEventListener("webglcontextlost", () => showPicture(true));
  stage.canvas.addEventListener("webglcontextrestored", () => {
    showPicture(false);
    stage.draw();
  });
}
