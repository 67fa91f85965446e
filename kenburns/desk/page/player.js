// The frame as it will be in the clip, drawn from the same rectangles that render, and safe areas on request.

import { h, s } from "./dom.js";
import { makeLevels, widthFor } from "./levels.js";
import { partAt, viewAt } from "./sequence.js";
import { cardOf, imageOf } from "./server.js";

// SMPTE ST 2046-1: safe action is 93 % of the width and of the height, safe title 90 %.
const SAFE = { action: 0.93, title: 0.9 };

/** Make the player; `update({film, run})` sets what plays, `show(frame)` draws a frame of the run. */
export function makePlayer() {
  const canvas = h("canvas", { role: "img", "aria-label": "the frame" });
  const words = h("p", { class: "between" });
  const safe = safeLines();
  const sheet = h("div", { class: "frame" }, canvas, safe, words);
  const element = h("div", { class: "player" }, sheet);
  const paint = canvas.getContext("2d", { alpha: false });
  let now = null;
  let frame = 0;
  const levels = makeLevels(() => draw());
  const photoOf = (slot) => now.film.photographs.find((photo) => photo.id === slot.photograph);

  function fit() {
    if (!now || element.clientWidth === 0) return;
    const { width, height } = now.film.frame;
    const k = Math.min(element.clientWidth / width, element.clientHeight / height);
    sheet.style.width = `${Math.floor(width * k)}px`;
    sheet.style.height = `${Math.floor(height * k)}px`;
    const share = Math.min((k * devicePixelRatio), 1); // never more pixels than the clip has
    const [across, down] = [Math.round(width * share), Math.round(height * share)];
    if (canvas.width !== across || canvas.height !== down) Object.assign(canvas, { width: across, height: down });
    draw();
  }

  function draw() {
    if (!now || element.clientWidth === 0) return;
    const at = partAt(now.run, frame);
    words.textContent = at.part.slot ? "" : `${at.part.between.toFixed(1)} s of film between`;
    paint.fillStyle = at.part.slot ? now.film.matte : "#202020";
    paint.fillRect(0, 0, canvas.width, canvas.height);
    if (!at.part.slot) return;
    const view = viewAt(at.part.path, at.frame);
    if (at.part.slot.kind === "card") drawCard(at.part.slot);
    else if (view) drawView(photoOf(at.part.slot), view);
  }

  function drawCard(slot) {
    const picture = levels.picture(cardOf(slot, 960, now.film.version));
    if (picture) paint.drawImage(picture, 0, 0, canvas.width, canvas.height);
  }

  function drawView(photo, view) {
    const picture = levels.best(photo, view, canvas.width);
    if (!picture) return;
    const [across, down] = [picture.width / photo.width, picture.height / photo.height];
    paint.imageSmoothingEnabled = true;
    paint.imageSmoothingQuality = smoothing((view.width * across) / canvas.width);
    // Beyond the photograph nothing is drawn: the matte shows, as in the clip.
    paint.drawImage(picture, view.x * across, view.y * down, view.width * across, view.height * down, 0, 0, canvas.width, canvas.height);
    canvas.dataset.drawn = `${frame} ${picture.width}`;
  }

  /** Fetch what the run will need, before it is needed. */
  function prefetch() {
    for (const { slot, path, from, frames } of now.run.parts) {
      if (!slot || !path || path.card) continue;
      const photo = photoOf(slot);
      const views = [from, from + frames - 1].map((at) => viewAt(path, at)).filter(Boolean);
      for (const width of new Set(views.map((view) => widthFor(photo, view, canvas.width)))) levels.picture(imageOf(photo, width));
    }
  }

  const watcher = new ResizeObserver(fit);
  watcher.observe(element);
  return {
    element,
    update(next) {
      now = next;
      fit();
      if (element.clientWidth > 0) prefetch();
    },
    show(next) {
      frame = next;
      draw();
    },
    safeAreas(on) {
      safe.toggleAttribute("hidden", !on);
    },
    close() {
      watcher.disconnect();
      levels.close();
    },
  };
}

/**
 * How to smooth where this many samples become one. Up to two, as is usual with the picture chosen for the view, each
 * of them counts in a bilinear mean, and "high" would draw from a picture half as large: measured against rendered
 * frames that is 1.5 dB worse. Farther, it must; and what is enlarged gets its cubic curve.
 */
const smoothing = (samples) => (samples >= 1 && samples <= 2 ? "low" : "high");

function safeLines() {
  const rects = Object.entries(SAFE).flatMap(([name, share]) => {
    const [start, side] = [(100 * (1 - share)) / 2, 100 * share];
    return ["under", "over"].map((kind) => s("rect", { class: `${kind} ${name}`, x: `${start}%`, y: `${start}%`, width: `${side}%`, height: `${side}%` }));
  });
  return s("svg", { class: "safe", "aria-hidden": "true", hidden: true }, ...rects);
}
