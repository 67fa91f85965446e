// The film as the server tells it, and every change on its way there. Changes go one after the other, each kept at once.

import { say } from "./dom.js";
import * as server from "./server.js";

let state = null;
let waiting = [];
let sending = false;
let lost = false;
const listeners = new Set();
let onConflict = () => {};

export const film = () => state;
export const photographOf = (slot) => state.photographs.find((photo) => photo.id === slot.photograph) ?? null;
export const keeping = () => sending || waiting.length > 0;

/** Be told of every new state; returns a function that ends it. */
export function watch(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Who asks the person when film.toml was changed by someone else in the same keys. */
export function askOnConflict(ask) {
  onConflict = ask;
}

function take(next) {
  state = next;
  tell();
}

const tell = () => listeners.forEach((listener) => listener(state));

/** Fetch the film, unless changes are on their way: their answer brings it. */
export async function load() {
  if (keeping()) return;
  const { status, body } = await server.getFilm();
  if (status === 200 && !keeping()) take(body);
  else if (status !== 200) say(body.error ?? "The desk does not answer; start it again.");
}

/** Keep changes: [{table, name, key, value}], null taking a key away. */
export function edit(changes) {
  waiting.push({ send: server.postEdit, changes });
  return flush();
}

export const editSlot = (slot, values) => edit(changesOf("slots", slot.slot, values));
export const editStill = (photo, values) => edit(changesOf("stills", photo.name, values));

const changesOf = (table, name, values) =>
  Object.entries(values).map(([key, value]) => ({ table, name, key, value }));

export function undo() {
  waiting.push({ send: server.postUndo, changes: [] });
  return flush();
}

export function redo() {
  waiting.push({ send: server.postRedo, changes: [] });
  return flush();
}

/** Mark a note of a review as done, or open it again. */
export function markNote(note, done) {
  waiting.push({ send: () => server.postNote(note, done), changes: [] });
  return flush();
}

async function flush() {
  if (sending) return;
  sending = true;
  while (waiting.length > 0) {
    const next = waiting.shift();
    tell();
    if (!(await sent(next))) break;
  }
  sending = false;
  tell();
}

/** Send one; false when the line is dead: then it waits for the line to come back. */
async function sent({ send, changes }) {
  const answer = await once(send, changes);
  if (answer === null) {
    waiting.unshift({ send, changes });
    lost = true;
    say("The desk does not answer. The change is kept here and goes out when it does.");
    return false;
  }
  await settle(answer, changes);
  return true;
}

async function once(send, changes) {
  try {
    return await send(state.version, changes);
  } catch {
    return null;
  }
}

async function settle({ status, body }, changes) {
  if (status === 200) {
    say("");
    take(body);
  } else if (status === 409 && body.film) {
    take(body.film);
    if (changes.length === 0) say(body.error);
    else if ((await onConflict(body.error, changes, body.film)) === "mine") waiting.unshift({ send: server.postEdit, changes });
  } else {
    say(body.error ?? `The desk answered ${status}.`);
    tell();
  }
}

/** The line to the server is back: send what waits, then look at the film again. */
export function lineBack() {
  if (lost) say("");
  lost = false;
  flush().then(load);
}
