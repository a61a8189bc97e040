// What the head of the sheet says about what is not in the ledger yet.
import { words } from "../words.js";
import { outlives } from "./store.js";

const line = document.getElementById("unsent");
const again = document.getElementById("try-now");

/** Tell how many results are not sent or not taken, and within how many seconds it is tried again. */
export function tellUnsent(count, seconds) {
  const waits = count ? words(seconds ? "not-in-ledger-soon" : "not-in-ledger", { count, seconds }) : "";
  const warning = count && !outlives() ? `. ${words("keeps-nothing")}` : "";
  line.textContent = waits + warning;
  again.hidden = !seconds;
}
