// Choosing the photograph of a slot: the likely ones first, with how well their names match, then all the others.

import { button, h } from "./dom.js";
import { editSlot, film } from "./film.js";
import { imageOf } from "./server.js";
import { mark, titleOf } from "./words.js";

/** Ask for a slot's photograph; the choice is kept at once. */
export function choosePhotograph(slot) {
  const find = h("input", { type: "search", "aria-label": "find a photograph by name", placeholder: "find by name" });
  const list = h("ul", { class: "choices" });
  const dialog = h("dialog", { class: "slip wide", "aria-labelledby": "choose-title" },
    h("header", {}, h("h2", { id: "choose-title" }, `Photograph for ${slot.slot}`), find, button("Close", () => dialog.close())),
    h("p", { class: "quiet" }, titleOf(slot)),
    h("div", { class: "rolls", tabindex: "0", role: "group", "aria-label": "photographs" }, list));
  const take = (name) => {
    dialog.close();
    editSlot(slot, { still: name });
  };
  const update = () => list.replaceChildren(...rows(slot, find.value).map((row) => choice(slot, row, take)));
  if (slot.by_hand.still)
    dialog.querySelector("header").append(button("As the cut list says", () => take(null)));
  find.addEventListener("input", update);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  update();
  dialog.showModal();
}

/** Every photograph with its score, best first, then by name. */
function rows(slot, wanted) {
  const scores = new Map(slot.candidates.map(({ photograph, score }) => [photograph, score]));
  if (slot.photograph && !scores.has(slot.photograph)) scores.set(slot.photograph, slot.score);
  const letters = wanted.trim().toLocaleLowerCase();
  return film().photographs
    .filter((photo) => photo.name.toLocaleLowerCase().includes(letters))
    .map((photo) => ({ photo, score: scores.get(photo.id) ?? null }))
    .sort((a, b) => (b.score ?? -1) - (a.score ?? -1) || a.photo.name.localeCompare(b.photo.name));
}

function choice(slot, { photo, score }, take) {
  const now = photo.id === slot.photograph;
  const used = photo.used_by.filter((other) => other !== slot.slot);
  return h("li", {}, h("button", { type: "button", class: now ? "choice now" : "choice", "aria-pressed": String(now), onclick: () => take(photo.name) },
    h("img", { src: imageOf(photo, 480), width: photo.width, height: photo.height, alt: "", loading: "lazy", decoding: "async" }),
    h("span", { class: "title" }, photo.name),
    h("span", { class: "facts" }, mark(photo.verdict), `${photo.verdict} · ${photo.width} × ${photo.height}`),
    h("span", { class: "facts" }, score === null ? "" : `match ${Math.round(score)} of 100`),
    h("span", { class: "facts" }, used.length ? `in ${used.join(", ")}` : "")));
}
