// Unlocks in place: the same person types the password again, and what was not saved is sent again.
import { counted, words } from "../words.js";
import { sendNow, unsent } from "./sender.js";

const asking = document.getElementById("unlock");

/** Ask for the password over the page; what was typed stays where it is. */
function ask() {
  const count = unsent();
  document.getElementById("unlock-said").textContent =
    count ? counted("not-saved-yet", count) : words("nothing-lost");
  if (!asking.open) asking.showModal();
}

document.addEventListener("locked", ask);

/** Send what was not saved, now that every form carries the token of the new sign-in. */
function goOn(token) {
  for (const field of document.querySelectorAll("input[name=token]")) field.value = token;
  asking.close();
  sendNow();
}

asking.addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  const [wrong, button] = [document.getElementById("unlock-wrong"), form.querySelector("button")];
  const body = new URLSearchParams(new FormData(form));
  form.elements.password.value = "";
  button.disabled = true;
  wrong.textContent = "";
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "application/json" } });
    const said = await answer.json();
    if (answer.ok) goOn(said.token);
    else wrong.textContent = said.says;
  } catch {
    wrong.textContent = words("no-answer-stays");
  } finally {
    button.disabled = false;
    if (asking.open) form.elements.password.focus();
  }
});
