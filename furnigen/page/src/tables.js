// Tables of the lists: sorted by any column, and the rows that hold some words.

import { $, el } from "./dom.js";
import { holds, ordered } from "./order.js";

/** What a cell is sorted by: its number, its tick, else its text. */
function sortedBy(row, column) {
  const cell = row.cells[column], box = cell?.querySelector("input[type=checkbox]");
  if (!cell) return null;
  if (box) return box.checked ? 1 : 0;
  if (!cell.classList.contains("n")) return cell.textContent;
  const number = Number(cell.dataset.value ?? cell.textContent.replaceAll(",", ""));
  return Number.isNaN(number) ? cell.textContent : number;
}

/** Let a table be sorted by its headings: upward, downward, as it came. */
function sortable(table) {
  const body = table.tBodies[0], came = [...body.rows];
  let by = -1, down = false;
  const heads = [...table.tHead.rows[0].cells];
  const sort = column => {
    if (by === column && down) by = -1;
    else [by, down] = [column, by === column];
    body.append(...(by < 0 ? came : ordered(came, row => sortedBy(row, by), down)));
    heads.forEach((head, i) => {
      head.setAttribute("aria-sort", i === by ? (down ? "descending" : "ascending") : "none");
    });
  };
  heads.forEach((head, column) => {
    const button = el("button", { type: "button", class: "sort" }, head.textContent);
    button.addEventListener("click", () => sort(column));
    head.replaceChildren(button);
  });
}

/** A field that leaves the rows of a table that hold what is typed. */
function findable(table, what) {
  const rows = [...table.tBodies[0].rows];
  const field = el("input", { type: "search", placeholder: "part or stock", "aria-label": `Find in the ${what}` });
  const left = el("span", { class: "quiet", role: "status" });
  field.addEventListener("input", () => {
    for (const row of rows) row.hidden = !holds(row.textContent, field.value);
    const seen = rows.filter(row => !row.hidden).length;
    left.textContent = field.value ? `${seen} of ${rows.length}` : "";
  });
  table.parentElement.before(el("p", { class: "find" }, field, left));
}

/** All tables of the lists that may be sorted, and the field of the cut list. */
export function liveTables() {
  for (const table of document.querySelectorAll("#sizes table, #parts table, #hardware table")) sortable(table);
  const parts = $("parts")?.querySelector("table");
  if (parts) findable(parts, "cut list");
}
