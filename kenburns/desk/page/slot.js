// One slot: the notebook page beside the photograph, or beside the frame as it will be; the slot's length below.

import { button, h, say, toggle } from "./dom.js";
import { makeClock } from "./clock.js";
import { editSlot, editStill, film, photographOf, watch } from "./film.js";
import { asRow, around, centre, tidy, viewOf } from "./geometry.js";
import { makeNotebook } from "./notebook.js";
import { makePlayer } from "./player.js";
import { partAt, sequence, viewAt } from "./sequence.js";
import { asTaken, getPath } from "./server.js";
import { makeStage } from "./stage.js";
import { stopsOf } from "./stops.js";
import { makeTimeBar } from "./timebar.js";
import { rateOf, titleOf } from "./words.js";

const CUT = "whole, then detail";
const DEPTH = 0.8; // a stop that is added is this much of the one before it

/** Show slot `id` in `desk`, as a frame where `framed`; returns a function that takes it down. */
export function openSlot(desk, id, framed) {
  const view = { chosen: null, outline: false, framed, joined: false, safe: false };
  const slot = () => film().slots.find((each) => each.slot === id);
  const paths = new Map();
  let run = null;

  const clock = makeClock({ told: (frame) => showFrame(frame), stopped: () => controls() });
  const acts = actsOf(slot, view, () => update());
  const stage = makeStage(acts);
  const player = makePlayer();
  const bar = makeTimeBar((frame) => clock.seek(frame));
  const notebook = makeNotebook(acts, id);
  const ways = h("div", { class: "ways" });
  const main = h("main", { class: "easel", tabindex: "-1" }, stage.element, player.element, h("div", { class: "foot" }, ways, bar.element));
  desk.replaceChildren(h("div", { class: "slot" }, notebook.element, main));

  function showFrame(frame) {
    if (!run) return;
    bar.show(frame);
    if (view.framed) player.show(frame);
    else {
      const at = partAt(run, frame);
      stage.show(at.part.home && (frame > at.part.start || clock.playing()) ? viewAt(at.part.path, at.frame) : null);
    }
  }

  function controls() {
    const play = clock.playing();
    const held = ways.contains(document.activeElement) ? document.activeElement.dataset.key : null;
    const flip = (key) => () => {
      view[key] = !view[key];
      update();
    };
    ways.replaceChildren(
      button(play ? "Pause" : "Play", toggled, { class: "main", "data-key": "play" }),
      h("span", { class: "pair", role: "group", "aria-label": "what is shown" },
        toggle("photograph", !view.framed, () => setFramed(false), { "data-key": "photo" }),
        toggle("frame", view.framed, () => setFramed(true), { "data-key": "frame" })),
      toggle("loop", clock.loop, () => { clock.loop = !clock.loop; controls(); }, { "data-key": "loop" }),
      ...(view.framed ? [
        toggle("safe areas", view.safe, () => { view.safe = !view.safe; player.safeAreas(view.safe); controls(); }, { "data-key": "safe" }),
        toggle("with its neighbours", view.joined, flip("joined"), { "data-key": "joined" })] : []));
    if (held) ways.querySelector(`[data-key="${held}"]`)?.focus();
  }

  function toggled() {
    clock.playing() ? clock.pause() : clock.play();
    controls();
  }

  function setFramed(on) {
    view.framed = on;
    if (!on) view.joined = false;
    history.replaceState(null, "", `#/slot/${encodeURIComponent(id)}${on ? "/play" : ""}`);
    update();
  }

  function update() {
    const now = slot();
    if (!now) return location.replace("#/");
    document.title = `${now.slot} ${titleOf(now)} – desk`;
    main.classList.toggle("framed", view.framed);
    const photo = photographOf(now);
    const stops = photo ? stopsOf(now) : [];
    view.chosen = view.chosen === null ? null : Math.min(view.chosen, stops.length - 1);
    const state = { film: film(), slot: now, photo, stops, ...view };
    const before = run;
    run = sequence(film(), now.index, paths, view.joined);
    const moved = before && before.home.start !== run.home.start ? run.home.start - before.home.start : 0;
    notebook.update(state);
    stage.update({ ...state, photo: view.outline ? asTaken(photo) : photo, path: paths.get(now.index) });
    player.update({ film: film(), run });
    bar.update({ film: film(), run });
    clock.set(run.total, rateOf(film().rate));
    if (moved) clock.seek(Math.max(clock.frame() + moved, 0));
    controls();
    fetchPaths(now.index);
  }

  /** Fetch the rectangles of the slot and its neighbours for this version of the film; each once. */
  async function fetchPaths(index) {
    const { version } = film();
    const wanted = [index, index - 1, index + 1].filter((each) => film().slots[each] && paths.get(each)?.version !== version);
    const answers = await Promise.all(wanted.map(async (each) => [each, await getPath(each).catch(() => null)]));
    const good = answers.filter(([, answer]) => answer?.status === 200);
    const same = good.filter(([, { body }]) => (body.version ?? version) === film().version);
    for (const [each, { body }] of same) paths.set(each, { ...body, version });
    if (same.length === 0) return;
    if (main.isConnected) update();
  }

  const keys = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]")) return;
    if (event.target.matches("input:not([type=range]), textarea, select")) return;
    const steps = { ",": -1, ".": 1 };
    if (event.key === " " && !event.target.matches("button, a, summary")) toggled();
    else if (event.key in steps) clock.seek(clock.frame() + steps[event.key]);
    else if (event.key === "f") setFramed(!view.framed);
    else if (event.key === "Escape" && !view.outline) location.hash = "#/";
    else return;
    event.preventDefault();
  };
  window.addEventListener("keydown", keys);
  update();
  main.focus({ preventScroll: true });
  const unwatch = watch(update);
  return () => {
    unwatch();
    window.removeEventListener("keydown", keys);
    clock.pause();
    stage.close();
    player.close();
  };
}

/** What can be done to a slot by hand; every act is kept at once. */
function actsOf(slot, view, update) {
  const photo = () => photographOf(slot());
  const set = (values) => editSlot(slot(), values);
  const keepStops = (rects) => {
    const cut = slot().shots.length > 1 && slot().by_hand.shot === null && rects.length > 1;
    return set({ ...(cut ? { shot: CUT } : {}), stops: rects.map(asRow) });
  };
  return {
    set,
    keepStops,
    setStill: (values) => editStill(photo(), values),
    setKind: (kind) => set({ shot: kind, ...(slot().by_hand.stops.length ? { stops: null } : {}) }),
    setNumber: (key, text) => withNumbers(text, (numbers) => set({ [key]: numbers.length ? numbers[0] : null }), update),
    setNumbers: (key, text) => withNumbers(text, (numbers) => set({ [key]: numbers.length ? numbers : null }), update),
    choose(at) {
      view.chosen = view.chosen === at ? view.chosen : at;
      update();
    },
    addStop() {
      const stops = stopsOf(slot());
      const after = view.chosen ?? stops.length - 1;
      const { x, y } = centre(stops[after]);
      const { frame } = film();
      const added = tidy(around(x, y, stops[after].width * DEPTH, frame), photo(), frame);
      view.chosen = after + 1;
      return set({ ...(slot().by_hand.shot ? { shot: null } : {}), stops: [...stops.slice(0, after + 1), added, ...stops.slice(after + 1)].map(asRow) });
    },
    removeStop(at) {
      const stops = stopsOf(slot()).filter((_, each) => each !== at);
      return set({ ...(slot().by_hand.shot ? { shot: null } : {}), stops: stops.map(asRow) });
    },
    takeDetail(number) {
      const { by_hand: hand, shots } = slot();
      if (hand.stops.length) {
        const stops = stopsOf(slot());
        const at = view.chosen ?? stops.length - 1;
        const there = tidy(viewOf(photo().details[number - 1], photo(), film().frame), photo(), film().frame);
        return keepStops(stops.map((rect, each) => (each === at ? there : rect)));
      }
      const taken = hand.details.includes(number);
      const rest = hand.details.filter((each) => each !== number);
      const next = shots[0].kind === "tour" || hand.shot === "tour" ? [...rest, ...(taken ? [] : [number])] : taken ? [] : [number];
      return set({ details: next.length ? next : null });
    },
    keepOutline: (corners) => editStill(photo(), { outline: corners }),
    toggleOutline() {
      view.outline = !view.outline;
      if (view.outline) view.framed = false;
      update();
    },
  };
}

function withNumbers(text, take, back) {
  const numbers = text.split(/[\s;]+|,\s+/).filter(Boolean).map((each) => Number(each.replace(",", ".")));
  if (numbers.every(Number.isFinite)) return take(numbers);
  say(`'${text}' is no number of seconds; write it like 0.4`);
  return back();
}
