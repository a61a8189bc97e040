// Sends what is typed: one request at a time, what waits meanwhile together in the next, each result
// until the ledger has it.
import { words } from "../words.js";
import { apply } from "./answer.js";
import { basedOn, boxOf, say, setText, shift, showState, stands, stateOf } from "./boxes.js";
import { tellUnsent } from "./head.js";
import { closeReason, openReason } from "./reasons.js";
import { forget, isKeptAs, keep, ofShift, whenForgotten } from "./store.js";
import { forgetStep, remember } from "./undo.js";

const form = document.getElementById("sheet");
const LONGEST = 60; // seconds between two tries
const PATIENCE = 20_000; // milliseconds until an answer is given up
const TOGETHER = 100; // changes of one request: a form has so many fields at the most

const waiting = [];
let flying = [];
const held = new Map(); // by key: refused, in conflict, or without the reason that they need
let pause = 0;
let timer = 0;

const newest = (key) =>
  held.get(key) ?? [...flying, ...waiting].reverse().find((change) => change.key === key);

/** The change of a box that the ledger did not take, or that waits for its reason. */
export const heldOf = (box) => held.get(box.id);

/** The change of a box that is sent or held last; none where all of it is in the ledger. */
export const sentOf = (box) => newest(box.id);

const latest = (box) => sentOf(box)?.text ?? stands(box);

/** Whether a box says something else than was sent or held of it last, or else stands. */
export const isNew = (box) => box.value.trim() !== latest(box).trim();

/**
 * Send changes, each `{key, text, reason, words, carried}`; one call is one step of undoing.
 * `step` false sends without a step, `apart` true never merges with what waits of the same box.
 */
export function send(changes, { step = true, apart = false } = {}) {
  const here = changes.filter((change) => boxOf(change.key));
  const moved = here
    .map((change) => ({ key: change.key, before: latest(boxOf(change.key)), after: change.text }))
    .filter((move) => move.before.trim() !== move.after.trim());
  if (step && moved.length) remember(moved);
  for (const change of here) accept({ ...change, apart });
  flush();
}

function accept(change) {
  const box = boxOf(change.key);
  setText(box, change.text);
  const before = newest(change.key);
  if (before?.text === change.text && !change.reason && !held.has(change.key)) return; // it is on its way
  closeReason(box);
  held.delete(change.key);
  const dropped = change.apart ? false : drop(change.key);
  change.unanswered = dropped || before?.unanswered;
  const settled = !change.unanswered && !newest(change.key);
  if (settled && change.text.trim() === stands(box).trim()) {
    settle(box, before ?? change);
    return;
  }
  change.basedOn ??= basedOn(box);
  change.label ??= box.getAttribute("aria-label");
  keep(shift, change);
  waiting.push(change);
  showState(box, timer ? "unsent" : "sending");
  askReason(change);
}

/** Take out what waits of a box; tell whether it may have arrived, though its answer was lost. */
function drop(key) {
  const dropped = waiting.filter((change) => change.key === key);
  for (const change of dropped) waiting.splice(waiting.indexOf(change), 1);
  return dropped.some((change) => change.unanswered);
}

function settle(box, change) {
  forget(shift, change);
  showState(box, "");
  tell();
}

/** A box that was filled before, or whose shift is signed, is asked why before it is sent. */
function askReason(change) {
  const box = boxOf(change.key);
  const shown = basedOn(box);
  if (change.reason || change.basedOn !== shown || flying.some((other) => other.key === change.key)) return;
  if (shown === "" && !("signed" in form.dataset)) return;
  if (change.text.trim() === stands(box).trim()) return;
  drop(change.key);
  held.set(change.key, change);
  showState(box, "asks");
  openReason(box);
  tell();
}

/** Put back what stands in a box, or is on its way there, and forget what was typed after it. */
export function putBack(box) {
  forgetStep(box.id, box.value);
  const text = flying.find((change) => change.key === box.id)?.text ?? stands(box);
  accept({ key: box.id, text });
  flush();
}

function firstOfEach(changes) {
  const keys = new Set();
  return changes.filter((change) => !keys.has(change.key) && keys.add(change.key));
}

function bodyOf(changes) {
  const body = new URLSearchParams();
  for (const name of ["token", "late_reason", "observed_by"]) {
    if (form.elements[name]) body.set(name, form.elements[name].value);
  }
  for (const change of changes) {
    body.set(`result:${change.key}`, change.text);
    body.set(`based_on:${change.key}`, change.basedOn);
    body.set(`reason:${change.key}`, change.reason ?? "");
    body.set(`words:${change.key}`, change.words ?? "");
    if (change.carried) body.set(`carried:${change.key}`, "yes");
  }
  return body;
}

async function flush() {
  if (flying.length || timer) return tell();
  flying = firstOfEach(waiting).slice(0, TOGETHER);
  if (!flying.length) return tell();
  for (const change of flying) {
    waiting.splice(waiting.indexOf(change), 1);
    if (boxOf(change.key)) showState(boxOf(change.key), "sending");
  }
  tell();
  let answer, text;
  try {
    answer = await fetch(`${shift}/cells`, {
      method: "POST", body: bodyOf(flying), headers: { "X-Fragment": "sheet" },
      redirect: "error", signal: AbortSignal.timeout(PATIENCE),
    });
    text = await answer.text();
  } catch {
    return later(words("no-answer"));
  }
  if ([200, 409, 422].includes(answer.status) && answer.headers.has("X-Fragment")) return take(text);
  if (answer.headers.get("X-Sign-In") === "again") return lock(text);
  if (answer.status >= 500) return later(text);
  refuse(text);
}

/** The ledger judged each of them: what it kept is done, the rest says why not. */
function take(text) {
  const sent = flying;
  [flying, pause] = [[], 0];
  const states = apply(text, sent, (key) => newest(key));
  for (const change of sent) {
    const box = boxOf(change.key);
    const next = waiting.find((other) => other.key === change.key);
    const state = states.get(change.key) ?? "unsent"; // a box that the shift has no more
    change.unanswered = false;
    if (next) {
      next.unanswered = false;
      if (state === "saved") rebase(next); // else what it was based on is the question
      if (box) showState(box, "sending");
      if (box) askReason(next);
    } else if (state === "saved") {
      forget(shift, change);
    } else if (box) {
      held.set(change.key, change);
      if (state === "unsent") showState(box, state);
    }
  }
  flush();
}

/** What was typed over a text that the ledger has now is based on that. */
function rebase(change) {
  change.basedOn = basedOn(boxOf(change.key));
  keep(shift, change);
}

/** Nobody is known to be at this page: keep all, and ask for the password over it. */
function lock(why) {
  giveBack();
  say(words("not-saved", { why }));
  document.dispatchEvent(new CustomEvent("locked"));
  tell();
}

/** The whole request was refused; it is sent again once a box of it is left again. */
function refuse(why) {
  const sent = flying;
  giveBack();
  for (const change of sent) {
    waiting.splice(waiting.indexOf(change), 1);
    held.set(change.key, change);
  }
  say(words("not-saved", { why }));
  tell();
}

function giveBack() {
  waiting.unshift(...flying);
  flying = [];
  for (const change of waiting) {
    change.failed = true;
    const box = boxOf(change.key);
    if (box) showState(box, "unsent");
  }
}

function later(why) {
  for (const change of flying) change.unanswered = true;
  giveBack();
  pause = pause ? Math.min(LONGEST, 2 * pause) : 1;
  timer = setTimeout(sendNow, pause * 1000);
  say(words("not-saved-again", { why: why.replace(/\.$/, "") }));
  tell();
}

/** Try at once what waits for the network. */
export function sendNow() {
  clearTimeout(timer);
  timer = 0;
  flush();
}

addEventListener("online", sendNow);

// another window of the same person kept its own text of a box, and has sent it
whenForgotten(shift, (key, was) => {
  const change = newest(key);
  if (change && !isKeptAs(was, change)) keep(shift, change);
});

/** How many results are not in the ledger, those on their first way not counted. */
export function unsent() {
  const late = [...waiting, ...flying].filter((change) => timer || change.failed);
  return new Set([...late.map((change) => change.key), ...held.keys()]).size;
}

/** Whether everything typed is in the ledger. */
export const allSaved = () => !waiting.length && !flying.length && !held.size;

function tell() {
  tellUnsent(unsent(), timer ? pause : 0);
}

/** Take up what this person typed on this shift and could not send, in whichever window. */
export function takeUp() {
  for (const kept of ofShift(shift)) {
    const box = boxOf(kept.key);
    if (!box) continue;
    if (box.value.trim() !== stands(box).trim() && box.value !== kept.text) continue; // typed since
    const { text, reason, words, carried, basedOn: shown, label } = kept;
    accept({ key: kept.key, text, reason, words, carried, basedOn: shown, label });
  }
  flush();
}

/** Send again what was refused, save what still lacks its reason. */
export function sendRefused() {
  const again = [...held.values()].filter((change) => stateOf(boxOf(change.key)) !== "asks");
  send(again.map(({ key, text, carried }) => ({ key, text, carried })), { step: false });
}
