// The whole photograph, large, with what can be set by hand on it: stops, the way between them, details, the outline.

import { h, place, s } from "./dom.js";
import { makeDetails } from "./details.js";
import { held } from "./edges.js";
import { hull, whole } from "./geometry.js";
import { makeOutline } from "./outline.js";
import { cardOf, imageOf, WIDTHS } from "./server.js";
import { makeStops } from "./stops.js";

const ROOM = 30; // CSS pixels kept free around, for the stops' tabs

/**
 * Make the stage. `acts`: keepStops(rects), choose(stop), keepOutline(corners), takeDetail(number).
 * `update({film, slot, photo, path, stops, chosen, outline})` shows a state; `show(rect)` a frame of the move.
 */
export function makeStage(acts) {
  const picture = h("img", { class: "photograph", alt: "" });
  const way = s("g", { class: "way" });
  const frame = s("rect", { class: "playing" });
  const edge = s("g", { class: "edge" });
  // Where a stop reaches beyond the photograph, the film's matte shows: it lies under the photograph.
  const matte = s("svg", { class: "matte", "aria-hidden": "true" });
  const lines = s("svg", { class: "lines", "aria-hidden": "true" }, edge, way, frame);
  const grips = h("div", { class: "grips" });
  const element = h("div", { class: "stage" }, matte, picture, lines, grips);
  const stage = { element, grips, edge, way, matte, acts, at: null, busy: false, now: null };
  const parts = [makeDetails(stage), makeStops(stage), makeOutline(stage)];

  stage.redraw = () => {
    const { now } = stage;
    const box = { width: element.clientWidth, height: element.clientHeight };
    if (!now || box.width === 0) return;
    stage.at = fitted(now, box);
    lines.setAttribute("viewBox", `0 0 ${box.width} ${box.height}`);
    showPicture(picture, now, stage.at);
    for (const part of parts) part.draw();
  };
  stage.update = (next) => {
    if (stage.busy) return; // a hand is on it; what it lets go of brings the next state
    stage.now = next;
    for (const part of parts) part.update(next);
    stage.redraw();
  };
  stage.show = (rect) => {
    frame.toggleAttribute("hidden", !rect || !stage.at);
    if (!rect || !stage.at) return;
    const { left, top, k } = stage.at;
    for (const [key, value] of Object.entries({ x: left + rect.x * k, y: top + rect.y * k, width: rect.width * k, height: rect.height * k }))
      frame.setAttribute(key, value);
  };
  const watcher = new ResizeObserver(() => stage.redraw());
  watcher.observe(element);
  stage.close = () => {
    for (const part of parts) part.close?.();
    watcher.disconnect();
  };
  return stage;
}

/** Where the photograph lies on the stage: its corner and CSS pixels a source pixel; all stops have room. */
function fitted({ film, photo, stops }, box) {
  const shown = photo ?? film.frame;
  const all = hull([whole(shown), ...(photo ? stops.map((stop) => held(stop, photo)) : [])]);
  const k = Math.min((box.width - 2 * ROOM) / all.width, (box.height - 2 * ROOM) / all.height);
  return { k, left: (box.width - all.width * k) / 2 - all.x * k, top: (box.height - all.height * k) / 2 - all.y * k };
}

function showPicture(picture, { film, slot, photo }, { k, left, top }) {
  const shown = photo ?? film.frame;
  const across = shown.width * k;
  place(picture, left, top, across, shown.height * k);
  const wanted = WIDTHS.find((width) => width >= across * devicePixelRatio) ?? WIDTHS[WIDTHS.length - 1];
  const source = photo ? imageOf(photo, wanted) : cardOf(slot, 960, film.version);
  if (picture.getAttribute("src") !== source) {
    picture.src = source;
    // The wall's own small picture is there at once.
    picture.style.backgroundImage = photo ? `url("${imageOf(photo, 480)}")` : "";
  }
  picture.alt = photo ? photo.name : "placeholder card";
}
