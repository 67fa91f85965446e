// The wall: every slot in film order, then the photographs that no slot uses. Prints that stay the same are kept.

import { button, h, toggle } from "./dom.js";
import { choosePhotograph } from "./choose.js";
import { renderBox } from "./clips.js";
import { doorFor } from "./door.js";
import { film, photographOf, watch } from "./film.js";
import { historyBox, screenNotice } from "./margin.js";
import { noteRow, openNotes } from "./notes.js";
import { fingerprint, slotPrint, sparePrint, tally } from "./print.js";
import { rateText, size } from "./words.js";

const FILTERS = {
  all: { label: "all", keep: () => true },
  asks: { label: "to look at", keep: (slot) => slot.attention },
  cards: { label: "no photograph", keep: (slot) => slot.verdict === "missing" },
  notes: { label: "with open notes", keep: (slot) => openNotes(slot).length > 0 },
  hand: { label: "set by hand", keep: (slot) => isByHand(slot) },
};

let filter = "all";
let scrolled = 0;

const isByHand = (slot) =>
  Object.entries(slot.by_hand).some(([key, value]) => key !== "note" && value !== null && value !== "" && value.length !== 0);

/** Show the wall in `desk`; returns a function that takes it down. */
export function openWall(desk) {
  const made = new Map();
  const prints = h("ol", { class: "prints", "aria-label": "slots in film order" });
  const spare = h("section", { class: "spares" });
  const filters = h("div", { class: "filters", role: "group", "aria-label": "which slots to show" });
  const words = h("div", { class: "words" });
  const margin = h("aside", { class: "notebook", "aria-label": "the film" }, words, filters, renderBox(null), historyBox(), screenNotice());
  const table = h("main", { class: "table", tabindex: "-1" }, prints, spare);
  const door = doorFor(table);
  desk.replaceChildren(h("div", { class: "wall" }, margin, table));

  const update = () => {
    const now = film();
    document.title = `${now.title} – desk`;
    words.replaceChildren(...about(now));
    filters.replaceChildren(...filterButtons(now, update));
    lay(prints, made, now);
    spare.replaceChildren(...sparePart(now));
    table.classList.toggle("bare", prints.childElementCount === 0);
  };
  update();
  table.scrollTop = scrolled;
  const unwatch = watch(update);
  return () => {
    scrolled = table.scrollTop;
    unwatch();
    door();
  };
}

/** Put the prints in order, making only those that have changed. */
function lay(prints, made, now) {
  const shown = now.slots.filter(FILTERS[filter].keep).map((slot) => {
    const photo = photographOf(slot);
    const print = fingerprint(slot, photo, now.version);
    const old = made.get(slot.index);
    if (old?.print === print) return old.item;
    const item = slotPrint(slot, photo, now, choosePhotograph);
    made.set(slot.index, { print, item });
    return item;
  });
  if (shown.length !== prints.children.length || shown.some((item, at) => item !== prints.children[at]))
    prints.replaceChildren(...shown);
}

function about(now) {
  return [
    h("h1", {}, now.title),
    h("p", { class: "quiet" }, tally(now)),
    h("p", { class: "quiet" }, `${size(now.frame)} px · ${rateText(now.rate)} frames a second · ${now.pacing}`),
    ...heads("Problems", now.problems, "call"),
    ...strayNotes(now),
    ...heads("How it was read", now.remarks, "quiet"),
  ];
}

function heads(title, sentences, kind) {
  if (sentences.length === 0) return [];
  const list = h("ul", { class: kind }, ...sentences.map((sentence) => h("li", {}, sentence)));
  return [h("details", {}, h("summary", { class: kind }, `${title}: ${sentences.length}`), list)];
}

function strayNotes({ stray_notes: notes }) {
  if (notes.length === 0) return [];
  return [h("details", { class: "stray" }, h("summary", {}, `Notes on no slot: ${notes.length}`), h("ul", { class: "notes" }, ...notes.map(noteRow)))];
}

function filterButtons(now, update) {
  return Object.entries(FILTERS).map(([name, { label, keep }]) => {
    const number = now.slots.filter(keep).length;
    const act = () => {
      filter = name;
      update();
      document.querySelector(`.filters [data-filter="${name}"]`).focus();
    };
    return toggle(`${label} ${number}`, filter === name, act, { "data-filter": name, disabled: number === 0 && filter !== name });
  });
}

function sparePart(now) {
  const unused = now.photographs.filter((photo) => photo.used_by.length === 0);
  const parts = [];
  if (unused.length > 0)
    parts.push(h("h2", {}, "Not in the film"), h("ul", { class: "prints" }, ...unused.map(sparePrint)));
  if (now.refused.length > 0)
    parts.push(h("h2", {}, "Cannot be used"), h("ul", { class: "refused" },
      ...now.refused.map(({ reason }) => h("li", {}, reason))));
  parts.push(h("p", { class: "quiet bring" }, "More photographs: drop them here, or ",
    button("choose files", () => document.dispatchEvent(new CustomEvent("desk-bring")), { class: "plain" }), "."));
  return parts;
}
