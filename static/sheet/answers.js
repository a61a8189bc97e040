// Answers checks without leaving the sheet: Enter keeps the words and goes on to the next question.
import { words } from "../words.js";
import { say } from "./boxes.js";

const fields = () => [...document.querySelectorAll("#checks input[name=words]")];

function complain(form, why) {
  const box = form.elements.words;
  const id = `${box.id}-wrong`;
  const said = document.getElementById(id) ?? document.createElement("span");
  Object.assign(said, { id, className: "wrong", textContent: why });
  form.append(said);
  box.readOnly = false;
  box.setAttribute("aria-invalid", "true");
  box.setAttribute("aria-describedby", id);
  say(why);
}

function putAnswer(form) {
  const said = document.createElement("p");
  said.textContent = words("seen-by-you", { words: form.elements.words.value });
  form.replaceWith(said);
  const open = fields().length;
  document.querySelector("#checks h2 small")?.replaceChildren(open ? words("to-answer", { count: open }) : "");
  say(words("answer-kept"));
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("#checks form")) return;
  event.preventDefault();
  const box = form.elements.words;
  if (box.readOnly) return; // it is on its way
  const body = new URLSearchParams(new FormData(form));
  box.readOnly = true;
  const all = fields();
  (all[all.indexOf(box) + 1] ?? box).focus();
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Fragment": "note" }, redirect: "manual" });
    if (answer.type === "opaqueredirect" || answer.ok) return putAnswer(form);
    if (answer.headers.get("X-Sign-In") === "again") document.dispatchEvent(new CustomEvent("locked"));
    complain(form, words("not-kept", { why: await answer.text() }));
  } catch {
    complain(form, words("answer-stays"));
  }
});
