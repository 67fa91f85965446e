// The notes of a review: counted on the wall, and each at its slot, to be marked done or opened again.

import { button, h } from "./dom.js";
import { markNote } from "./film.js";
import { count } from "./words.js";

export const openNotes = (slot) => slot.review.filter((note) => !note.done);

/** "2 notes open", or nothing. */
export const noteCount = (slot) => (openNotes(slot).length ? `${count(openNotes(slot).length, "note")} open` : "");

/** The notes of one slot, those that are open first. */
export function noteList(slot) {
  if (slot.review.length === 0) return [];
  const sorted = [...openNotes(slot), ...slot.review.filter((note) => note.done)];
  return [h("h2", {}, "Notes from the review"), h("ul", { class: "notes" }, ...sorted.map(noteRow))];
}

/** A note: when and by whom, what was said, and what can be done with it. */
export function noteRow(note) {
  const said = [note.timecode, note.author, note.beside ? `${note.beside.toFixed(1)} s beside the slot` : "", ...note.doubts];
  return h("li", { class: note.done ? "note done" : "note" },
    h("p", { class: "quiet" }, said.filter(Boolean).join(" · ")),
    h("p", { class: "said" }, note.text),
    note.ticked ? h("p", { class: "quiet" }, "done, by the file of notes") : mark(note));
}

function mark(note) {
  const does = note.done ? "Open again" : "Mark done";
  return button(does, () => markNote(note.id, !note.done), { class: "plain", "data-key": `note${note.id}`, "aria-label": `${does}: ${note.text}` });
}
