// Puts an answer into the page around what somebody is typing: no box that has the keyboard, or was
// typed in since it was sent, is taken away or changed.
import { boxIn, differs, say, setText, showState, stands } from "./boxes.js";
import { closeReason, placeMessage } from "./reasons.js";

/** How many answers were put into the page. */
export let applied = 0;

/**
 * Apply the answer to what was sent; `newest` gives a change of a box that came after it. Returns
 * the state of each box that was sent, by its key: saved, refused, conflict, asks.
 */
export function apply(text, sent, newest) {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const states = new Map();
  applied += 1;
  for (const td of fresh.querySelectorAll("td[id^='cell-']")) {
    const key = td.id.slice("cell-".length);
    const change = sent.find((one) => one.key === key);
    if (change) states.set(key, td.dataset.state || "saved");
    const message = fresh.getElementById(`message-${key}`);
    putCell(document.adoptNode(td), key, change, newest(key), message);
  }
  putParts(fresh);
  say(fresh.getElementById("said").textContent);
  return states;
}

/** Take from a page what stands beside the boxes, and the marks of one cell; leave every box alone. */
export function applyNote(text, key) {
  const fresh = new DOMParser().parseFromString(text, "text/html");
  putParts(fresh);
  const [old, td] = [document, fresh].map((page) => page.getElementById(`cell-${key}`));
  const marks = td?.querySelector(".marks");
  if (!old || !marks) return;
  old.querySelector(".marks")?.remove();
  old.append(document.adoptNode(marks));
}

function putParts(fresh) {
  for (const part of fresh.querySelectorAll("[data-part]")) putPart(part);
}

function putCell(td, key, change, newer, message) {
  const old = document.getElementById(td.id);
  if (!old) return;
  const [box, fresh] = [boxIn(old), boxIn(td)];
  if (!box || !fresh) {
    putWhole(old, td, box);
    return;
  }
  const untouched = !newer && (change ? box.value === change.text : !differs(box));
  putAttributes(box, fresh, untouched);
  for (const child of [...old.children]) if (child !== box) child.remove();
  for (const child of [...td.children]) if (child !== fresh) old.append(child);
  old.className = td.className;
  if (newer) return;
  closeReason(box);
  showState(box, untouched ? (td.dataset.state ?? "") : "");
  if (message && untouched) placeMessage(box, message);
}

/** A result that now follows from others has no box, and gets it back when it does not. */
function putWhole(old, td, box) {
  if (box && box === document.activeElement) {
    box.addEventListener("blur", () => { if (old.isConnected && !differs(box)) old.replaceWith(td); }, { once: true });
  } else if (!box || !differs(box)) {
    if (box) closeReason(box);
    old.replaceWith(td);
  }
}

function putAttributes(box, fresh, untouched) {
  const [text, standing] = [untouched ? fresh.value : box.value, stands(fresh)];
  for (const name of ["title", "aria-invalid", "aria-describedby"]) {
    const value = untouched ? fresh.getAttribute(name) : null;
    if (value === null) box.removeAttribute(name);
    else box.setAttribute(name, value);
  }
  box.defaultValue = standing;
  delete box.dataset.stands;
  setText(box, text);
}

/** Replace a part beside the boxes, unless the keyboard is in it; keep what is typed or unfolded. */
function putPart(part) {
  const old = document.getElementById(part.id);
  if (!old || old.contains(document.activeElement)) return;
  for (const field of old.querySelectorAll("input[id], textarea[id]")) {
    const same = part.querySelector(`#${CSS.escape(field.id)}`);
    if (same && field.value !== field.defaultValue) same.value = field.value;
  }
  const unfolded = [...part.querySelectorAll("details")];
  [...old.querySelectorAll("details")].forEach((details, at) => {
    if (unfolded[at]) unfolded[at].open = details.open;
  });
  old.replaceWith(document.adoptNode(part));
}

