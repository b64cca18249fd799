// What is shown of a table's rows, and in which order.

/**
 * Rows by a value of theirs: numbers by size, texts by the alphabet, rows without one last; equal ones as they were.
 * @template T
 * @param {T[]} rows
 * @param {(row: T) => number | string | boolean | null | undefined} value
 * @param {boolean} down the largest first
 * @returns {T[]} in a list of their own
 */
export function ordered(rows, value, down) {
  const sign = down ? -1 : 1;
  const none = v => v === null || v === undefined || v === "";
  return rows.map((row, i) => ({ row, i, v: value(row) })).sort((a, b) => {
    if (none(a.v) || none(b.v)) return none(a.v) - none(b.v) || a.i - b.i;
    const both = typeof a.v === "number" && typeof b.v === "number";
    const by = both ? a.v - b.v : String(a.v).localeCompare(String(b.v), "en", { numeric: true });
    return sign * by || a.i - b.i;
  }).map(({ row }) => row);
}

/** Whether a text holds all words that are looked for, whatever their case. */
export function holds(text, words) {
  const low = text.toLowerCase();
  return words.toLowerCase().split(/\s+/).every(word => low.includes(word));
}
