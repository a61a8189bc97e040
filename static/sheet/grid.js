// Where the boxes of the sheet stand, and which comes after which.
import { boxIn, isBox } from "./boxes.js";

const sheet = () => document.getElementById("sheet");

const isFolded = (element) => element.closest("details:not([open])") !== null;

/** All boxes in the order of the sheet, but those that are folded away. */
export const boxes = () => [...sheet().elements].filter((box) => isBox(box) && !isFolded(box));

/** The rows of a table that hold results, from the top. */
export const rowsOf = (table) => [...table.querySelectorAll("tbody tr:not(.group, .panels)")];

/** The box in a row and a column of a table, both from 0, the row's title not counted. */
export const boxAt = (table, row, column) => boxIn(rowsOf(table)[row]?.cells[column + 1]);

/** The table, row and column of a box. */
export function placeOf(box) {
  const td = box.closest("td");
  const table = td.closest("table");
  return { table, row: rowsOf(table).indexOf(td.closest("tr")), column: td.cellIndex - 1 };
}

let last = null;

document.addEventListener("focusin", (event) => {
  if (isBox(event.target)) bringIntoView(event.target);
});

/** Where a table scrolls within itself, its heads are in view as long as all of it is. */
export function bringIntoView(box) {
  last = box;
  const scroller = box.closest(".sheet-box");
  if (getComputedStyle(scroller).overflowY === "auto") scroller.scrollIntoView({ block: "nearest" });
}

/** The box that has the keyboard, or had it last; null before any had. */
export const active = () => (last?.isConnected ? last : null);

const tables = () => [...sheet().querySelectorAll("table.sheet")].filter((table) => !isFolded(table));

const widthOf = (table) => table.tHead.rows[0].cells.length - 1;

function inColumn(table, column, from, step) {
  const rows = rowsOf(table);
  for (let row = from; row >= 0 && row < rows.length; row += step) {
    const found = boxIn(rows[row].cells[column + 1]);
    if (found) return found;
  }
  return null;
}

/** The next box of a column of its table, `step` 1 down or -1 up; null at the edge. */
export function vertical(box, step) {
  const { table, row, column } = placeOf(box);
  return inColumn(table, column, row + step, step);
}

/** The next box of its row, `step` 1 to the right or -1 to the left; null at the edge. */
export function horizontal(box, step) {
  const { table, row, column } = placeOf(box);
  for (let at = column + step; at >= 0 && at < widthOf(table); at += step) {
    const found = boxAt(table, row, at);
    if (found) return found;
  }
  return null;
}

/** The next box in the order of the sheet; null at its end. */
export function following(box, step) {
  const all = boxes();
  return all[all.indexOf(box) + step] ?? null;
}

/** The next box that is due and empty, from the sheet's start again after its end; null for none. */
export function nextDue(box) {
  const all = boxes();
  const after = all.indexOf(box) + 1;
  return [...all.slice(after), ...all.slice(0, after - 1)]
    .find((other) => !other.value.trim() && !other.closest("td").matches(".optional")) ?? null;
}

/** Whether a table is laid out as one column of boxes, as on a telephone. */
const flows = (table) => getComputedStyle(table).display === "block";

/**
 * Where Enter goes: down the column, then to the top of the next, then to the next table; with
 * `step` -1 the same way back. `column` is where a run of Tabs began. Null at the sheet's end.
 */
export function onward(box, step, column = placeOf(box).column) {
  const { table, row } = placeOf(box);
  if (flows(table)) return following(box, step);
  const found = inColumn(table, column, row + step, step);
  if (found) return found;
  const all = tables();
  for (let t = all.indexOf(table), at = column + step; all[t]; t += step, at = entry(all[t], step)) {
    for (; at >= 0 && at < widthOf(all[t]); at += step) {
      const first = inColumn(all[t], at, step > 0 ? 0 : rowsOf(all[t]).length - 1, step);
      if (first) return first;
    }
  }
  return null;
}

const entry = (table, step) => (table && step < 0 ? widthOf(table) - 1 : 0);

/** The first or last box of a row. */
export function rowEnd(box, step) {
  let found = box;
  for (let next = box; next; next = horizontal(next, step)) found = next;
  return found;
}

/** The box a page away in its column, or the last before the edge. */
export function pageAway(box, step) {
  const rows = Math.max(1, Math.floor((innerHeight - 120) / box.closest("tr").offsetHeight) - 1);
  let found = box;
  for (let next = box, n = 0; next && n <= rows; next = vertical(next, step), n += 1) found = next;
  return found;
}
