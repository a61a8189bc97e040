// The keys of the sheet: a box is ready when the keyboard comes to it, then typed in, or edited.
import { words } from "../words.js";
import { isBox, say, stands } from "./boxes.js";
import { showHistory, showKeys, showNote, showStates } from "./dialogs.js";
import { boxes, following, horizontal, nextDue, onward, pageAway, placeOf, rowEnd, vertical } from "./grid.js";
import { boxOfPanel, chooseByKey, panelOf, reasonIn } from "./reasons.js";
import { heldOf, isNew, putBack, send, sentOf } from "./sender.js";
import { stepBack, stepForward } from "./undo.js";

let editing = false; // in place, the arrows move the caret
let typing = false; // begun to type: the arrows save and go on
let runBegan = null; // the column in which a run of Tabs began: Enter goes back to it
let goesOn = null; // where the keyboard goes once a reason is given

/** Send what a box says, if that is not in the ledger; what waits is tried again. */
export function commit(box) {
  typing = editing = false;
  const before = heldOf(box);
  if (!isNew(box) && !sentOf(box)) return;
  const same = before?.text === box.value;
  if (same && panelOf(box)?.querySelector("select")) return; // it asks already
  const carried = box.dataset.carries === box.value || (same && before.carried);
  delete box.dataset.carries;
  send([{ key: box.id, text: box.value, carried }]);
}

function reach(target) {
  if (!target) return;
  target.focus();
  target.select?.();
}

/** Leave a box for another; a box that asks for a reason anew is answered first. */
function leave(box, target) {
  const before = panelOf(box);
  commit(box);
  const panel = panelOf(box);
  goesOn = target;
  if (panel !== before && panel?.querySelector("select")) panel.querySelector("select").focus();
  else reach(target ?? box);
}

function enter(box, step) {
  const column = step > 0 ? (runBegan ?? undefined) : undefined;
  const target = onward(box, step, column);
  runBegan = null;
  const panel = panelOf(box)?.querySelector("select");
  goesOn = target;
  if (panel && heldOf(box)?.text === box.value) panel.focus();
  else leave(box, target);
}

const MOVES = {
  ArrowDown: (box) => vertical(box, 1),
  ArrowUp: (box) => vertical(box, -1),
  ArrowRight: (box) => horizontal(box, 1),
  ArrowLeft: (box) => horizontal(box, -1),
  Home: (box) => rowEnd(box, -1),
  End: (box) => rowEnd(box, 1),
  PageDown: (box) => pageAway(box, 1),
  PageUp: (box) => pageAway(box, -1),
};

/** What a key does in a box; false leaves it to the browser. */
function inBox(event) {
  const [box, { key, shiftKey }] = [event.target, event];
  if (key === "Tab") return tab(box, shiftKey ? -1 : 1);
  if (key === "Enter") return done(enter(box, shiftKey ? -1 : 1));
  if (key === "Escape") return done(restore(box));
  if (key === "+" && !editing) return done(toNextDue(box));
  if (key === "F2") return done(edit(box));
  if (key === "F4") return done(showHistory(box));
  if (key === "F8") return done(showStates(box, (short) => put(box, short)));
  if (key === "F9") return done(showNote(box));
  if (key === "?" && !typing && !editing) return done(showKeys());
  if (key in MOVES && !editing && !shiftKey) {
    runBegan = null;
    return done(leave(box, MOVES[key](box)));
  }
  return false;
}

const done = () => true;

function tab(box, step) {
  runBegan ??= placeOf(box).column;
  const target = following(box, step);
  if (!target) return false; // Tab leaves the sheet at its ends
  leave(box, target);
  return true;
}

function toNextDue(box) {
  const target = nextDue(box);
  runBegan = null;
  leave(box, target);
  if (!target) say(words("all-due"));
}

function restore(box) {
  const sent = typing || editing ? sentOf(box) : null;
  typing = editing = false;
  if (sent) box.value = sent.text;
  else putBack(box);
  box.select();
}

function edit(box) {
  editing = true;
  box.setSelectionRange(box.value.length, box.value.length);
}

function put(box, text) {
  box.value = text;
  leave(box, box);
}

/** With Ctrl: undo and redo, carry over from above, the ends of the sheet, and out of it. */
function withControl(event) {
  const [box, key] = [event.target, event.key.toLowerCase()];
  const all = boxes();
  if (key === "home") return done(leave(box, all[0]));
  if (key === "end") return done(leave(box, all.at(-1)));
  if (key === "enter") return done(leave(box, document.querySelector("#seal a")));
  if (key === "d") return done(carryOver(box));
  if ((typing || editing) && isNew(box)) return false; // the browser's own, within the text
  if (key === "z" && !event.shiftKey) return done(step(stepBack(), "nothing-undo"));
  if (key === "y" || key === "z") return done(step(stepForward(), "nothing-redo"));
  return false;
}

function step(changes, nothing) {
  if (!changes.length) return say(words(nothing));
  send(changes, { step: false, apart: true });
  const first = document.getElementById(changes[0].key);
  if (isBox(first)) reach(first);
}

/** What the box above holds, or where it has none the same box of the last shift. */
function carryOver(box) {
  if (!("carry" in box.dataset)) {
    return say(words("measured-anew", { box: box.getAttribute("aria-label") }));
  }
  const above = "above" in box.dataset ? vertical(box, -1) : null;
  const text = (above ? stands(above) : box.dataset.carry).trim();
  if (!text) return say(words("nothing-above"));
  box.dataset.carries = text;
  put(box, text);
}

/** In the panel of a box: a digit or letter chooses, Enter records, Esc puts back. */
function inPanel(event, panel) {
  const box = boxOfPanel(panel);
  if (event.key === "Escape") {
    putBack(box);
    reach(box);
    return true;
  }
  if (event.key === "Enter" && !event.target.matches("button")) return done(record(panel));
  return event.target.matches("select") && !event.ctrlKey && chooseByKey(event.target, event.key);
}

function record(panel) {
  const box = boxOfPanel(panel);
  const given = reasonIn(panel);
  if (!given) return;
  const target = goesOn ?? box;
  send([{ key: box.id, text: box.value, ...given }]);
  reach(target);
}

document.addEventListener("keydown", (event) => {
  if (event.isComposing || event.altKey) return;
  const panel = event.target.closest?.(".message");
  const control = event.ctrlKey || event.metaKey;
  let handled = false;
  if (panel) handled = inPanel(event, panel);
  else if (isBox(event.target)) handled = control ? withControl(event) : inBox(event);
  else if (event.key === "?" && event.target.matches("#sheet :not(input, select)")) handled = done(showKeys());
  if (handled) event.preventDefault();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest(".message button");
  if (button) {
    event.preventDefault();
    const panel = button.closest(".message");
    const box = boxOfPanel(panel);
    if (!button.matches(".keep")) return record(panel);
    putBack(box);
    return reach(event.detail ? box : (goesOn ?? box)); // by a pointer there is no way on
  }
  if (!isBox(event.target)) return;
  if (cameByPointer) event.target.select();
  else editing = true; // a click into a box that has the keyboard sets the caret
  cameByPointer = false;
});

// a box selects its text when it is come to: drawn elsewhere, a result would move with it
for (const kind of ["dragstart", "drop"]) {
  document.addEventListener(kind, (event) => { if (isBox(event.target)) event.preventDefault(); });
}

let cameByPointer = false;

document.addEventListener("pointerdown", (event) => {
  runBegan = null;
  cameByPointer = isBox(event.target) && event.target !== document.activeElement;
});

document.addEventListener("focusin", (event) => {
  if (!isBox(event.target)) return;
  typing = editing = false;
  event.target.select();
});

document.addEventListener("input", (event) => {
  if (isBox(event.target)) typing = true;
});

document.addEventListener("focusout", (event) => {
  // a key has sent it by now; a pointer, or another window, has not
  if (isBox(event.target) && isNew(event.target)) commit(event.target);
});
