// The lists beside the view: their rows and the parts light each other up, and their boxes keep their ticks.

const labelsOf = row => JSON.parse(row.dataset.labels);

/**
 * Ties rows to what they speak of.
 * @param {(labels: string[], row: HTMLElement) => void} chosen is told the labels of a row that is pressed
 * @param {(labels: string[]) => void} pointed is told the labels of a row that the pointer or the keyboard is on
 * @returns {(labels: string[], scroll: boolean) => void} marks the rows of some labels
 */
export function tieRows(chosen, pointed) {
  const rows = [...document.querySelectorAll("[data-labels]")];
  for (const row of rows) {
    row.addEventListener("click", e => {
      if (e.target.closest("input, a, summary")) return;
      e.stopPropagation();
      chosen(labelsOf(row), row);
    });
    row.addEventListener("pointerenter", () => pointed(labelsOf(row)));
    row.addEventListener("pointerleave", () => pointed([]));
    row.addEventListener("focusin", () => pointed(labelsOf(row)));
    row.addEventListener("focusout", () => pointed([]));
  }
  return (labels, scroll) => {
    const lit = new Set(labels);
    let first = null;
    for (const row of rows) {
      const on = labelsOf(row).some(label => lit.has(label));
      row.classList.toggle("lit", on);
      if (on && row.closest("#parts")) first ||= row;
    }
    if (scroll && first && matchMedia("(min-width: 1000px)").matches) {
      const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
      first.scrollIntoView({ block: "nearest", behavior: still ? "auto" : "smooth" });
    }
  };
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
