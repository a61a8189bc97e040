// The shift sheet under the keyboard: what starts it, and what guards the way out of it.
import { words } from "../words.js";
import { differs, isBox, say } from "./boxes.js";
import { showKeys } from "./dialogs.js";
import { boxes, bringIntoView } from "./grid.js";
import { commit } from "./keys.js";
import { allSaved, isNew, sendNow, sendRefused, takeUp } from "./sender.js";
import "./copy.js";
import "./paste.js";
import "./unlock.js";

const sheet = document.getElementById("sheet");
const allBoxes = () => [...sheet.elements].filter(isBox);

document.documentElement.classList.add("scripted");

document.addEventListener("change", (event) => {
  if (event.target.id === "late-reason") sendRefused();
});

document.getElementById("try-now").addEventListener("click", sendNow);
document.getElementById("show-keys").addEventListener("click", showKeys);

// the button of the whole sheet sends what is not there yet, box by box
sheet.addEventListener("submit", (event) => {
  event.preventDefault();
  for (const box of allBoxes()) commit(box);
  if (allSaved()) say(words("all-in"));
});

const unsaved = () => allBoxes().some((box) => differs(box)) || !allSaved();

addEventListener("beforeunload", (event) => {
  const typed = document.activeElement;
  if (isBox(typed) && isNew(typed)) commit(typed); // so that it is kept
  if (unsaved()) event.preventDefault();
});

takeUp();
// what was typed and left before this script was there is sent now
for (const box of allBoxes()) {
  if (box !== document.activeElement && differs(box) && !("stands" in box.dataset)) commit(box);
}
const summary = document.getElementById("summary");
if (summary) summary.focus();
else if (location.hash) boxes().find((box) => `#${box.id}` === location.hash)?.focus();
else if (isBox(document.activeElement)) {
  bringIntoView(document.activeElement); // it had the keyboard before this script was there
  document.activeElement.select();
}
