// Rendering: one box with what can be asked, how far it is, and what was made. The page stays usable meanwhile.

import { button, h, say } from "./dom.js";
import * as server from "./server.js";
import { count } from "./words.js";

let progress = { running: false, done: 0, total: 0, current: [], made: [], failed: [], error: null };
const boxes = new Set();

/** Take news of the render, from an event or an answer. */
export function renderTold(news) {
  progress = news;
  for (const box of boxes) box.isConnected ? fill(box) : boxes.delete(box);
}

/** The box for one slot, or for the whole film (null). */
export function renderBox(slot) {
  const box = h("section", { class: "clips", "aria-label": "clips" });
  box.slotToMake = slot;
  boxes.add(box);
  fill(box);
  return box;
}

async function start(slots) {
  const { status, body } = await server.postRender(slots);
  if (status !== 202) return say(body.error ?? `The desk answered ${status}.`);
  say("");
  const news = await server.getRender();
  if (news.status === 200) renderTold(news.body);
}

function fill(box) {
  const held = box.querySelector("details")?.open ?? false;
  box.replaceChildren(...(progress.running ? under(progress) : [ask(box.slotToMake)]), ...made(progress, held));
}

function ask(slot) {
  if (slot === null) return button("Render the film", () => start(null), { class: "main" });
  return button(`Render ${slot}`, () => start([slot]), { class: "main" });
}

function under({ done, total, current }) {
  const now = current.map(({ slot, frame, frames }) => `${slot}: ${frame} of ${frames}`).join(", ");
  const parts = current.reduce((sum, { frame, frames }) => sum + frame / Math.max(frames, 1), done);
  return [
    h("p", {}, `Rendering: ${done} of ${total}`),
    h("progress", { max: Math.max(total, 1), value: parts, "aria-label": "clips rendered" }),
    h("p", { class: "quiet now" }, now),
    button("Stop", server.postStop),
  ];
}

function made({ made: files, failed, error, running }, held) {
  const parts = [];
  if (error) parts.push(h("p", { class: "call" }, error));
  for (const { slot, error: reason } of failed) parts.push(h("p", { class: "call" }, `${slot}: ${reason}`));
  if (files.length > 0)
    parts.push(h("details", { open: held || null }, h("summary", {}, `${count(files.length, "clip")} made`),
      h("ul", { class: "quiet files" }, ...files.map(({ file }) => h("li", {}, file)))));
  else if (!running && !error && failed.length === 0) return parts;
  return parts;
}
