// Proposed details: a numbered disc in the middle of each, taken with one click; the area shows while it is pointed at.

import { h, place, s } from "./dom.js";
import { centre } from "./geometry.js";
import { size } from "./words.js";

export function makeDetails(stage) {
  let details = [];
  let discs = [];
  const area = s("g", { class: "area" });
  stage.edge.before(area);

  const show = (detail) => {
    if (!detail || !stage.at) return area.replaceChildren();
    const { left, top, k } = stage.at;
    const box = { x: left + detail.x * k, y: top + detail.y * k, width: detail.width * k, height: detail.height * k };
    area.replaceChildren(s("rect", { class: "under", ...box }), s("rect", { class: "over", ...box }));
  };

  function update({ photo, outline, slot }) {
    details = photo && !outline ? photo.details : [];
    area.replaceChildren();
    if (discs.length !== details.length) {
      discs.forEach((disc) => disc.remove());
      discs = details.map((_, at) => h("button", { type: "button", class: "disc", onclick: () => stage.acts.takeDetail(at + 1),
        onpointerenter: () => show(details[at]), onpointerleave: () => show(null), onfocus: () => show(details[at]), onblur: () => show(null) }, String(at + 1)));
      stage.grips.prepend(...discs);
    }
    details.forEach((detail, at) => {
      discs[at].setAttribute("aria-label", `go to detail ${at + 1}: ${detail.reason}, ${size(detail)} px`);
      discs[at].setAttribute("aria-pressed", String(slot.by_hand.details.includes(at + 1)));
    });
  }

  function draw() {
    const { left, top, k } = stage.at;
    details.forEach((detail, at) => {
      const { x, y } = centre(detail);
      place(discs[at], left + x * k, top + y * k);
    });
  }

  return { update, draw };
}
