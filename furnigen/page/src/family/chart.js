// Variants as points of a drawing of two columns, with the best front.

import { $, el } from "../dom.js";
import { bestFront } from "./front.js";
import { heading } from "./list.js";
import { columns, numbers, shown, state, statuses } from "./variants.js";

let points = [];

function tint(status) {
  const probe = document.querySelector(".s-" + status) || document.body;
  return getComputedStyle(probe).getPropertyValue("--c").trim() ||
    getComputedStyle(document.body).getPropertyValue("--none").trim();
}
function look(name) { return getComputedStyle(document.body).getPropertyValue(name).trim(); }

function steps(low, high) {
  const rough = (high - low) / 5 || 1, ten = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map(m => m * ten).find(s => s >= rough);
  const out = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + step * 1e-9; v += step)
    out.push(+v.toPrecision(12));
  return out;
}

/**
 * Draw the variants anew.
 * @param {object[]} list those that are shown
 * @param {(variant: object) => void} go is told which one of the front was pressed
 * @returns {object[]} the best front
 */
export function draw(list, go) {
  const chart = $("chart"), x = +$("x").value, y = +$("y").value;
  if (!numbers.length) {
    $("plot").hidden = true;
    return [];
  }
  const ratio = window.devicePixelRatio || 1, w = chart.clientWidth, h = chart.clientHeight;
  chart.width = w * ratio; chart.height = h * ratio;
  const c = chart.getContext("2d");
  c.scale(ratio, ratio);
  c.clearRect(0, 0, w, h);
  const at = list.filter(r => typeof r.cells[x] === "number" && typeof r.cells[y] === "number");
  const lessX = $("xbetter").value === "1", lessY = $("ybetter").value === "1";
  const front = bestFront(list, x, y, lessX, lessY);
  const inFront = new Set(front);
  const span = i => {
    let low = Infinity, high = -Infinity;
    for (const r of at) { low = Math.min(low, r.cells[i]); high = Math.max(high, r.cells[i]); }
    if (!at.length) return [0, 1];
    const pad = (high - low) * 0.06 || Math.abs(high) * 0.05 || 1;
    return [low - pad, high + pad];
  };
  const [x0, x1] = span(x), [y0, y1] = span(y), left = 66, right = w - 14, top = 12, bottom = h - 46;
  const px = v => left + (v - x0) / (x1 - x0) * (right - left);
  const py = v => bottom - (v - y0) / (y1 - y0) * (bottom - top);
  c.font = "13px system-ui, sans-serif";
  c.lineWidth = 1;
  c.textAlign = "center";
  for (const v of steps(x0, x1)) {
    c.strokeStyle = look("--line"); c.beginPath(); c.moveTo(px(v), top); c.lineTo(px(v), bottom); c.stroke();
    c.fillStyle = look("--quiet"); c.fillText(shown(v), px(v), bottom + 18);
  }
  c.textAlign = "right";
  for (const v of steps(y0, y1)) {
    c.strokeStyle = look("--line"); c.beginPath(); c.moveTo(left, py(v)); c.lineTo(right, py(v)); c.stroke();
    c.fillStyle = look("--quiet"); c.fillText(shown(v), left - 8, py(v) + 4);
  }
  c.fillStyle = look("--ink");
  c.textAlign = "center"; c.fillText(columns[x].head, (left + right) / 2, h - 8);
  c.save(); c.translate(14, (top + bottom) / 2); c.rotate(-Math.PI / 2);
  c.fillText(columns[y].head, 0, 0); c.restore();
  points = at.map(r => [px(r.cells[x]), py(r.cells[y]), r]);
  const size = at.length > 1500 ? 2.5 : at.length > 300 ? 4 : 6;
  const colours = new Map(statuses.map(s => [s, tint(s)]));
  c.globalAlpha = at.length > 300 ? 0.7 : 0.85;
  for (const [u, v, r] of points) {
    c.fillStyle = colours.get(r.status);
    c.beginPath();
    // a shape of its own for each outcome, so that colour is never alone
    if (r.status === "fail") c.rect(u - size, v - size, 2 * size, 2 * size);
    else if (r.status === "warn") {
      c.moveTo(u, v - 1.3 * size);
      c.lineTo(u + 1.2 * size, v + size);
      c.lineTo(u - 1.2 * size, v + size);
    } else c.arc(u, v, size, 0, 7);
    c.fill();
  }
  c.globalAlpha = 1;
  c.strokeStyle = look("--clay"); c.lineWidth = 2;
  c.setLineDash([5, 4]); c.beginPath();
  front.forEach((r, k) => {
    const u = px(r.cells[x]), v = py(r.cells[y]);
    if (k) { c.lineTo(u, py(front[k - 1].cells[y])); c.lineTo(u, v); } else c.moveTo(u, v);
  });
  const crowded = front.length > 60;
  c.stroke(); c.setLineDash([]); c.lineWidth = crowded ? 1 : 2.5;
  const ring = (u, v, radius) => { c.beginPath(); c.arc(u, v, radius, 0, 7); c.stroke(); };
  for (const [u, v, r] of points) if (inFront.has(r)) ring(u, v, size + (crowded ? 2 : 4));
  c.strokeStyle = look("--ink");
  for (const [u, v, r] of points) if (r.i === state.at) ring(u, v, size + 8);
  const better = less => less ? "less" : "more";
  $("frontnote").textContent = front.length
    ? "Nothing shown that passes beats these: " + better(lessX) + " " + columns[x].label + " would cost " +
      columns[y].label + ", and " + better(lessY) + " " + columns[y].label + " would cost " +
      columns[x].label + "."
    : "No variant shown has both numbers and passes.";
  chart.setAttribute("aria-label", columns[y].head + " against " + columns[x].head + ", " + at.length +
    " variants, " + front.length + " on the best front");
  $("front").replaceChildren(...front.slice(0, 100).map(r => {
    const b = el("button", { type: "button", title: r.name }, heading(r));
    b.addEventListener("click", () => go(r));
    return el("li", {}, b, el("span", { class: "quiet" }, "  " + shown(r.cells[x]) + " " + columns[x].unit +
      ", " + shown(r.cells[y]) + " " + columns[y].unit));
  }));
  return front;
}

/** The variant drawn nearest to the pointer; none far off. */
export function nearest(e) {
  const box = $("chart").getBoundingClientRect(), u = e.clientX - box.left, v = e.clientY - box.top;
  let best = null, far = 18 ** 2;
  for (const [a, b, r] of points) {
    const d = (a - u) ** 2 + (b - v) ** 2;
    if (d < far) { far = d; best = r; }
  }
  return best;
}
