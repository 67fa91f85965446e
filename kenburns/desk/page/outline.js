// The outline of the work in the photograph: four corners, moved with the pointer or the arrow keys.

import { h, place, s, say } from "./dom.js";
import { isConvex } from "./geometry.js";

const NAMES = ["top left", "top right", "bottom right", "bottom left"];
const MOVES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const SETTLED = 350;

export function makeOutline(stage) {
  let corners = null;
  let shown = false;
  let settling = 0;
  const knobs = NAMES.map((name, at) => h("button", { type: "button", class: "knob", hidden: true, "aria-label": `${name} corner of the work`,
    onpointerdown: (event) => down(event, at), onkeydown: (event) => key(event, at) }));
  stage.grips.append(...knobs);

  function update({ photo, outline }) {
    shown = Boolean(photo) && outline;
    corners = photo ? photo.outline ?? around(photo) : null;
    for (const knob of knobs) knob.hidden = !shown;
  }

  function draw() {
    if (!corners || !(shown || stage.now.photo?.outline) || stage.now.photo.square_up) return stage.edge.replaceChildren();
    const { left, top, k } = stage.at;
    const points = corners.map(([x, y]) => [left + x * k, top + y * k]);
    points.forEach(([x, y], at) => place(knobs[at], x, y));
    const drawn = { points: points.map((point) => point.join(",")).join(" ") };
    stage.edge.replaceChildren(s("polygon", { class: "under", ...drawn }), s("polygon", { class: "over", ...drawn }));
  }

  /** Put a corner somewhere; false where the four would no longer be an outline. */
  function set(at, x, y) {
    const { photo } = stage.now;
    const kept = [Math.round(Math.min(Math.max(x, 0), photo.width)), Math.round(Math.min(Math.max(y, 0), photo.height))];
    const next = corners.map((corner, index) => (index === at ? kept : corner));
    const good = isConvex(next);
    say(good ? "" : "The four corners of the work go round it clockwise; this one stops here.");
    if (good) corners = next;
    draw();
  }

  const keep = () => {
    settling = 0;
    stage.busy = false;
    stage.acts.keepOutline(corners);
  };

  function down(event, at) {
    if (event.button !== 0) return;
    event.preventDefault();
    const knob = event.currentTarget;
    knob.focus({ preventScroll: true });
    const first = { x: event.clientX, y: event.clientY, corner: corners[at] };
    let moved = false;
    stage.busy = true;
    knob.setPointerCapture(event.pointerId);
    const move = (next) => {
      moved = true;
      set(at, first.corner[0] + (next.clientX - first.x) / stage.at.k, first.corner[1] + (next.clientY - first.y) / stage.at.k);
    };
    const up = () => {
      knob.removeEventListener("pointermove", move);
      knob.removeEventListener("lostpointercapture", up);
      stage.busy = false;
      if (moved) keep();
    };
    knob.addEventListener("pointermove", move);
    knob.addEventListener("lostpointercapture", up);
  }

  function key(event, at) {
    if (!(event.key in MOVES) || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const [right, below] = MOVES[event.key];
    const step = event.shiftKey ? 1 : Math.max(Math.round(stage.now.photo.width / 200), 1);
    stage.busy = true;
    set(at, corners[at][0] + right * step, corners[at][1] + below * step);
    clearTimeout(settling);
    settling = setTimeout(keep, SETTLED);
  }

  return { update, draw, close: () => settling && (clearTimeout(settling), keep()) };
}

/** The photograph's own corners, a little inside so that they can be taken hold of. */
function around({ width, height }) {
  const inside = Math.round(Math.min(width, height) / 50);
  return [[inside, inside], [width - inside, inside], [width - inside, height - inside], [inside, height - inside]];
}
