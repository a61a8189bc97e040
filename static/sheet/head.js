// What the head of the sheet says about what is not in the ledger yet.

const line = document.getElementById("unsent");
const again = document.getElementById("try-now");

/** Tell how many results are not sent or not taken, and within how many seconds it is tried again. */
export function tellUnsent(count, seconds) {
  const words = count ? `${count} not in the ledger yet` : "";
  line.textContent = seconds ? `${words}, tried again within ${seconds} s` : words;
  again.hidden = !seconds;
}
