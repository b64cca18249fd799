// The few words that scripts of pages say to the document.

export const $ = id => document.getElementById(id);

/**
 * An element with attributes and contents; text stays text.
 * @param {string} tag
 * @param {Record<string, unknown>} attributes "class", properties such as `checked: true`, or attributes
 * @param {...(Node | string)} inside
 */
export function el(tag, attributes, ...inside) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(attributes || {})) {
    if (k === "class") e.className = v;
    else if (k in e && typeof v !== "string") e[k] = v;
    else e.setAttribute(k, v);
  }
  e.append(...inside);
  return e;
}

export const press = (button, on) => button.setAttribute("aria-pressed", String(on));
export const isPressed = button => button.getAttribute("aria-pressed") === "true";
