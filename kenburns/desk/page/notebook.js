// The notebook page of one slot: what it is, and its move in a sentence whose words can be changed.

import { button, h, toggle } from "./dom.js";
import { choosePhotograph } from "./choose.js";
import { renderBox } from "./clips.js";
import { historyBox, screenNotice } from "./margin.js";
import { noteList } from "./notes.js";
import { stopName } from "./stops.js";
import { mark, moveName, rateOf, seconds, size, titleOf } from "./words.js";

/** Make the page. `acts` as in slot.js; `update({film, slot, photo, stops, chosen, outline})` writes it anew. */
export function makeNotebook(acts, id) {
  const page = h("div", { class: "page" });
  const foot = h("div", { class: "leaf-foot" }, historyBox(), renderBox(id), screenNotice());
  const element = h("aside", { class: "notebook", "aria-label": `slot ${id}` }, page, foot);
  return {
    element,
    update(now) {
      const held = page.contains(document.activeElement) ? document.activeElement.dataset.key : null;
      const open = new Set([...page.querySelectorAll("details[open]")].map((each) => each.dataset.key));
      page.replaceChildren(...written(now, acts, open));
      if (held) page.querySelector(`[data-key="${held}"]`)?.focus();
    },
  };
}

function written(now, acts, open) {
  const { slot, photo } = now;
  return [
    pager(now),
    h("h1", {}, h("span", { class: "number" }, slot.slot), " ", titleOf(slot)),
    slot.caption && slot.caption !== titleOf(slot) ? h("p", { class: "quiet" }, slot.caption) : null,
    h("p", { class: "quiet" }, `${slot.start_timecode} · ${seconds(slot.seconds)} · ${slot.frames} frames`),
    slot.note && h("p", { class: "cue" }, slot.note),
    ...noteList(slot),
    ...photograph(now),
    ...slot.flags.map((flag) => h("p", { class: "call" }, flag)),
    ...slot.rights.map((right) => h("p", { class: "quiet" }, right)),
    ...(photo ? [h("h2", {}, "The move"), move(now, acts), ...notes(slot), ...stopList(now, acts), ...detailList(now, acts), ...work(now, acts)] : []),
    h("label", { class: "own" }, "Your note", h("textarea", { "data-key": "note", rows: 2, onchange: (event) => acts.set({ note: event.target.value || null }), value: slot.by_hand.note ?? "" })),
    ...keysHelp(open),
  ].filter(Boolean);
}

function pager({ film, slot }) {
  const at = film.slots.findIndex((each) => each.index === slot.index);
  const link = (to, words, label) => to
    ? h("a", { href: `#/slot/${encodeURIComponent(to.slot)}`, "aria-label": `${label}: ${to.slot}`, "data-key": label }, words(to.slot))
    : null;
  return h("nav", { class: "pager", "aria-label": "slots" }, h("a", { href: "#/", "data-key": "wall" }, "The wall"),
    link(film.slots[at - 1], (name) => `← ${name}`, "slot before"), link(film.slots[at + 1], (name) => `${name} →`, "slot after"));
}

function photograph({ slot, photo }) {
  if (slot.verdict === "words") return [h("p", {}, mark("words"), ` words · ${moveName(slot)}`), ...notes(slot)];
  const change = button(photo ? "change" : "choose a photograph", () => choosePhotograph(slot), { class: "plain", "data-key": "photograph", "aria-label": `${photo ? "change" : "choose"} the photograph of slot ${slot.slot}` });
  if (!photo) return [h("p", {}, mark("missing"), " no photograph yet · ", change)];
  return [
    h("p", { class: "name" }, photo.name, " ", change),
    h("p", { class: "quiet" }, mark(slot.verdict), ` ${slot.verdict} · ${photo.width} × ${photo.height} px · ${matched(slot)}`),
    photo.warning && h("p", { class: "quiet" }, photo.warning),
  ];
}

const matched = (slot) => (slot.by_hand.still ? "chosen by hand" : `match ${Math.round(slot.score)} by ${slot.matched_by}`);

const notes = (slot) => [...new Set([...slot.notes, ...slot.shots.flatMap((shot) => shot.notes)])].map((note) => h("p", { class: "quiet" }, note));

/** One changeable word of a sentence; `hand` tells that it was set by hand. */
function word(label, key, value, choices, hand, set) {
  const options = choices.map(([each, text]) => h("option", { value: each, selected: each === value || null }, text));
  const select = h("select", { "aria-label": label, "data-key": key, class: hand ? "word hand" : "word", onchange: (event) => set(event.target.value || null) }, ...options);
  return select;
}

function number(label, key, value, planned, set) {
  return h("input", { class: value === null ? "word" : "word hand", type: "text", inputmode: "decimal", size: 4, "aria-label": label, "data-key": key,
    placeholder: planned, value: value === null ? "" : String(value), onchange: (event) => set(event.target.value.trim()) });
}

/** Words that stay on one line. */
const together = (...parts) => h("span", { class: "together" }, ...parts);

function move({ film, slot }, acts) {
  const hand = slot.by_hand;
  const planned = slot.shots[0];
  const rate = rateOf(film.rate);
  const head = (planned.stops[0].leave + 1 - film.handles) / rate;
  const last = slot.shots[slot.shots.length - 1];
  const tail = (last.frames - last.stops[last.stops.length - 1].arrive - film.handles) / rate;
  const plan = slot.shots.length > 1 ? "whole, then detail" : planned.kind;
  const still = planned.stops.length === 1 && slot.shots.length === 1;
  const pans = [plan, hand.shot].includes("pan");
  return h("p", { class: "sentence" },
    word("shot", "shot", hand.shot ?? "", [["", hand.shot ? "as planned" : plan], ...film.kinds.map((kind) => [kind, kind])], hand.shot, acts.setKind),
    still ? null : [", easing ", word("easing", "easing", hand.easing ?? "", [["", hand.easing ? "as planned" : planned.easing], ...film.easings.map((each) => [each, each])], hand.easing, (easing) => acts.set({ easing }))],
    pans ? [", ", word("direction", "direction", hand.direction ?? "", [["", "left to right"], ["right to left", "right to left"]], hand.direction, (direction) => acts.set({ direction }))] : null,
    "; pacing ", word("pacing", "pacing", hand.pacing ?? "", [["", hand.pacing ? "as the film" : film.pacing], ...film.pacings.map((each) => [each, each])], hand.pacing, (pacing) => acts.set({ pacing })),
    ".",
    still ? null : [h("br"), "At rest ", together(number("seconds at rest first", "head", hand.head, head.toFixed(1), (text) => acts.setNumber("head", text)), " s first"), " and ",
      together(number("seconds at rest last", "tail", hand.tail, tail.toFixed(1), (text) => acts.setNumber("tail", text)), " s last."), h("br"),
      "At the next stop ", together("by ", number("cues: seconds by which the next stops are reached", "cue", hand.cue.length ? hand.cue.join(", ") : null, "any", (text) => acts.setNumbers("cue", text)), " s.")]);
}

function stopList({ slot, stops, chosen, film }, acts) {
  const rows = stops.map((rect, at) => h("li", {},
    toggle(stopName(at, stops.length), chosen === at, () => acts.choose(at), { class: "row", "data-key": `stop${at}` }),
    h("span", { class: "quiet" }, size(rect)),
    h("span", { class: "quiet", title: "source pixels a pixel of the frame" }, `${(rect.width / film.frame.width).toFixed(2)} : 1`),
    stops.length > 1 ? button("×", () => acts.removeStop(at), { class: "plain", "aria-label": `remove stop ${at + 1}` }) : null));
  return [h("h2", {}, "Stops"), h("ol", { class: "stops" }, ...rows),
    h("p", { class: "ways" }, button("Add a stop", acts.addStop, { "data-key": "add" }),
      slot.by_hand.stops.length ? button("As planned", () => acts.set({ stops: null }), { "data-key": "planned" }) : null)];
}

function detailList({ photo, slot }, acts) {
  if (photo.details.length === 0) return [];
  const rows = photo.details.map((detail, at) => h("li", {},
    toggle(`${at + 1}  ${detail.reason}`, slot.by_hand.details.includes(at + 1), () => acts.takeDetail(at + 1), { class: "row", "data-key": `detail${at}` })));
  return [h("h2", {}, photo.details_by_hand ? "Details, set by hand" : "Details"), h("ul", { class: "details" }, ...rows)];
}

function work({ photo, outline }, acts) {
  const square = h("label", { class: "check" }, h("input", { type: "checkbox", checked: photo.square_up, "data-key": "square", onchange: (event) => acts.setStill({ square_up: event.target.checked || null }) }), " squared up");
  return [h("h2", {}, "Outline of the work"),
    h("p", { class: "ways" },
      toggle("Move its corners", outline, acts.toggleOutline, { "data-key": "outline" }),
      photo.outline_by_hand ? button("As found", () => acts.setStill({ outline: null }), { "data-key": "found" }) : null,
      photo.outline ? square : null),
    photo.outline ? null : h("p", { class: "quiet" }, "The work fills the photograph.")].filter(Boolean);
}

function keysHelp(open) {
  const rows = [["space", "play, pause"], [", .", "a frame back, on"], ["arrows", "move a stop (Shift: 1 px)"], ["+ −", "closer, wider"], ["F", "photograph or frame"], ["Ctrl Z", "undo"]];
  return [h("details", { class: "keys", "data-key": "keys", open: open.has("keys") || null }, h("summary", { "data-key": "keys-word" }, "Keys"),
    h("dl", {}, ...rows.flatMap(([key, does]) => [h("dt", {}, key), h("dd", {}, does)])))];
}
