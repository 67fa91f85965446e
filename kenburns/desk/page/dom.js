// Elements made in code: text is always text, never markup.

const SVG = "http://www.w3.org/2000/svg";

/** Make an element; `on…` keys are listeners, null and false values are left out, children may be text. */
export function h(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/** The same for SVG. */
export function s(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) set(element, key, value);
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

function set(element, key, value) {
  if (value === null || value === undefined || value === false) return;
  if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
  else if (key === "value" || key === "checked") element[key] = value;
  else element.setAttribute(key, value === true ? "" : value);
}

/** Put an element at x, y with this width and height, in CSS pixels of its parent. */
export function place(element, x, y, width, height) {
  element.style.transform = `translate(${x}px, ${y}px)`;
  if (width !== undefined) element.style.width = `${width}px`;
  if (height !== undefined) element.style.height = `${height}px`;
}

/** Say one sentence where everybody finds it, screen readers too; an empty one takes it away. */
export function say(sentence) {
  document.getElementById("said").textContent = sentence;
}

/** A button in words. */
export function button(label, act, attributes = {}) {
  return h("button", { type: "button", onclick: act, ...attributes }, label);
}

/** A button that stays pressed. */
export function toggle(label, pressed, act, attributes = {}) {
  return button(label, act, { "aria-pressed": String(Boolean(pressed)), ...attributes });
}
