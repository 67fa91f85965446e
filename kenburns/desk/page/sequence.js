// What plays: a slot alone, or with the end of the slot before and the beginning of the one after.

import { asRect } from "./geometry.js";
import { rateOf } from "./words.js";

const NEAR = 2; // seconds of a neighbour
const PAUSE = 0.5; // seconds of leader for the film that lies between

/**
 * The parts in order, each {slot, path, from, frames, start}: frames `from`… of the slot, at `start` in the run.
 * A part without a slot is the film between, which is not here; `between` says how many seconds of it there are.
 */
export function sequence(film, index, paths, joined) {
  const rate = rateOf(film.rate);
  const parts = [];
  const slot = film.slots[index];
  if (joined && index > 0) {
    const before = film.slots[index - 1];
    const near = Math.min(Math.round(NEAR * rate), before.frames);
    parts.push(part(before, paths, before.frames - near, near), ...gap(before, slot, rate));
  }
  parts.push({ ...part(slot, paths, 0, slot.frames), home: true });
  if (joined && index + 1 < film.slots.length) {
    const after = film.slots[index + 1];
    parts.push(...gap(slot, after, rate), part(after, paths, 0, Math.min(Math.round(NEAR * rate), after.frames)));
  }
  let start = 0;
  for (const each of parts) {
    each.start = start;
    start += each.frames;
  }
  return { parts, total: start, home: parts.find((each) => each.home) };
}

const part = (slot, paths, from, frames) => ({ slot, path: paths.get(slot.index) ?? null, from, frames });

function gap(before, after, rate) {
  const between = after.start - before.start - before.frames;
  return between > 0 ? [{ slot: null, frames: Math.round(PAUSE * rate), between: between / rate }] : [];
}

/** The part at a frame of the run, and that frame within its slot. */
export function partAt({ parts }, frame) {
  const found = parts.findLast((each) => frame >= each.start) ?? parts[0];
  return { part: found, frame: (found.from ?? 0) + frame - found.start };
}

/** The view at a frame of a slot, handles not counted; null for a card or where it is not known yet. */
export function viewAt(path, frame) {
  const row = path && !path.card ? path.frames[path.handles + frame] : null;
  return row ? asRect(row) : null;
}

/** How far the picture moves from each frame of a slot to the next, handles left out. */
export const speedsOf = (path, frames) => path.speeds.slice(path.handles, path.handles + frames - 1);
