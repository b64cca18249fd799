// The lists beside the view: their rows and the parts light each other up, and their boxes keep their ticks.

const labelsOf = row => JSON.parse(row.dataset.labels);

/**
 * Ties rows to what they speak of; rows may be written anew at any time.
 * @param {object} told
 * @param {(labels: string[], row: HTMLElement) => void} told.chosen a row was pressed
 * @param {(labels: string[]) => void} told.pointed the pointer or the keyboard is on a row; none for on no row
 * @param {(number: number) => void} told.stepped a step of the assembly was pressed, from 0
 * @returns {(labels: string[], scroll: boolean) => void} marks the rows of some labels
 */
export function tieRows({ chosen, pointed, stepped }) {
  const rowOf = target => (target instanceof Element ? target.closest("[data-labels]") : null);
  document.addEventListener("click", e => {
    const step = e.target.closest("[data-step]");
    if (step) stepped(Number(step.dataset.step));
    const row = rowOf(e.target);
    if (row && !e.target.closest("input, a, summary, [data-own]")) chosen(labelsOf(row), row);
  });
  let last = null;
  const on = row => {
    if (row === last) return;
    last = row;
    pointed(row ? labelsOf(row) : []);
  };
  for (const kind of ["pointerover", "focusin"]) document.addEventListener(kind, e => on(rowOf(e.target)));
  return (labels, scroll) => {
    const lit = new Set(labels);
    let first = null;
    for (const row of document.querySelectorAll("[data-labels]")) {
      const mine = labelsOf(row).some(label => lit.has(label));
      row.classList.toggle("lit", mine);
      if (mine && row.closest("#parts")) first ||= row;
    }
    if (scroll && first) intoSight(first);
  };
}

/** Scroll the lists to a row, where they stand beside the view: below it, that would scroll the view away. */
export function intoSight(row) {
  if (!matchMedia("(min-width: 1000px)").matches) return;
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  row.scrollIntoView({ block: "nearest", behavior: still ? "auto" : "smooth" });
}

/**
 * Boxes that stay ticked in this browser, of this very piece.
 * @param {string} piece names the piece and its sizes
 */
export function keepTicks(piece) {
  const key = `furnigen ${piece}`;
  const boxes = [...document.querySelectorAll("input[data-tick]")];
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem(key)) || {};
  } catch {
    // a browser that keeps nothing still shows boxes
  }
  const count = () => {
    for (const note of document.querySelectorAll("[data-count]")) {
      const own = boxes.filter(box => box.dataset.tick.startsWith(note.dataset.count));
      note.textContent = `${own.filter(box => box.checked).length} of ${own.length}`;
    }
  };
  for (const box of boxes) {
    box.checked = kept[box.dataset.tick] === 1;
    box.addEventListener("change", () => {
      kept[box.dataset.tick] = box.checked ? 1 : 0;
      count();
      try {
        localStorage.setItem(key, JSON.stringify(kept));
      } catch {
        // as above
      }
    });
  }
  count();
}
