// What opens over the sheet by a key and closes by Esc: the history of a box, the keys, the states
// without a number, a note.
import { words } from "../words.js";
import { applied, applyNote } from "./answer.js";
import { say, shift } from "./boxes.js";

const dialog = (id) => document.getElementById(id);

const nameOf = (box) => box.getAttribute("aria-label");

/** Show what was ever written in a box. */
export async function showHistory(box) {
  const said = document.getElementById("history-said");
  document.getElementById("history-title").textContent = nameOf(box);
  said.textContent = "";
  dialog("history").showModal();
  try {
    const answer = await fetch(`${shift}/cells/${box.id}`, { signal: AbortSignal.timeout(20_000) });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    said.replaceChildren(document.adoptNode(page.getElementById("trail")));
  } catch {
    said.textContent = words("no-history");
  }
}

/** List the keys. */
export const showKeys = () => dialog("keys").showModal();

let useState = () => {};

/** Offer why there is no number; `use` gets the short word that was chosen. */
export function showStates(box, use) {
  useState = use;
  document.getElementById("states-title").textContent = words("why-no-number", { box: nameOf(box) });
  dialog("states").showModal();
}

function chooseState(button) {
  dialog("states").close();
  useState(button.value);
}

dialog("states").addEventListener("click", (event) => {
  const button = event.target.closest("button[name=state]");
  if (button) chooseState(button);
});

dialog("states").addEventListener("keydown", (event) => {
  const buttons = [...dialog("states").querySelectorAll("button[name=state]")];
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const chosen = buttons[Number(event.key) - 1];
  if (chosen) chooseState(chosen);
  else if (step) buttons.at((buttons.indexOf(document.activeElement) + step) % buttons.length).focus();
  else return;
  event.preventDefault();
});

const note = dialog("note").querySelector("form");

/** Ask for a note on a box. */
export function showNote(box) {
  document.getElementById("note-title").textContent = words("note-on", { box: nameOf(box) });
  document.getElementById("note-wrong").textContent = "";
  [note.elements.key.value, note.elements.words.value] = [box.id, ""];
  note.elements.once.value = Array.from(crypto.getRandomValues(new Uint8Array(24)), (byte) => byte.toString(36)).join("");
  dialog("note").showModal();
}

/** The sheet as it is now: no result was saved while it was on its way. */
async function freshPage() {
  const before = applied;
  const page = await (await fetch(shift)).text();
  return applied === before ? page : freshPage();
}

note.addEventListener("submit", async (event) => {
  if (event.submitter?.value === "cancel") return;
  event.preventDefault();
  const wrong = document.getElementById("note-wrong");
  try {
    const body = new URLSearchParams(new FormData(note));
    const headers = { "X-Fragment": "note" };
    const answer = await fetch(note.action, { method: "POST", body, headers, redirect: "manual" });
    if (answer.type !== "opaqueredirect" && !answer.ok) {
      wrong.textContent = words("not-kept", { why: await answer.text() });
      if (answer.headers.get("X-Sign-In") === "again") document.dispatchEvent(new CustomEvent("locked"));
      return;
    }
    dialog("note").close();
    applyNote(await freshPage(), note.elements.key.value);
    say(words("note-kept"));
  } catch {
    wrong.textContent = words("note-stays");
  }
});
