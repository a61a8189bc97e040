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

/** Keep a change; where the browser keeps nothing it lives as long as the page. */
export function keep(shift, change) {
  const { username, name } = person();
  const { key, text, reason, words, carried, basedOn, label } = change;
  const kept = { text, reason, words, carried, basedOn, label, name };
  try {
    localStorage.setItem(nameOf(username, shift, key), JSON.stringify(kept));
  } catch {
    // private windows and full disks: leaving the page still warns
  }
}

/** Forget a change that is in the ledger now, or was taken back. */
export function forget(shift, key, username = person().username) {
  try {
    localStorage.removeItem(nameOf(username, shift, key));
  } catch {
    // it could not be kept either
  }
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
