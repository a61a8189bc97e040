// The words that scripts say, in the language of the page, which holds them.

const store = document.getElementById("words").content;

/** The words of a key, with each {name} in them filled in. */
export function words(key, names = {}) {
  const text = store.querySelector(`[value="${key}"]`).textContent;
  return text.replace(/\{(\w+)\}/g, (_, name) => names[name]);
}

/** The words for one of something, or for {count} of it. */
export function counted(key, count, names = {}) {
  return words(count === 1 ? key : `${key}-many`, { count, ...names });
}
