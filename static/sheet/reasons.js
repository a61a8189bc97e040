// The panel of a box: why it was refused, or why what stands is corrected; it stands in a row of its
// own below the box, so that it covers nothing and nothing cuts it.
import { words } from "../words.js";
import { boxOf, say, stands } from "./boxes.js";

const QUICK = 700; // milliseconds between two keys of somebody who types on

export const panelOf = (box) => document.getElementById(`message-${box.id}`);

export const boxOfPanel = (panel) => boxOf(panel.id.slice("message-".length));

/** Put a panel into the row below its box. */
export function placeMessage(box, panel) {
  const tr = box.closest("tr");
  let row = tr.nextElementSibling;
  if (!row?.matches(".panels")) {
    row = document.createElement("tr");
    row.className = "panels";
    row.insertCell().colSpan = tr.cells.length;
    tr.after(row);
  }
  row.cells[0].append(document.adoptNode(panel));
}

/** Take the panel of a box away, and its row where that is empty then. */
export function closeReason(box) {
  const panel = panelOf(box);
  if (!panel) return;
  const row = panel.closest(".panels");
  panel.remove();
  if (row && !row.querySelector(".message")) row.remove();
  box.removeAttribute("aria-invalid");
  box.removeAttribute("aria-describedby");
}

function question(box) {
  const [theirs, mine] = [stands(box).trim(), box.value.trim()];
  if (!theirs && !mine) return words("why-out");
  if (!theirs) return words("why-now", { mine });
  return words(mine ? "why-correct" : "why-take-out", { theirs, mine });
}

/** Ask for the reason of what was typed over a result. */
export function openReason(box) {
  closeReason(box);
  const panel = document.getElementById("why").content.firstElementChild.cloneNode(true);
  panel.id = `message-${box.id}`;
  const said = panel.querySelector("p");
  [said.id, said.textContent] = [`${box.id}-said`, question(box)];
  const [list, field] = [panel.querySelector("select"), panel.querySelector("input")];
  [list.name, list.id] = [`reason:${box.id}`, `reason-${box.id}`];
  panel.querySelector("label").htmlFor = list.id;
  field.name = `words:${box.id}`;
  const [record, keep] = panel.querySelectorAll("button");
  record.textContent = words(box.value.trim() ? (stands(box).trim() ? "correct" : "enter") : "take-out");
  keep.textContent = words(stands(box).trim() ? "keep" : "keep-empty", { what: stands(box).trim() });
  box.setAttribute("aria-describedby", said.id);
  placeMessage(box, panel);
}

/**
 * A digit or a letter chooses a reason of the list; true where one was meant. Digits in
 * quick succession, or a decimal sign, are a result that somebody types on without looking: they
 * choose none.
 */
export function chooseByKey(list, key) {
  const options = [...list.options];
  const [before, now] = [Number(list.dataset.digitAt ?? -QUICK), performance.now()];
  if (/^[\d.,]$/.test(key)) {
    list.dataset.digitAt = now;
    if (now - before < QUICK || !/\d/.test(key)) {
      list.selectedIndex = -1;
      say(words("reason-first"));
      return true;
    }
  }
  const at = /^[1-9]$/.test(key)
    ? Number(key) - 1
    : options.findIndex((option) => option.textContent.replace(/^\d+ /, "").toLowerCase().startsWith(key.toLowerCase()));
  if (key.length !== 1 || key === " " || !options[at]) return false;
  list.selectedIndex = at;
  return true;
}

/** The reason that a panel gives; null, with the keyboard where it lacks, while it gives none. */
export function reasonIn(panel) {
  const [list, field] = [panel.querySelector("select"), panel.querySelector("input")];
  const [reason, said] = [list.value, field.value.trim()];
  if ((reason && reason !== "other") || said) return { reason, words: said };
  say(words(reason ? "other-reason" : "choose-reason"));
  (reason ? field : list).focus();
  return null;
}
