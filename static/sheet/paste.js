// Pastes a block copied out of a spreadsheet: what it would do is shown first, then all of it is sent
// as one step. Uses the paste event, which browsers give also without encryption.
import { words } from "../words.js";
import { boxIn, isBox, say, shift } from "./boxes.js";
import { placeOf, rowsOf } from "./grid.js";
import { send } from "./sender.js";

const form = document.getElementById("sheet");

const textOf = (element) => element?.textContent.trim().replace(/\s+/g, " ") ?? "";

/** What the ledger is told of a place: the key of what stands there, or in words that no box does. */
function nameOf(td, row, head) {
  const key = boxIn(td)?.id || td.querySelector("output")?.id;
  return key || `-${textOf(row)}, ${textOf(head)}`;
}

/** The places of the table from a box on to the right and down, as they stand on the screen. */
function gridFrom(box) {
  const { table, row, column } = placeOf(box);
  const heads = table.tHead.rows[0].cells;
  return rowsOf(table)
    .slice(row)
    .map((tr) =>
      [...tr.cells].slice(column + 1).map((td) => nameOf(td, tr.cells[0], heads[td.cellIndex])).join("\t"))
    .join("\n");
}

/** Ask the ledger what a block would do from a box on, and show it. */
async function preview(block, box) {
  const late = form.elements.late_reason?.value ?? "";
  const fields = { token: form.elements.token.value, block, grid: gridFrom(box), late_reason: late };
  let answer, text;
  try {
    answer = await fetch(`${shift}/paste`, {
      method: "POST", body: new URLSearchParams(fields), headers: { "X-Fragment": "sheet" }, redirect: "error",
    });
    text = await answer.text();
  } catch {
    return say(words("not-pasted-no-answer"));
  }
  if (answer.headers.get("X-Sign-In") === "again") document.dispatchEvent(new CustomEvent("locked"));
  if (![200, 422].includes(answer.status)) return say(words("not-pasted", { why: text }));
  open(text, box);
}

function open(page, box) {
  const shown = document.createElement("dialog");
  shown.id = "paste";
  shown.setAttribute("aria-labelledby", "paste-title");
  shown.innerHTML = page;
  document.body.append(shown);
  shown.querySelector("button[type=button]")?.addEventListener("click", () => shown.close());
  shown.addEventListener("submit", (event) => {
    if (event.submitter?.id !== "paste-write") return;
    event.preventDefault();
    write(shown);
  });
  shown.addEventListener("close", () => {
    shown.remove();
    box.focus();
  });
  shown.showModal();
}

/** Send what the block fills and changes; what it changes needs its reason first. */
function write(shown) {
  const choice = shown.querySelector("#paste-reason");
  const said = shown.querySelector("#paste-words")?.value.trim() ?? "";
  if (choice && (choice.value === "" || (choice.value === "other" && !said))) {
    shown.querySelector("#paste-wrong").textContent =
      words(choice.value ? "other-reason" : "why-changed");
    choice.setAttribute("aria-invalid", "true");
    (choice.value ? shown.querySelector("#paste-words") : choice).focus();
    return;
  }
  const reason = choice ? { reason: choice.value, words: said } : {};
  const changes = [...shown.querySelectorAll("tr[data-key]")].map(({ dataset }) => ({
    key: dataset.key, text: dataset.text, ...("asks" in dataset ? reason : {}),
  }));
  shown.close();
  send(changes);
}

document.addEventListener("paste", (event) => {
  const box = event.target;
  if (!isBox(box)) return;
  const block = event.clipboardData.getData("text/plain");
  if (!/[\t\r\n]/.test(block.replace(/\r?\n$/, ""))) return; // one cell goes in as it is
  event.preventDefault();
  preview(block, box);
});
