// The stops of a shot on the photograph: moved and resized with the pointer or the keyboard, in the frame's aspect.
// A resize meets 1:1 and stops there, saying what size of photograph would allow more.

import { h, place, s, say } from "./dom.js";
import { pulled, rests, stepped } from "./edges.js";
import { asRect, centre, cornerNames, drawn, neededFor, resized, tidy } from "./geometry.js";
import { size } from "./words.js";

const GIVE = 16; // CSS pixels by which a stop must be pulled beyond the photograph's edge until it leaves it
const SETTLED = 350; // milliseconds after the last key until a change by keyboard is kept

/** "start", "2", "end": what a stop's tab says. */
export function stopName(at, of) {
  if (of === 1) return "hold";
  if (at === 0) return "start";
  return at === of - 1 ? "end" : String(at + 1);
}

/** The stops of a slot that can be taken hold of; of a cut, its first and its last view. */
export function stopsOf(slot) {
  const stops = slot.shots.flatMap((shot) => shot.stops).map(({ x, y, width, height }) => ({ x, y, width, height }));
  return slot.shots.length > 1 ? [stops[0], stops[stops.length - 1]] : stops;
}

export function makeStops(stage) {
  let views = [];
  let settling = 0;
  let elements = [];

  const keep = () => {
    clearTimeout(settling);
    settling = 0;
    stage.busy = false;
    stage.acts.keepStops(views);
  };

  function set(at, rect, wanted) {
    const { photo, film } = stage.now;
    views = views.map((each, index) => (index === at ? tidy(rect, photo, film.frame) : each));
    const below = wanted !== undefined && wanted < film.frame.width - 0.5;
    elements[at]?.classList.toggle("floor", below);
    const beyond = views[at] && !rests(views[at], photo) ? "Beyond the photograph the matte shows." : "";
    say(below ? `1:1 reached. To come this close the photograph would have to be ${size(neededFor(wanted, photo, film.frame))} px.` : beyond);
    draw();
  }

  function draw() {
    const { at, now } = stage;
    stage.matte.replaceChildren();
    if (!at || !now.photo || now.outline) return stage.way.replaceChildren();
    stage.matte.replaceChildren(...views.map((rect) => s("rect", { fill: now.film.matte,
      x: at.left + rect.x * at.k, y: at.top + rect.y * at.k, width: rect.width * at.k, height: rect.height * at.k })));
    views.forEach((rect, index) => {
      const element = elements[index];
      place(element, at.left + rect.x * at.k, at.top + rect.y * at.k, rect.width * at.k, rect.height * at.k);
      element.style.zIndex = String(1000 - Math.min(Math.round(rect.width * at.k), 990)); // the smaller lies on top
      element.classList.toggle("chosen", now.chosen === index);
      const name = stopName(index, views.length);
      element.firstChild.setAttribute("aria-label", `stop ${index + 1} of ${views.length}, ${name}: ${size(rect)} px at ${Math.round(rect.x)}, ${Math.round(rect.y)}`);
    });
    stage.way.replaceChildren(...wayLines(stage, views));
  }

  function update({ photo, stops, outline }) {
    views = stops;
    const shown = photo && !outline ? stops.length : 0;
    const held = elements.findIndex((element) => element.contains(document.activeElement));
    if (elements.length !== shown || elements.some((element, at) => element.firstChild.textContent !== stopName(at, shown))) {
      elements.forEach((element) => element.remove());
      elements = Array.from({ length: shown }, (_, at) => stopElement(at, shown, hand));
      stage.grips.append(...elements);
      elements[Math.min(held, shown - 1)]?.firstChild.focus();
    }
    if (shown === 0) views = [];
    for (const element of elements) element.classList.remove("floor");
  }

  const hand = {
    /** A pointer goes down on a stop, or on one of its corners. */
    down(event, index, corner) {
      if (event.button !== 0 || settling) return;
      event.preventDefault();
      event.stopPropagation();
      stage.acts.choose(index);
      stage.now.chosen = index;
      elements[index].firstChild.focus({ preventScroll: true });
      const first = { rect: views[index], x: event.clientX, y: event.clientY };
      let moved = false;
      stage.busy = true;
      const target = event.currentTarget;
      target.setPointerCapture(event.pointerId);
      const move = (next) => {
        moved = moved || Math.hypot(next.clientX - first.x, next.clientY - first.y) > 2;
        if (!moved) return;
        const { at, now } = stage;
        const by = { x: (next.clientX - first.x) / at.k, y: (next.clientY - first.y) / at.k };
        if (!corner) return set(index, pulled(first.rect, { ...first.rect, x: first.rect.x + by.x, y: first.rect.y + by.y }, now.photo, GIVE / at.k));
        const point = cornerOf(first.rect, corner);
        const { rect, wanted } = drawn(first.rect, corner, { x: point.x + by.x, y: point.y + by.y }, now.photo, now.film.frame);
        set(index, rect, wanted);
      };
      const up = (last) => {
        target.removeEventListener("pointermove", move);
        target.removeEventListener("pointerup", up);
        target.removeEventListener("pointercancel", up);
        stage.busy = false;
        if (last.type === "pointercancel") views = views.map((each, at) => (at === index ? first.rect : each));
        else if (moved) return keep();
        draw();
      };
      target.addEventListener("pointermove", move);
      target.addEventListener("pointerup", up);
      target.addEventListener("pointercancel", up);
      draw();
    },

    key(event, index) {
      const next = event.ctrlKey || event.metaKey || event.altKey ? null : keyed(event, views[index], stage.now);
      if (!next) return;
      event.preventDefault();
      stage.busy = true;
      set(index, next.rect, next.wanted);
      clearTimeout(settling);
      settling = setTimeout(keep, SETTLED);
    },

    focus(index) {
      if (stage.now.chosen === index) return;
      stage.now.chosen = index;
      stage.acts.choose(index);
      draw();
    },
  };

  return { update, draw, close: () => settling && keep() };
}

function stopElement(at, of, hand) {
  const name = stopName(at, of);
  const tab = h("button", { type: "button", class: "tab", onfocus: () => hand.focus(at), onkeydown: (event) => hand.key(event, at) }, name);
  const corners = cornerNames.map((corner) =>
    h("span", { class: `corner ${corner}`, "aria-hidden": "true", onpointerdown: (event) => hand.down(event, at, corner) }));
  return h("div", { class: `stop ${name === "end" ? "last" : ""}`, "data-stop": at, onpointerdown: (event) => hand.down(event, at, null) }, tab, ...corners);
}

const cornerOf = (rect, corner) => ({
  x: corner.endsWith("w") ? rect.x : rect.x + rect.width,
  y: corner.startsWith("n") ? rect.y : rect.y + rect.height,
});

const MOVES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const GROWTH = { "+": -1, "=": -1, "-": 1, _: 1 };

/** What a key does to a stop: arrows move it, + comes closer, - goes wider; with Shift by single pixels. */
function keyed(event, rect, { photo, film }) {
  const step = event.shiftKey ? 1 : Math.max(Math.round(photo.width / 100), 1);
  if (event.key in MOVES) {
    const [right, down] = MOVES[event.key];
    return { rect: stepped(rect, { x: right * step, y: down * step }, photo) };
  }
  if (event.key in GROWTH) {
    const wanted = rect.width + GROWTH[event.key] * (event.key === "_" ? 2 : 2 * step);
    return { rect: resized(rect, wanted, photo, film.frame), wanted };
  }
  return null;
}

/** The way from stop to stop: as the frames will go, or straight while a hand is on a stop. */
function wayLines({ now, at, busy }, views) {
  const rows = busy || !now.path || now.path.card ? [views] : cutUp(now.path);
  return rows.filter((run) => run.length > 1).flatMap((run) => {
    const points = run.map(centre).map(({ x, y }) => `${(at.left + x * at.k).toFixed(1)},${(at.top + y * at.k).toFixed(1)}`);
    return ["under", "over"].map((name) => s("polyline", { class: name, points: points.join(" ") }));
  });
}

function cutUp({ frames, handles, cuts }) {
  const [start, end] = [handles, frames.length - handles];
  const ends = [start, ...cuts.filter((cut) => cut > start && cut < end), end];
  return ends.slice(1).map((to, run) => frames.slice(ends[run], to).map(asRect));
}
