// One box of the sheet: what it says, what stands in the ledger, and in which state it is.
import { words } from "../words.js";

const BOX = "input[name^='result:']";

/** The address of the shift whose sheet this is. */
export const shift = document.getElementById("sheet").getAttribute("action").split("?")[0];

export const isBox = (element) => element instanceof HTMLInputElement && element.matches(BOX);

export const boxIn = (td) => td?.querySelector(BOX) ?? null;

/** The box of a place by its key; null where the place has none. */
export function boxOf(key) {
  const found = document.getElementById(key);
  return isBox(found) ? found : null;
}

/** What the ledger holds there, as typed. */
export const stands = (box) => box.dataset.stands ?? box.defaultValue;

/** Whether a box says something else than the ledger. */
export const differs = (box) => box.value.trim() !== stands(box).trim();

/** The entry that the box shows; empty where nothing was ever entered. */
export const basedOn = (box) => box.closest("td").querySelector("[name^='based_on:']").value;

const STATES = ["sending", "unsent", "asks", "conflict", "refused"];

export const stateOf = (box) => box.closest("td").dataset.state ?? "";

/** Show a box as sending, unsent, asks, conflict or refused; empty where nothing is to be said. */
export function showState(box, state) {
  const td = box.closest("td");
  td.querySelector(".state")?.remove();
  if (state === "") delete td.dataset.state;
  else td.dataset.state = state;
  td.classList.toggle("refused", state === "refused" || state === "conflict");
  if (!STATES.includes(state)) return;
  td.querySelector(".saved")?.remove();
  const said = document.createElement("span");
  said.className = "state";
  said.textContent = words(state);
  td.append(said);
}

/** Put another text into a box, without moving the caret where it says so already. */
export function setText(box, text) {
  if (box.value !== text) box.value = text;
}

/** Say something politely, without moving the keyboard. */
export function say(said) {
  document.getElementById("said").textContent = said;
}
