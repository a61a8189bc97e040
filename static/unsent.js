// Tells on every page of results that this browser keeps and the ledger has not, and asks before
// somebody signs out over them.
import { everything, forget, person } from "./sheet/store.js";

const notice = document.getElementById("unsent-notice");
const leaving = document.getElementById("leaving");
const { username } = person();

const count = (kept) => (kept.length === 1 ? "1 result" : `${kept.length} results`);

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
  const p = line(`${count(kept)} of yours not sent yet: `);
  const link = document.createElement("a");
  [link.href, link.textContent] = [shift, `shift ${shift.split("/")[3]} of ${shift.split("/")[2]}`];
  p.append(link);
  if (!here || new URLSearchParams(location.search).has("station")) return;
  p.append(` takes them no more: ${kept.map(({ label, text }) => `${label}: ${text || "(emptied)"}`).join("; ")}. `);
  const button = document.createElement("button");
  [button.className, button.textContent] = ["quiet", "Throw them away"];
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
    else line(`${kept[0].name} has ${count(kept)} in this browser that are not sent yet. They are sent once ${kept[0].name} signs in here and opens the sheet.`);
  }
  notice.hidden = !notice.children.length;
}

show();
addEventListener("storage", show);

document.querySelector("form.who")?.addEventListener("submit", (event) => {
  const own = everything().filter((kept) => kept.username === username);
  if (!own.length || ["throw", "keep"].includes(leaving.returnValue)) return;
  event.preventDefault();
  document.getElementById("leaving-said").textContent = `${count(own)} of yours not sent yet.`;
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
