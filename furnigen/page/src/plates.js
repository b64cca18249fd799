// The drawings of a page: unpacked when the page is there, each put in its place when that comes into sight, and
// looked at larger in a window of its own.

import { $ } from "./dom.js";

const NEAR = "800px"; // how far out of sight a drawing is put in its place already
const STEP = 1.5, SMALLEST = 1, LARGEST = 8; // of the size at which all of it is seen

/**
 * @param {() => Promise<string>} unpack gives lines of JSON: fonts as [family, base64], then each drawing as SVG
 */
export async function showPlates(unpack) {
  const slots = [...document.querySelectorAll("[data-plate]")];
  if (!slots.length) return;
  const [fonts, ...drawings] = (await unpack()).trimEnd().split("\n");
  for (const [family, data] of JSON.parse(fonts)) {
    const font = new FontFace(family, Uint8Array.from(atob(data), c => c.charCodeAt(0)));
    document.fonts.add(font);
    font.load();
  }
  const drawing = slot => {
    const text = JSON.parse(drawings[Number(slot.dataset.plate)]);
    const svg = document.importNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement, true);
    svg.removeAttribute("width");
    svg.removeAttribute("height");
    return svg;
  };
  const fill = slot => {
    if (slot.dataset.filled) return;
    slot.dataset.filled = "1";
    slot.replaceChildren(drawing(slot));
  };
  const sight = new IntersectionObserver(seen => {
    for (const { target, isIntersecting } of seen) {
      if (!isIntersecting) continue;
      fill(target);
      sight.unobserve(target);
    }
  }, { rootMargin: NEAR });
  for (const slot of slots) sight.observe(slot);
  addEventListener("beforeprint", () => slots.filter(slot => !slot.closest("details:not([open])")).forEach(fill));
  enlarge(slots, drawing);
  document.documentElement.dataset.plates = "";
}

/** Look at one drawing in a window, larger and smaller, and go on to the next. */
function enlarge(slots, drawing) {
  const window_ = $("larger"), page = $("larger-page");
  let at = 0, zoom = 1;
  const size = () => {
    const svg = page.firstElementChild, { width, height } = svg.viewBox.baseVal;
    const whole = Math.min(page.clientWidth, (page.clientHeight * width) / height);
    svg.style.width = `${Math.floor(zoom * whole)}px`;
    $("smaller").disabled = zoom <= SMALLEST;
    $("bigger").disabled = zoom >= LARGEST;
  };
  const show = number => {
    at = number;
    zoom = 1;
    $("larger-head").textContent = slots[at].dataset.caption;
    page.replaceChildren(drawing(slots[at]));
    page.scrollTo(0, 0);
    $("earlier").disabled = at === 0;
    $("later").disabled = at === slots.length - 1;
    size();
  };
  const by = factor => {
    const x = (page.scrollLeft + page.clientWidth / 2) / page.scrollWidth;
    const y = (page.scrollTop + page.clientHeight / 2) / page.scrollHeight;
    zoom = Math.min(LARGEST, Math.max(SMALLEST, zoom * factor));
    size();
    page.scrollTo(x * page.scrollWidth - page.clientWidth / 2, y * page.scrollHeight - page.clientHeight / 2);
  };
  const presses = {
    smaller: () => by(1 / STEP), bigger: () => by(STEP), earlier: () => show(at - 1), later: () => show(at + 1),
    close: () => window_.close(),
  };
  for (const [id, act] of Object.entries(presses)) {
    $(id).addEventListener("click", () => {
      act();
      if ($(id).disabled) page.focus(); // a button that goes out of use would take the focus with it
    });
  }
  window_.addEventListener("keydown", e => {
    const id = { "+": "bigger", "=": "bigger", "-": "smaller", PageDown: "later", PageUp: "earlier" }[e.key];
    if (!id || e.ctrlKey || e.metaKey) return;
    e.preventDefault();
    $(id).click();
  });
  slots.forEach((slot, number) => {
    slot.addEventListener("click", e => {
      if (e.ctrlKey || e.metaKey || e.shiftKey) return;
      e.preventDefault();
      window_.showModal();
      show(number);
      page.focus();
    });
  });
}
