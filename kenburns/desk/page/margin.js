// What stands at the foot of every notebook page: undo, redo, whether all is kept, and a word on the screen.

import { button, h } from "./dom.js";
import { film, keeping, redo, undo, watch } from "./film.js";

const watched = (element, update) => {
  update();
  const end = watch(() => (element.isConnected ? update() : end()));
  queueMicrotask(update);
  return element;
};

/** Undo, redo, and the word "kept". */
export function historyBox() {
  const back = button("Undo", undo, { "aria-keyshortcuts": "Control+Z" });
  const forth = button("Redo", redo, { "aria-keyshortcuts": "Control+Shift+Z" });
  const kept = h("span", { class: "quiet kept" });
  return watched(h("div", { class: "history" }, back, forth, kept), () => {
    back.disabled = !film().can_undo;
    forth.disabled = !film().can_redo;
    kept.textContent = keeping() ? "keeping …" : "kept in film.toml";
  });
}

/** Clips hold the colours of BT.709, those of sRGB; a screen that shows fewer cannot be trusted with colour. */
export function screenNotice() {
  const notice = h("p", { class: "call screen" });
  const wide = matchMedia("(color-gamut: srgb)");
  const update = () => {
    notice.textContent = wide.matches ? "" : "This screen shows fewer colours than the clips hold: judge colour on another.";
    notice.hidden = wide.matches;
  };
  update();
  wide.addEventListener("change", update);
  return notice;
}
