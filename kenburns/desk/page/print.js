// One print on the wall: the still or card of a slot, its frames drawn on it, and a line or two of words.

import { h, s } from "./dom.js";
import { noteCount } from "./notes.js";
import { cardOf, imageOf } from "./server.js";
import { count, mark, moveName, seconds, titleOf } from "./words.js";

// Width over height of a print's place on the wall: wide enough for its words, and no wider than two others.
const WIDEST = 2.1;
const NARROWEST = 0.95;

/** What a print shows; two that are the same need no new element. */
export const fingerprint = (slot, photo, version) =>
  JSON.stringify([slot, photo && [photo.name, photo.square_up, photo.outline], slot.kind === "card" && version]);

/** The element of one slot. */
export function slotPrint(slot, photo, film, choose) {
  const aspect = photo ? photo.width / photo.height : film.frame.width / film.frame.height;
  const item = h("li", { class: slot.attention ? "print asks" : "print", "data-slot": slot.slot },
    h("a", { class: "sheet", href: `#/slot/${encodeURIComponent(slot.slot)}`, "aria-label": spoken(slot) },
      picture(slot, photo, film)),
    h("p", { class: "title" }, h("b", {}, slot.slot), " ", titleOf(slot)),
    h("p", { class: "facts" }, mark(slot.verdict), ` ${slot.verdict} · ${moveName(slot)} · ${seconds(slot.seconds)}`),
    h("p", { class: "facts apart" }, slot.start_timecode,
      h("button", { type: "button", class: "plain", onclick: () => choose(slot), "aria-label": `choose the photograph of slot ${slot.slot}` },
        photo ? "change" : "choose")),
    slot.attention && slot.flags.length > 0 ? h("p", { class: "flag" }, slot.flags[0]) : null,
    noteCount(slot) ? h("p", { class: "noted" }, noteCount(slot)) : null,
    slot.by_hand.note ? h("p", { class: "own" }, slot.by_hand.note) : null);
  shape(item, aspect, NARROWEST);
  return item;
}

/** Tell the style sheet a picture's own shape, and that of its place. */
function shape(item, own, narrowest) {
  item.style.setProperty("--own", own.toFixed(5));
  item.style.setProperty("--aspect", Math.min(Math.max(own, narrowest), WIDEST).toFixed(5));
}

const spoken = (slot) =>
  `slot ${slot.slot}: ${titleOf(slot)}, ${slot.verdict}, ${moveName(slot)}, ${seconds(slot.seconds)}`;

function picture(slot, photo, film) {
  if (!photo) return h("span", { class: "fit card" }, img(cardOf(slot, 480, film.version), film.frame));
  return h("span", { class: "fit" }, img(imageOf(photo, 480), photo), frames(slot, photo));
}

function img(source, { width, height }) {
  return h("img", { src: source, width, height, alt: "", loading: "lazy", decoding: "async" });
}

function frames(slot, photo) {
  const stops = slot.shots.flatMap((shot) => shot.stops);
  const ends = stops.length > 1 ? [stops[0], stops[stops.length - 1]] : stops;
  const lines = ends.filter((stop) => !showsAll(stop, photo)).flatMap(({ x, y, width, height }) =>
    ["under", "over"].map((name) => s("rect", { class: name, x, y, width, height })));
  return s("svg", { class: "marks", viewBox: `0 0 ${photo.width} ${photo.height}`, "aria-hidden": "true" }, ...lines);
}

// The whole needs no line: it runs along the edge of the print, or outside.
const showsAll = ({ x, y, width, height }, photo) =>
  x <= 0 && y <= 0 && x + width >= photo.width && y + height >= photo.height;

/** A photograph that no slot uses. */
export function sparePrint(photo) {
  const item = h("li", { class: "print spare" },
    h("span", { class: "sheet" }, h("span", { class: "fit" }, img(imageOf(photo, 480), photo))),
    h("p", { class: "title" }, photo.name),
    h("p", { class: "facts" }, mark(photo.verdict), ` ${photo.verdict} · ${photo.width} × ${photo.height}`));
  shape(item, photo.width / photo.height, 1.1);
  return item;
}

/** What the wall's head says of the film. */
export function tally(film) {
  const asking = film.slots.filter((slot) => slot.attention).length;
  return [count(film.slots.length, "slot"), asking ? `${asking} to look at` : "all settled"].join(", ");
}
