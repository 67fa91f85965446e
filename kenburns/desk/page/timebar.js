// The slot's length from left to right: how fast the picture moves against the limit, and the playhead on it.

import { h, s } from "./dom.js";
import { speedsOf } from "./sequence.js";

const TOP = 100; // height of the chart's own measure

/** Make the bar; `seek(frame)` hears where the playhead is put. */
export function makeTimeBar(seek) {
  const chart = s("svg", { class: "speeds", preserveAspectRatio: "none", "aria-hidden": "true" });
  const range = h("input", { type: "range", min: 0, step: 1, value: 0, "aria-label": "frame", oninput: () => seek(Number(range.value)) });
  const told = h("p", { class: "told" });
  const limitWord = h("p", { class: "limit quiet" });
  const element = h("div", { class: "timebar" }, h("div", { class: "track" }, chart, range), h("div", { class: "under-track" }, told, limitWord));
  let now = null;

  return {
    element,
    update(next) {
      now = next;
      range.max = now.run.total - 1;
      chart.setAttribute("viewBox", `0 0 ${Math.max(now.run.total - 1, 1)} ${TOP}`);
      chart.replaceChildren(...drawn(now));
      limitWord.textContent = fastest(now);
      limitWord.classList.toggle("call", isFast(now));
    },
    show(frame) {
      range.value = frame;
      const own = frame - now.run.home.start;
      const inside = own >= 0 && own < now.run.home.frames;
      told.textContent = inside ? `frame ${own + 1} of ${now.run.home.frames}` : "next to it";
      range.setAttribute("aria-valuetext", told.textContent);
    },
  };
}

const limitOf = ({ run, film }) => run.home.path?.limit ?? film.limit;
const homeSpeeds = ({ run }) => (run.home.path && !run.home.path.card ? speedsOf(run.home.path, run.home.frames) : []);
// A cut is no move: the step over it says nothing of speed.
const moving = (now) => homeSpeeds(now).filter((_, at) => !now.run.home.path.cuts.includes(now.run.home.path.handles + at + 1));

function isFast(now) {
  const limit = limitOf(now);
  return limit !== null && moving(now).some((speed) => speed > limit * 1.0001);
}

function fastest(now) {
  const most = Math.max(...moving(now), 0);
  const limit = limitOf(now);
  if (homeSpeeds(now).length === 0) return "";
  if (most === 0) return "at rest";
  const said = `fastest ${most.toFixed(1)} px a frame`;
  return limit === null ? `${said}, no limit` : `${said}, limit ${limit.toFixed(1)}${isFast(now) ? ": too fast" : ""}`;
}

function drawn(now) {
  const limit = limitOf(now);
  const most = Math.max(limit ?? 0, ...moving(now), 1) * 1.15;
  const up = (speed) => TOP - (Math.min(speed, most) / most) * TOP;
  const parts = [];
  for (const part of now.run.parts) {
    if (part.slot && part.path && !part.path.card) parts.push(...curve(part, up, limit));
    if (part.start > 0) parts.push(s("line", { class: "join", x1: part.start, x2: part.start, y1: 0, y2: TOP }));
  }
  if (limit !== null) parts.push(s("line", { class: "limit", x1: 0, x2: now.run.total - 1, y1: up(limit), y2: up(limit) }));
  return parts;
}

function curve({ path, from, frames, start }, up, limit) {
  const cuts = new Set(path.cuts.map((cut) => cut - path.handles));
  const speeds = speedsOf(path, from + frames);
  const points = [];
  const lines = [];
  for (let at = from; at < from + frames - 1; at += 1) {
    const x = start + at - from + 0.5;
    const speed = cuts.has(at + 1) ? 0 : speeds[at];
    points.push(`${x},${up(speed).toFixed(2)}`);
    if (cuts.has(at + 1)) lines.push(s("line", { class: "cut", x1: x, x2: x, y1: 0, y2: TOP }));
  }
  if (points.length === 0) return lines;
  const shape = `M${start},${TOP} L${points.join(" L")} L${start + frames - 1},${TOP}Z`;
  const fast = limit !== null && speeds.slice(from).some((speed, at) => speed > limit * 1.0001 && !cuts.has(from + at + 1));
  return [s("path", { class: fast ? "speed fast" : "speed", d: shape }), ...lines];
}
