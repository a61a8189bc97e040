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

/** Whether a box says what the ledger has not taken: it was refused, or awaits a reason. */
const refused = (box) => "stands" in box.dataset;

function go(box, target) {
  // the box that is left sends its change by itself, and has no focus when the answer arrives
  if (target) target.focus();
  else if (refused(box) || box.value !== box.defaultValue) htmx.trigger(box, "kept");
}

/** Put back what stands, and take what was said of the box away. */
function putBack(box) {
  const keep = box.closest("td").querySelector(".keep");
  box.value = box.dataset.stands ?? box.defaultValue;
  if (keep) keep.click();
  else if (refused(box)) htmx.trigger(box, "kept");
  else box.select();
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
      putBack(box);
      return true;
    default:
      return false;
  }
}

/** In the panel of a box, Enter in words gives the reason, and Esc keeps what stands. */
function answerByKey(event) {
  const panel = event.target.closest(".message");
  if (event.key === "Escape") putBack(boxOf(panel.closest("td")));
  else if (event.key === "Enter" && event.target.matches("input")) panel.querySelector("button").click();
  else return false;
  return true;
}

document.addEventListener("keydown", (event) => {
  if (event.target.closest(".message") && answerByKey(event)) event.preventDefault();
  if (!isBox(event.target) || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key !== "Tab" && event.key.startsWith("Arrow")) runBegan = null;
  if (leaveByKey(event)) event.preventDefault();
});

/** Show what was ever written in a box, over the sheet; Esc closes it and goes back to the box. */
function showTrail(box) {
  const shown = document.getElementById("history");
  shown.addEventListener("close", () => box.focus(), { once: true });
  document.getElementById("history-title").textContent = box.getAttribute("aria-label");
  shown.showModal();
  htmx.ajax("GET", box.getAttribute("hx-post"), { target: "#history-said", select: "#trail", swap: "innerHTML" });
}

document.addEventListener("keydown", (event) => {
  if (event.key !== "F4" || !isBox(event.target)) return;
  event.preventDefault();
  showTrail(event.target);
});

document.addEventListener("change", (event) => {
  if (event.target.id !== "late-reason") return;
  for (const box of document.querySelectorAll(`#sheet .refused > ${BOX}`)) sendAgain(box);
});

document.addEventListener("focusin", (event) => {
  if (isBox(event.target)) event.target.select();
});

document.addEventListener("pointerdown", () => { runBegan = null; });

// What was typed on while an earlier text of the same box was on its way is put back, and sent when
// the box is left.
const typedOn = new Map();

const wentTo = new Map(); // where the keyboard went from a box, by its id
const onceSettled = new Map(); // what is still to do in a cell when its answer stands there

/** Keep the keyboard in the sheet when the panel it was in goes. */
function leavePanel(box) {
  const reason = box.closest("td").querySelector(".message select");
  const next = document.getElementById(wentTo.get(box.id));
  (reason || (isBox(next) ? next : box)).focus();
}

/** Send a refused pol again once its brix is saved, or a brix once its pol is. */
function judgeBeside(box) {
  const [stream, prop] = [box.id.replace(/_(brix|pol)$/, ""), box.id.match(/_(brix|pol)$/)?.[1]];
  const beside = prop && document.getElementById(`${stream}_${prop === "pol" ? "brix" : "pol"}`);
  if (isBox(beside) && beside.value === beside.defaultValue) sendAgain(beside);
}

document.addEventListener("htmx:beforeSwap", (event) => {
  const td = event.detail.target.closest("td");
  if (!boxOf(td)) return;
  const inPanel = td.contains(document.activeElement) && document.activeElement.closest(".message");
  const saved = event.detail.xhr.status === 200;
  onceSettled.set(td.id, (box) => {
    if (inPanel) leavePanel(box);
    if (saved) judgeBeside(box);
  });
});

document.addEventListener("htmx:afterSettle", (event) => {
  const box = boxOf(event.target.closest("td"));
  const todo = box && onceSettled.get(event.target.id);
  if (!todo) return;
  onceSettled.delete(event.target.id);
  todo(box);
});

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

/** Send a refused box again: its cause may be put right. One that awaits a reason needs it first. */
function sendAgain(box) {
  const reason = box.closest("td").querySelector(".message select");
  if (refused(box) && (!reason || reason.value)) htmx.trigger(box, "kept");
}

document.addEventListener("focusout", (event) => {
  const [box, next] = [event.target, event.relatedTarget];
  if (!isBox(box)) return;
  if (isBox(next)) wentTo.set(box.id, next.id);
  if (next && box.closest("td").contains(next)) return;
  setTimeout(() => {
    if (!box.isConnected) return; // its answer took its place, nobody left it
    if ("toSend" in box.dataset) htmx.trigger(box, "kept");
    else if (box.value === box.defaultValue) sendAgain(box); // else its change was sent
  });
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

let sendsAll = false; // the whole sheet is on its way: nothing typed is lost
document.addEventListener("submit", (event) => { sendsAll = event.target.id === "sheet"; });

addEventListener("beforeunload", (event) => {
  if (!sendsAll && document.querySelector("#sheet :is([data-to-send], [data-stands])")) event.preventDefault();
});

// What was typed and left before this script was there is sent now.
document.addEventListener("DOMContentLoaded", () => {
  for (const box of document.querySelectorAll(`#sheet ${BOX}`)) {
    if (box.value !== box.defaultValue && box !== document.activeElement) htmx.trigger(box, "kept");
  }
});

document.documentElement.classList.add("scripted");
const summary = document.getElementById("summary");
if (summary) summary.focus();
