// How things are said: lengths, sizes, verdicts, and the mark of each verdict.

import { s } from "./dom.js";

/** "4.2 s" */
export const seconds = (value) => `${value.toFixed(1)} s`;

/** "1920 × 1080" */
export const size = ({ width, height }) => `${Math.round(width)} × ${Math.round(height)}`;

/** "1 slot", "2 slots" */
export const count = (number, one, many = `${one}s`) => `${number} ${number === 1 ? one : many}`;

/** Frames a second of "25/1" or "30000/1001". */
export function rateOf(text) {
  const [over, under = 1] = text.split("/").map(Number);
  return over / under;
}

/** "25" or "29.97" */
export const rateText = (text) => String(Math.round(rateOf(text) * 1000) / 1000);

/** What a slot's move is called: its shots in order, the kind of its card of words, or that it is a card. */
export function moveName(slot) {
  return slot.shown_as;
}

/** What is seen: the cut list's word, or else the caption. */
export const titleOf = (slot) => slot.wanted || slot.caption || "nothing named";

// Told by shape as well as by word: a disc, half a disc, a ring, lines of text, an empty square. The contact sheet has the same.
const SHAPES = {
  good: () => [s("circle", { cx: 8, cy: 8, r: 7, fill: "currentColor" })],
  short: () => [s("circle", { cx: 8, cy: 8, r: 6 }), s("path", { d: "M8 2a6 6 0 0 0 0 12z", fill: "currentColor" })],
  small: () => [s("circle", { cx: 8, cy: 8, r: 6 })],
  words: () => [s("path", { d: "M1 3h14M1 8h14M1 13h9" })],
  missing: () => [s("rect", { x: 2, y: 2, width: 12, height: 12 })],
};

/** A verdict's mark. */
export function mark(verdict) {
  const shape = (SHAPES[verdict] ?? SHAPES.missing)();
  const kind = verdict === "good" || verdict === "words" ? "mark" : "mark call";
  return s("svg", { class: kind, viewBox: "0 0 16 16", "aria-hidden": "true" }, ...shape);
}
