// Keys of the shift sheet, and what keeps typed text safe while answers arrive.
"use strict";

const BOX = "input[name^='result:']";

const boxOf = (td) => td && td.querySelector(BOX);

function isBox(element) {
  return element instanceof HTMLInputElement && element.matches(BOX);
}

/** The next box in the same column, `step` rows on; null at the edge. */
function inColumn(box, column, step) {
  const rows = [...box.closest("table").rows];
  for (let at = box.closest("tr").rowIndex + step; at >= 0 && at < rows.length; at += step) {
    const found = boxOf(rows[at].cells[column]);
    if (found) return found;
  }
  return null;
}

/** The next box in the sheet's order, `step` on; null at the edge. */
function inRow(box, step) {
  const boxes = [...document.querySelectorAll(`#sheet ${BOX}`)];
  return boxes[boxes.indexOf(box) + step] || null;
}

function go(box, target) {
  // the box that is left sends its change by itself, and has no focus when the answer arrives
  if (target) target.focus();
  else if (box.value !== box.defaultValue) htmx.trigger(box, "kept");
}

let runBegan = null; // the column in which a run of Tabs began: Enter goes back to it

function leaveByKey(event) {
  const box = event.target;
  const column = box.closest("td").cellIndex;
  const whole = box.selectionEnd - box.selectionStart === box.value.length;
  const atStart = whole || box.selectionEnd === 0;
  const atEnd = whole || box.selectionStart === box.value.length;
  switch (event.key) {
    case "Tab":
      runBegan ??= column;
      return false;
    case "Enter":
      go(box, inColumn(box, event.shiftKey ? column : (runBegan ?? column), event.shiftKey ? -1 : 1));
      runBegan = null;
      return true;
    case "ArrowDown":
    case "ArrowUp":
      go(box, inColumn(box, column, event.key === "ArrowDown" ? 1 : -1));
      return true;
    case "ArrowLeft":
      if (!atStart || !inRow(box, -1)) return false;
      go(box, inRow(box, -1));
      return true;
    case "ArrowRight":
      if (!atEnd || !inRow(box, 1)) return false;
      go(box, inRow(box, 1));
      return true;
    case "Escape":
      box.value = box.dataset.stands ?? box.defaultValue;
      box.select();
      return true;
    default:
      return false;
  }
}

document.addEventListener("keydown", (event) => {
  if (!isBox(event.target) || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key !== "Tab" && event.key.startsWith("Arrow")) runBegan = null;
  if (leaveByKey(event)) event.preventDefault();
});

document.addEventListener("focusin", (event) => {
  if (isBox(event.target)) event.target.select();
});

document.addEventListener("pointerdown", () => { runBegan = null; });

// What was typed on while an earlier text of the same box was on its way is put back, and sent when
// the box is left.
const typedOn = new Map();

document.addEventListener("htmx:beforeSwap", (event) => {
  const box = boxOf(event.detail.target.closest("td"));
  const sent = box && event.detail.requestConfig.parameters[box.name];
  if (!box || box.value === sent || event.detail.requestConfig.elt !== box) return;
  typedOn.set(box.id, { text: box.value, from: box.selectionStart, to: box.selectionEnd });
});

document.addEventListener("htmx:afterSettle", () => {
  for (const [id, { text, from, to }] of typedOn) {
    const box = document.getElementById(id);
    typedOn.delete(id);
    if (!isBox(box)) continue;
    box.value = text;
    if (box !== document.activeElement) {
      htmx.trigger(box, "kept");
    } else {
      box.dataset.toSend = "";
      box.setSelectionRange(from, to);
    }
  }
});

document.addEventListener("focusout", (event) => {
  const box = event.target;
  if (isBox(box) && "toSend" in box.dataset) htmx.trigger(box, "kept");
});

// A purity that now follows from brix and pol takes the place of its box: never under someone's hands.
document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const box = document.activeElement;
  if (!isBox(box) || !event.detail.target.contains(box)) return;
  if (box.value !== box.defaultValue) event.detail.shouldSwap = false;
  else (inRow(box, 1) || inRow(box, -1) || box).focus();
});

function notSaved(event, words) {
  const box = boxOf(event.detail.elt.closest("td"));
  if (!box) return;
  box.dataset.toSend = "";
  document.getElementById("said").textContent = `Not saved: ${words}`;
}

document.addEventListener("htmx:responseError", (event) => notSaved(event, event.detail.xhr.responseText));
document.addEventListener("htmx:sendError", (event) =>
  notSaved(event, "the ledger does not answer. What you typed stays in its box; leave that box again to send it."));

addEventListener("beforeunload", (event) => {
  if (document.querySelector("#sheet [data-to-send]")) event.preventDefault();
});

document.documentElement.classList.add("scripted");
const summary = document.getElementById("summary");
if (summary) summary.focus();
