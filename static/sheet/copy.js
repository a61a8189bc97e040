// Chooses a block of the sheet by Shift with the arrows or a click, and copies it as it was typed.
import { counted, words } from "../words.js";
import { boxIn, isBox, say } from "./boxes.js";
import { active, placeOf, rowsOf } from "./grid.js";

const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

let chosen = null; // the table, the row and column where it began, and those where it ends

const widthOf = (table) => table.tHead.rows[0].cells.length - 1;
const within = (at, count) => Math.min(Math.max(at, 0), count - 1);

/** The chosen cells, row by row; empty where nothing is chosen. */
function block() {
  if (!chosen) return [];
  const { table, from, to } = chosen;
  const [top, bottom] = [from.row, to.row].sort((a, b) => a - b);
  const [left, right] = [from.column, to.column].sort((a, b) => a - b);
  return rowsOf(table).slice(top, bottom + 1).map((tr) => [...tr.cells].slice(left + 1, right + 2));
}

/** What stands in a cell, or follows there, without its mark. */
function textOf(td) {
  const box = boxIn(td);
  if (box) return box.value;
  return (td.querySelector("output, .standing")?.textContent ?? "").trim().replace(/^= /, "");
}

function paint() {
  document.querySelectorAll("#sheet td.chosen").forEach((td) => td.classList.remove("chosen"));
  block().flat().forEach((td) => td.classList.add("chosen"));
}

function clear() {
  if (!chosen) return;
  chosen = null;
  paint();
}

const size = (cells) => ({
  rows: counted("rows", cells.length), columns: counted("columns", cells[0].length),
});

function choose(box, to) {
  const { table, row, column } = placeOf(box);
  const from = chosen?.table === table ? chosen.from : { row, column };
  const ends = {
    row: within(to.row, rowsOf(table).length), column: within(to.column, widthOf(table)),
  };
  chosen = { table, from, to: ends };
  paint();
  say(words("chosen", size(block())));
}

/** Whether the whole text is selected, so that arrows go between cells and not within the text. */
const isReady = (box) => box.selectionStart === 0 && box.selectionEnd === box.value.length;

document.addEventListener("keydown", (event) => {
  const box = event.target;
  if (!isBox(box) || ["Shift", "Control", "Meta"].includes(event.key)) return;
  if (event.ctrlKey || event.metaKey) return;
  const step = STEPS[event.key];
  if (!event.shiftKey || event.altKey || !step || !(chosen || isReady(box))) return clear();
  event.preventDefault();
  event.stopImmediatePropagation();
  const to = chosen?.to ?? placeOf(box);
  choose(box, { row: to.row + step[0], column: to.column + step[1] });
}, true);

document.addEventListener("mousedown", (event) => {
  const td = event.target.closest?.("#sheet table.sheet td");
  const box = active();
  if (!event.shiftKey || !td || td.closest("table") !== box?.closest("table")) return clear();
  event.preventDefault();
  const row = rowsOf(td.closest("table")).indexOf(td.closest("tr"));
  if (row >= 0) choose(box, { row, column: td.cellIndex - 1 });
});

// such a click chooses alone: the keyboard stays where the block began
document.addEventListener("click", (event) => {
  if (event.shiftKey && chosen) event.stopImmediatePropagation();
}, true);

document.addEventListener("focusin", clear);

document.addEventListener("copy", (event) => {
  const cells = block();
  if (cells.flat().length < 2) return;
  event.clipboardData.setData("text/plain", cells.map((row) => row.map(textOf).join("\t")).join("\n"));
  event.preventDefault();
  say(words("copied", size(cells)));
});
