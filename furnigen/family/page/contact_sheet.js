"use strict";
(function () {
const data = JSON.parse(document.getElementById("data").textContent);
const columns = data.columns.map(([label, unit, number, given, less], i) =>
  ({ i, label, unit, number: !!number, given: !!given, less: !!less,
     head: unit ? label + " (" + unit + ")" : label }));
const rows = data.rows.map(([name, status, reason, cells, files, picture], i) =>
  ({ i, name, status, reason, cells, files, picture }));
const $ = id => document.getElementById(id);
const CARDS = 60, LINES = 200, FEW = 8;
const words = { pass: "passes", warn: "passes, with a warning", fail: "fails a check",
  refused: "can not be made", stopped: "stopped at a limit", crashed: "ended its worker" };
const statuses = Object.keys(words).filter(s => rows.some(r => r.status === s));
const numbers = columns.filter(c => c.number), pictured = rows.some(r => r.picture);
const state = { find: "", off: new Set(), sets: new Map(), spans: new Map(), sort: -1, down: false,
  view: pictured ? "cards" : "rows", page: 1, at: -1 };

function el(tag, attributes, ...inside) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(attributes || {})) {
    if (k === "class") e.className = v; else if (k in e && typeof v !== "string") e[k] = v;
    else e.setAttribute(k, v);
  }
  e.append(...inside);
  return e;
}
function shown(v) {
  if (v === null || v === undefined) return "\u2013";
  if (typeof v === "boolean") return v ? "yes" : "no";
  if (typeof v !== "number") return String(v);
  const a = Math.abs(v);
  const digits = Number.isInteger(v) ? 0 : a >= 1000 ? 1 : a >= 10 ? 2 : 3;
  return v.toLocaleString("en", { maximumFractionDigits: digits });
}
function link(row, file) {
  return [row.name, ...file.split("/")].map(encodeURIComponent).join("/");
}
function tint(status) {
  const probe = document.querySelector(".s-" + status) || document.body;
  return getComputedStyle(probe).getPropertyValue("--c").trim() ||
    getComputedStyle(document.body).getPropertyValue("--none").trim();
}
function look(name) { return getComputedStyle(document.body).getPropertyValue(name).trim(); }

function filtered() {
  const find = state.find.toLowerCase();
  return rows.filter(r => {
    if (state.off.has(r.status)) return false;
    if (find && !(r.name + " " + r.reason).toLowerCase().includes(find)) return false;
    for (const [i, set] of state.sets) if (!set.has(String(r.cells[i]))) return false;
    for (const [i, [low, high]] of state.spans) {
      const v = r.cells[i];
      if (low === null && high === null) continue;
      if (typeof v !== "number" || (low !== null && v < low) || (high !== null && v > high)) return false;
    }
    return true;
  });
}
function sorted(list) {
  const i = state.sort, sign = state.down ? -1 : 1;
  if (i < 0) return sign > 0 ? list : list.slice().reverse();
  return list.slice().sort((a, b) => {
    const x = a.cells[i], y = b.cells[i];
    if (x === y) return a.i - b.i;
    if (x === null) return 1;
    if (y === null) return -1;
    const both = typeof x === "number" && typeof y === "number";
    return sign * (both ? x - y : String(x).localeCompare(String(y)));
  });
}

// Variants that no other beats in one column without losing in the other; ties stay.
function bestFront(list, x, y, lessX, lessY) {
  const sx = lessX ? 1 : -1, sy = lessY ? 1 : -1;
  const all = list.filter(r => (r.status === "pass" || r.status === "warn") &&
    typeof r.cells[x] === "number" && typeof r.cells[y] === "number");
  all.sort((a, b) => sx * (a.cells[x] - b.cells[x]) || sy * (a.cells[y] - b.cells[y]) || a.i - b.i);
  const front = [];
  let best = Infinity;
  for (let k = 0; k < all.length;) {
    const here = all[k].cells[x], value = sy * all[k].cells[y];
    const keep = value < best;
    for (; k < all.length && all[k].cells[x] === here; k++)
      if (keep && sy * all[k].cells[y] === value) front.push(all[k]);
    best = Math.min(best, value);
  }
  return front;
}

let list = [], front = [], points = [];
function refresh(page) {
  state.page = page || 1;
  list = sorted(filtered());
  $("count").textContent = list.length === rows.length
    ? rows.length.toLocaleString("en") + " variants"
    : list.length.toLocaleString("en") + " of " + rows.length.toLocaleString("en") + " variants";
  draw();
  fill();
}

function steps(low, high) {
  const rough = (high - low) / 5 || 1, ten = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map(m => m * ten).find(s => s >= rough);
  const out = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + step * 1e-9; v += step)
    out.push(+v.toPrecision(12));
  return out;
}
function draw() {
  const chart = $("chart"), x = +$("x").value, y = +$("y").value;
  if (!numbers.length) { $("plot").hidden = true; return; }
  const ratio = window.devicePixelRatio || 1, w = chart.clientWidth, h = chart.clientHeight;
  chart.width = w * ratio; chart.height = h * ratio;
  const c = chart.getContext("2d");
  c.scale(ratio, ratio);
  c.clearRect(0, 0, w, h);
  const at = list.filter(r => typeof r.cells[x] === "number" && typeof r.cells[y] === "number");
  const lessX = $("xbetter").value === "1", lessY = $("ybetter").value === "1";
  front = bestFront(list, x, y, lessX, lessY);
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
    if (r.status === "fail") c.rect(u - size, v - size, 2 * size, 2 * size); else c.arc(u, v, size, 0, 7);
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
}

function links(r) {
  return r.files.map(f => el("a", { href: link(r, f) }, f));
}
function heading(r) {
  const parts = columns.filter(c => c.given && r.cells[c.i] !== null)
    .map(c => c.label + "\u00a0" + (shown(r.cells[c.i]) + " " + c.unit).trim().replaceAll(" ", "\u00a0"));
  return parts.join(", ") || r.name;
}
function card(r) {
  const c = el("article", { class: "card s-" + r.status + (front.includes(r) ? " best" : "") +
    (r.i === state.at ? " at" : ""), id: "v" + r.i });
  if (r.picture) {
    const image = el("img", { alt: "Picture of " + r.name, loading: "lazy" });
    image.src = r.picture.startsWith("data:") ? r.picture : link(r, r.picture);
    c.append(image);
  } else if (pictured) c.append(el("div", { class: "blank", "aria-hidden": "true" }, words[r.status]));
  const body = el("div", { class: "body" }, el("h3", { title: r.name }, heading(r)));
  const best = front.includes(r) ? "; on the best front" : "";
  body.append(el("span", { class: "tag" }, words[r.status] + best));
  const facts = el("dl", {});
  for (const i of new Set([...usual, state.sort, +$("x").value, +$("y").value]))
    if (i >= 0 && !columns[i].given && r.cells[i] !== null)
      facts.append(el("dt", {}, columns[i].label), el("dd", {}, shown(r.cells[i]) + " " + columns[i].unit));
  body.append(facts);
  if (r.reason) body.append(el("p", { class: "why" }, r.reason));
  if (r.files.length) body.append(el("div", { class: "links" }, ...links(r)));
  c.append(body);
  return c;
}
function table(part) {
  const named = new Set([...usual, ...state.spans.keys(), state.sort, +$("x").value, +$("y").value]);
  const wanted = columns.filter(c => c.given || named.has(c.i));
  const head = el("tr", {}, el("th", { scope: "col" }, "no."), el("th", { scope: "col" }, "outcome"));
  for (const c of wanted) {
    const arrow = c.i !== state.sort ? "" : state.down ? " \u2193" : " \u2191";
    const b = el("button", { type: "button" }, c.head + arrow);
    b.addEventListener("click", () => {
      state.down = state.sort === c.i && !state.down;
      state.sort = c.i; $("sort").value = c.i; showDirection(); refresh();
    });
    head.append(el("th", { scope: "col", class: c.number ? "n" : "", "aria-sort": c.i === state.sort ?
      (state.down ? "descending" : "ascending") : "none" }, b));
  }
  head.append(el("th", { scope: "col" }, "files"), el("th", { scope: "col" }, "why"));
  const body = el("tbody", {});
  for (const r of part) {
    const line = el("tr", { id: "v" + r.i, class: "s-" + r.status + (r.i === state.at ? " at" : "") },
      el("th", { scope: "row", title: r.name }, String(r.i + 1)),
      el("td", {}, el("span", { class: "tag" }, words[r.status])));
    for (const c of wanted) line.append(el("td", { class: c.number ? "n" : "" }, shown(r.cells[c.i])));
    line.append(el("td", { class: "files" }, ...links(r).flatMap(a => [a, " "])), el("td", { class: "name" }, r.reason));
    body.append(line);
  }
  return el("div", { class: "scroll", tabindex: "0" }, el("table", {}, el("thead", {}, head), body));
}
function fill() {
  const each = state.view === "cards" ? CARDS : LINES, part = list.slice(0, each * state.page);
  const whole = state.view === "cards" ? el("div", { class: "grid" }, ...part.map(card)) : table(part);
  $("list").replaceChildren(whole);
  $("next").hidden = part.length === list.length;
  $("next").textContent = "Show more (" + (list.length - part.length).toLocaleString("en") + " left)";
}
function go(r) {
  state.at = r.i;
  const place = list.indexOf(r), each = state.view === "cards" ? CARDS : LINES;
  if (place >= each * state.page) state.page = Math.ceil((place + 1) / each);
  draw(); fill();
  const there = $("v" + r.i);
  if (there) there.scrollIntoView({ block: "center" });
}

function choose(select, list, value) {
  select.replaceChildren(...list.map(c => el("option", { value: String(c.i) }, c.head)));
  select.value = String(value);
}
function filter(c) {
  const box = el("fieldset", {}, el("legend", {}, c.head));
  const values = [...new Set(rows.map(r => r.cells[c.i]))].filter(v => v !== null && v !== undefined);
  if (values.length <= FEW && c.given || !c.number) {
    values.sort((a, b) => c.number ? a - b : String(a).localeCompare(String(b)));
    const on = new Set(values.map(String));
    for (const v of values) {
      const tick = el("input", { type: "checkbox", checked: true });
      tick.addEventListener("change", () => {
        if (tick.checked) on.add(String(v)); else on.delete(String(v));
        if (on.size === values.length) state.sets.delete(c.i); else state.sets.set(c.i, on);
        refresh();
      });
      box.append(el("label", {}, tick, shown(v)));
    }
  } else {
    const low = el("input", { type: "number", step: "any", "aria-label": c.head + " at least" });
    const high = el("input", { type: "number", step: "any", "aria-label": c.head + " at most" });
    const read = e => e.value === "" ? null : +e.value;
    for (const e of [low, high]) e.addEventListener("input", () => {
      state.spans.set(c.i, [read(low), read(high)]); refresh();
    });
    const all = values.filter(v => typeof v === "number");
    low.placeholder = shown(all.reduce((a, b) => Math.min(a, b), Infinity));
    high.placeholder = shown(all.reduce((a, b) => Math.max(a, b), -Infinity));
    box.append("from", low, "to", high);
  }
  if (!c.given) {
    const off = el("button", { type: "button", class: "off", "aria-label": "Take away" }, "\u00d7");
    off.addEventListener("click", () => {
      state.spans.delete(c.i); state.sets.delete(c.i); box.remove(); refresh();
    });
    box.append(off);
  }
  return box;
}
function showDirection() {
  $("turn").textContent = state.down ? "high to low" : "low to high";
  $("turn").setAttribute("aria-pressed", String(state.down));
}
function view(name) {
  state.view = name;
  press(name);
  state.page = 1; fill();
}
function press(name) {
  $("cards").setAttribute("aria-pressed", String(name === "cards"));
  $("rows").setAttribute("aria-pressed", String(name === "rows"));
}
function controls() {
  state.find = $("find").value = "";
  state.off.clear(); state.sets.clear(); state.spans.clear();
  state.sort = -1; state.down = false;
  $("statuses").replaceChildren(el("legend", {}, "Outcome"), ...statuses.map(s => {
    const tick = el("input", { type: "checkbox", checked: true });
    tick.addEventListener("change", () => { state.off[tick.checked ? "delete" : "add"](s); refresh(); });
    return el("label", { class: "s-" + s }, tick, el("span", { class: "tag" }, words[s] + " (" +
      rows.filter(r => r.status === s).length + ")"));
  }));
  $("filters").replaceChildren(...columns.filter(c => c.given).map(filter));
  $("sort").value = "-1";
  showDirection();
}

const family = { i: -1, head: "the family's order" };
const given = columns.filter(c => c.given).map(c => c.i);
const measured = numbers.filter(c => !c.given).slice(0, 4).map(c => c.i);
const usual = columns.filter(c => given.includes(c.i) || measured.includes(c.i)).map(c => c.i);
choose($("sort"), [family, ...columns], -1);
choose($("more"), [{ i: -1, head: "choose a column" }, ...columns.filter(c => !c.given)], -1);
if (numbers.length) {
  const x = numbers.find(c => c.label === "mass") || numbers[0];
  const y = numbers.find(c => c.given && c !== x) || numbers.find(c => c !== x) || x;
  choose($("x"), numbers, x.i); choose($("y"), numbers, y.i);
  $("xbetter").value = x.less ? "1" : "0"; $("ybetter").value = y.less ? "1" : "0";
}
$("tables").replaceChildren(...data.tables.map(t => el("a", { href: encodeURIComponent(t) }, t)));
controls();
press(state.view);
$("key").replaceChildren(...statuses.map(s => {
  const dot = el("i", { class: "s-" + s }); dot.style.background = "var(--c)";
  if (s === "fail") dot.style.borderRadius = "0";
  return el("li", {}, dot, words[s]);
}), el("li", {}, el("i", { class: "ring" }), "best front"));
$("find").addEventListener("input", e => { state.find = e.target.value; refresh(); });
$("sort").addEventListener("change", e => { state.sort = +e.target.value; refresh(); });
$("turn").addEventListener("click", () => { state.down = !state.down; showDirection(); refresh(); });
$("more").addEventListener("change", e => {
  if (+e.target.value >= 0) $("filters").append(filter(columns[+e.target.value]));
  e.target.value = "-1";
});
$("clear").addEventListener("click", () => { controls(); refresh(); });
for (const id of ["x", "y"]) {
  $(id).addEventListener("change", e => {
    $(id + "better").value = columns[+e.target.value].less ? "1" : "0";
    draw(); fill();
  });
  $(id + "better").addEventListener("change", () => { draw(); fill(); });
}
$("cards").addEventListener("click", () => view("cards"));
$("rows").addEventListener("click", () => view("rows"));
$("next").addEventListener("click", () => { state.page += 1; fill(); });
function nearest(e) {
  const box = $("chart").getBoundingClientRect(), u = e.clientX - box.left, v = e.clientY - box.top;
  let best = null, far = 18 ** 2;
  for (const [a, b, r] of points) {
    const d = (a - u) ** 2 + (b - v) ** 2;
    if (d < far) { far = d; best = r; }
  }
  return best;
}
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
  draw(); fill();
  $("frontnote").textContent = front.find(r => r.i === state.at).name;
});
window.addEventListener("resize", draw);
window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
refresh();
})();
