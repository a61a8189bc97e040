// What the head of the sheet says about what is not in the ledger yet.
import { outlives } from "./store.js";

const line = document.getElementById("unsent");
const again = document.getElementById("try-now");

/** Tell how many results are not sent or not taken, and within how many seconds it is tried again. */
export function tellUnsent(count, seconds) {
  const words = count ? `${count} not in the ledger yet` : "";
  const soon = seconds ? `, tried again within ${seconds} s` : "";
  const warning = count && !outlives() ? ". This browser keeps nothing: leave the page open" : "";
  line.textContent = words + soon + warning;
  again.hidden = !seconds;
}
