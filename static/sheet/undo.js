// The changes of this session, step by step: undoing one is a new entry, never an erasure.

const done = [];
const undone = [];

/** Put a step on record: a list of moves `{key, before, after}`. */
export function remember(step) {
  done.push(step);
  undone.length = 0;
}

/** Forget the last step, where it was this text in this box alone and was put back. */
export function forgetStep(key, text) {
  const [move, ...others] = done.at(-1) ?? [];
  if (move?.key === key && move.after === text && !others.length) done.pop();
}

/** The changes that take the last step back; none where there is none. */
export function stepBack() {
  const step = done.pop();
  if (step) undone.push(step);
  return (step ?? []).map(({ key, before }) => ({ key, text: before, reason: "undone" }));
}

/** The changes that do again what was taken back last. */
export function stepForward() {
  const step = undone.pop();
  if (step) done.push(step);
  return (step ?? []).map(({ key, after }) => ({ key, text: after, reason: "done again" }));
}
