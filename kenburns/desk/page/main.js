// Where the page begins: the film is fetched, and the address says which view is open.

import { say } from "./dom.js";
import { askWhich } from "./conflict.js";
import { renderTold } from "./clips.js";
import { openDoor } from "./door.js";
import { askOnConflict, film, lineBack, load, redo, undo, watch } from "./film.js";
import { getRender, listen } from "./server.js";
import { openSlot } from "./slot.js";
import { openWall } from "./wall.js";

const desk = document.getElementById("desk");
let shown = "";
let close = () => {};

/** "#/slot/12/play" -> { slot: "12", play: true } */
function address() {
  const [, kind, slot, play] = location.hash.split("/");
  return kind === "slot" ? { slot: decodeURIComponent(slot ?? ""), play: play === "play" } : {};
}

function show() {
  const { slot, play } = address();
  const found = slot !== undefined && film().state === "film" && film().slots.find((each) => each.slot === slot);
  const wanted = film().state === "empty" ? `door ${film().hint}` : found ? `slot ${slot}` : "wall";
  if (wanted !== shown) {
    close();
    say("");
    shown = wanted;
    close = film().state === "empty" ? openDoor(desk) : found ? openSlot(desk, slot, play) : openWall(desk);
  }
}

function keys(event) {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || isWriting(event.target)) return;
  event.preventDefault();
  (event.shiftKey ? redo : undo)();
}

const isWriting = (element) => element.matches("textarea, input:not([type=range]):not([type=checkbox])");

askOnConflict(askWhich);
watch(show);
window.addEventListener("hashchange", show);
window.addEventListener("keydown", keys);
await load();
listen({ film: load, render: renderTold, line: (there) => there && lineBack() });
const now = await getRender();
if (now.status === 200) renderTold(now.body);
