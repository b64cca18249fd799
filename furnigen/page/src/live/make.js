// Small makers of elements: texts are always texts.

/**
 * An element with attributes, and what stands in it.
 * @param {string} name
 * @param {Record<string, any>} given attributes; `on...` are listeners, true and false set and leave out
 * @param {...(Node | string)} inside
 */
export function make(name, given = {}, ...inside) {
  const one = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (key.startsWith("on")) one.addEventListener(key.slice(2), value);
    else if (value === true) one.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) one.setAttribute(key, String(value));
  }
  one.append(...inside);
  return one;
}

/** What somebody named: from right to left it does not turn the text around it. */
export const named = text => make("bdi", {}, text);
