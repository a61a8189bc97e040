// Tells on every page of results that this browser keeps and the ledger has not, and asks before
// somebody signs out over them.
import { counted, words } from "./words.js";
import { everything, forget, person } from "./sheet/store.js";

const notice = document.getElementById("unsent-notice");
const leaving = document.getElementById("leaving");
const { username } = person();

function groups(kept) {
  const found = new Map();
  for (const one of kept) {
    const name = `${one.username} ${one.shift}`;
    found.set(name, [...(found.get(name) ?? []), one]);
  }
  return [...found.values()];
}

function line(text) {
  const p = document.createElement("p");
  p.textContent = text;
  notice.append(p);
  return p;
}

/** Results of the person of this page: where they can be sent, or as text to copy. */
function tellOwn(all) {
  const { shift } = all[0];
  const here = location.pathname === shift;
  const boxed = ({ key }) => document.querySelector(`input[name="result:${CSS.escape(key)}"]`);
  const kept = here ? all.filter((one) => !boxed(one)) : all;
  if (!kept.length) return; // the sheet itself says so
  const p = line(`${counted("yours", kept.length)} `);
  const link = document.createElement("a");
  [link.href, link.textContent] = [shift, words("shift-of", { number: shift.split("/")[3], day: shift.split("/")[2] })];
  p.append(link);
  if (!here || new URLSearchParams(location.search).has("station")) return;
  const what = kept.map(({ label, text }) => `${label}: ${text || words("emptied")}`).join("; ");
  p.append(` ${words("takes-no-more", { what })} `);
  const button = document.createElement("button");
  [button.className, button.textContent] = ["quiet", words("throw-away")];
  button.addEventListener("click", () => {
    for (const one of kept) forget(shift, one);
    show();
  });
  p.append(button);
}

function show() {
  notice.replaceChildren();
  for (const kept of groups(everything())) {
    if (kept[0].username === username) tellOwn(kept);
    else line(counted("theirs", kept.length, { name: kept[0].name }));
  }
  notice.hidden = !notice.children.length;
}

show();
addEventListener("storage", show);

document.querySelector("form.who")?.addEventListener("submit", (event) => {
  const own = everything().filter((kept) => kept.username === username);
  if (!own.length || ["throw", "keep"].includes(leaving.returnValue)) return;
  event.preventDefault();
  document.getElementById("leaving-said").textContent = counted("yours-leaving", own.length);
  leaving.showModal();
});

// nobody signs a shift of which results of theirs are still on the way
document.querySelector("form[action$='/signature']")?.addEventListener("submit", (event) => {
  const shift = new URL(event.target.action).pathname.replace(/\/signature$/, "");
  const own = everything().filter((kept) => kept.username === username && kept.shift === shift);
  if (!own.length) return;
  event.preventDefault();
  show();
  notice.querySelector("a")?.focus();
});

leaving?.addEventListener("close", () => {
  if (leaving.returnValue === "throw") {
    for (const one of everything()) if (one.username === username) forget(one.shift, one);
  }
  if (["throw", "keep"].includes(leaving.returnValue)) document.querySelector("form.who").requestSubmit();
});
