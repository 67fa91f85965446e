// All talk with the desk's server, in one place.

async function ask(address, options = {}) {
  const answer = await fetch(address, { cache: "no-store", ...options });
  const body = await answer.json().catch(() => ({}));
  return { status: answer.status, body };
}

const post = (address, body) =>
  ask(address, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });

/** What stands in for an answer where none comes: edits are kept and sent again instead. */
const SILENCE = { status: 0, body: { error: "The desk does not answer; start it again." } };
const orSilence = (answer) => answer.catch(() => SILENCE);

export const getFilm = () => orSilence(ask("/api/film"));
export const getPath = (index) => orSilence(ask(`/api/path/${index}`));
export const getRender = () => orSilence(ask("/api/render"));
export const postEdit = (version, changes) => post("/api/edit", { version, changes });
export const postUndo = (version) => post("/api/undo", { version });
export const postRedo = (version) => post("/api/redo", { version });
export const postNote = (note, done) => post("/api/note", { note, done });
export const postRender = (slots) => orSilence(post("/api/render", { slots }));
export const postStop = () => orSilence(post("/api/render/stop", {}));

/** Send files; `told` hears the share that has gone, in [0, 1]. */
export function postFiles(files, told) {
  const form = new FormData();
  for (const file of files) form.append("files", file, file.name);
  return new Promise((done, failed) => {
    const request = new XMLHttpRequest();
    request.open("POST", "/api/bring");
    request.responseType = "json";
    request.upload.onprogress = (event) => told(event.loaded / event.total);
    request.onload = () => done({ status: request.status, body: request.response ?? {} });
    request.onerror = failed;
    request.send(form);
  });
}

/** Hear of changes of the film and of the render's progress; also told when the line is lost and found. */
export function listen({ film, render, line }) {
  const events = new EventSource("/api/events");
  events.addEventListener("film", film);
  events.addEventListener("render", (event) => render(JSON.parse(event.data)));
  events.onopen = () => line(true);
  events.onerror = () => line(false);
}

/** Widths that the server has of every photograph; it never enlarges. */
export const WIDTHS = [480, 960, 1920, 3840];

/** A photograph's address; its look (squared up or not, and from which corners) keeps older copies apart. */
export function imageOf(photograph, width) {
  const taken = photograph.asTaken ? "&as=taken" : "";
  return `/image/${photograph.id}?w=${width}&look=${lookOf(photograph)}${taken}`;
}

export function cardOf(slot, width, version) {
  return `/card/${slot.index}?w=${width}&look=${digest(version)}`;
}

const lookOf = ({ content, square_up: square, outline }) => digest(JSON.stringify([content, square && outline]));

/** A photograph as it was taken, where it is shown squared up otherwise: the outline is set on that. */
export function asTaken(photograph) {
  if (!photograph?.square_up || !photograph.taken) return photograph;
  return { ...photograph, ...photograph.taken, square_up: false, asTaken: true };
}

function digest(text) {
  let sum = 0;
  for (let at = 0; at < text.length; at += 1) sum = (sum * 31 + text.charCodeAt(at)) >>> 0;
  return sum.toString(36);
}
