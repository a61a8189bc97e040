// What is typed and not in the ledger yet, kept in this browser by person and shift, nothing else.

const PREFIX = "unsent";

/** Who is signed in on this page: user name and printed name; both empty where nobody is. */
export function person() {
  const form = document.querySelector("form.who");
  return { username: form?.dataset.person ?? "", name: form?.dataset.name ?? "" };
}

/** Whose change of which shift it is, and where it belongs. */
const nameOf = (username, shift, key) => JSON.stringify([PREFIX, username, shift, key]);

function partsOf(name) {
  try {
    const [prefix, username, shift, key] = JSON.parse(name);
    return prefix === PREFIX ? { username, shift, key } : null;
  } catch {
    return null; // another page's
  }
}

const unkept = new Set(); // by name: what this browser would not keep

/** Whether all that is not in the ledger yet outlives the page. */
export const outlives = () => unkept.size === 0;

/** Keep a change; where the browser keeps nothing it lives as long as the page. */
export function keep(shift, change) {
  const { username, name } = person();
  const { key, text, reason, words, carried, basedOn, label } = change;
  const kept = { text, reason, words, carried, basedOn, label, name };
  const at = nameOf(username, shift, key);
  try {
    localStorage.setItem(at, JSON.stringify(kept));
    unkept.delete(at);
  } catch {
    unkept.add(at); // private windows and full disks: leaving the page still warns
  }
}

/** Whether what is kept is a change, and not another of the same box. */
export const isKeptAs = (kept, { text, basedOn }) => kept.text === text && kept.basedOn === basedOn;

/** Forget a change that is in the ledger now, or was taken back; what another window keeps stays. */
export function forget(shift, change, username = person().username) {
  const at = nameOf(username, shift, change.key);
  unkept.delete(at);
  try {
    const kept = localStorage.getItem(at);
    if (kept && isKeptAs(JSON.parse(kept), change)) localStorage.removeItem(at);
  } catch {
    // it could not be kept either
  }
}

/** Call `then` with a key and what was kept of it, once another window forgets it. */
export function whenForgotten(shift, then) {
  addEventListener("storage", ({ key: at, oldValue, newValue }) => {
    const parts = partsOf(at);
    const ours = parts?.shift === shift && parts.username === person().username;
    if (ours && oldValue && newValue === null) then(parts.key, JSON.parse(oldValue));
  });
}

/** Everything that is kept, of whomever: with username, name, shift, key and the change. */
export function everything() {
  try {
    return Object.keys(localStorage).flatMap((name) => {
      const parts = partsOf(name);
      return parts ? [{ ...parts, ...JSON.parse(localStorage.getItem(name)) }] : [];
    });
  } catch {
    return [];
  }
}

/** What the person of this page typed on a shift. */
export const ofShift = (shift) =>
  everything().filter((kept) => kept.username === person().username && kept.shift === shift);
