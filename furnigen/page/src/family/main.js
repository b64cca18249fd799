// The page of a family: variants as cards, table and drawing, filtered and sorted.

import { $, el, press } from "../dom.js";
import { draw, nearest } from "./chart.js";
import { add, choose, clear, showDirection } from "./filters.js";
import { card, table } from "./list.js";
import { chosen, columns, numbers, rows, shown, state, statuses, tables, words } from "./variants.js";

const CARDS = 60, LINES = 200; // on a page

let list = [], front = [];

function refresh(page) {
  state.page = page || 1;
  list = chosen();
  $("count").textContent = list.length === rows.length
    ? rows.length.toLocaleString("en") + " variants"
    : list.length.toLocaleString("en") + " of " + rows.length.toLocaleString("en") + " variants";
  redraw();
}

function redraw() {
  front = draw(list, go);
  fill();
}

function sortBy(column) {
  state.down = state.sort === column && !state.down;
  state.sort = column;
  $("sort").value = String(column);
  showDirection();
  refresh();
}

function fill() {
  const each = state.view === "cards" ? CARDS : LINES, part = list.slice(0, each * state.page);
  const cards = state.view === "cards";
  const whole = cards ? el("div", { class: "grid" }, ...part.map(r => card(r, front))) : table(part, sortBy);
  $("list").replaceChildren(whole);
  $("next").hidden = part.length === list.length;
  $("next").textContent = "Show more (" + (list.length - part.length).toLocaleString("en") + " left)";
}
function go(r) {
  state.at = r.i;
  const place = list.indexOf(r), each = state.view === "cards" ? CARDS : LINES;
  if (place >= each * state.page) state.page = Math.ceil((place + 1) / each);
  redraw();
  const there = $("v" + r.i);
  if (there) there.scrollIntoView({ block: "center" });
}

function view(name) {
  state.view = name;
  pressView();
  state.page = 1; fill();
}
function pressView() {
  for (const name of ["cards", "rows"]) press($(name), state.view === name);
}

const family = { i: -1, head: "the family's order" };
choose($("sort"), [family, ...columns], -1);
choose($("more"), [{ i: -1, head: "choose a column" }, ...columns.filter(c => !c.given)], -1);
if (numbers.length) {
  const x = numbers.find(c => c.label === "mass") || numbers[0];
  const y = numbers.find(c => c.given && c !== x) || numbers.find(c => c !== x) || x;
  choose($("x"), numbers, x.i); choose($("y"), numbers, y.i);
  $("xbetter").value = x.less ? "1" : "0"; $("ybetter").value = y.less ? "1" : "0";
}
$("tables").replaceChildren(...tables.map(t => el("a", { href: encodeURIComponent(t) }, t)));
clear(refresh);
pressView();
$("key").replaceChildren(...statuses.map(s => {
  return el("li", {}, el("i", { class: "s-" + s + " k-" + s }), words[s]);
}), el("li", {}, el("i", { class: "ring" }), "best front"));
$("find").addEventListener("input", e => { state.find = e.target.value; refresh(); });
$("sort").addEventListener("change", e => { state.sort = +e.target.value; refresh(); });
$("turn").addEventListener("click", () => { state.down = !state.down; showDirection(); refresh(); });
$("more").addEventListener("change", e => {
  if (+e.target.value >= 0) add(+e.target.value, refresh);
  e.target.value = "-1";
});
$("clear").addEventListener("click", () => { clear(refresh); refresh(); });
for (const id of ["x", "y"]) {
  $(id).addEventListener("change", e => {
    $(id + "better").value = columns[+e.target.value].less ? "1" : "0";
    redraw();
  });
  $(id + "better").addEventListener("change", () => { redraw(); });
}
$("cards").addEventListener("click", () => view("cards"));
$("rows").addEventListener("click", () => view("rows"));
$("next").addEventListener("click", () => { state.page += 1; fill(); });
$("chart").addEventListener("mousemove", e => {
  const r = nearest(e);
  const value = id => "\n" + columns[+$(id).value].label + " " + shown(r.cells[+$(id).value]);
  $("chart").title = r ? r.name + value("x") + value("y") : "";
});
$("chart").addEventListener("click", e => { const r = nearest(e); if (r) go(r); });
$("chart").addEventListener("keydown", e => {
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key];
  if (!step || !front.length) return;
  e.preventDefault();
  const k = front.findIndex(r => r.i === state.at);
  state.at = front[(k + step + front.length) % front.length].i;
  redraw();
  $("frontnote").textContent = front.find(r => r.i === state.at).name;
});
const drawAgain = () => {
  front = draw(list, go);
};
addEventListener("resize", drawAgain);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAgain);
refresh();
