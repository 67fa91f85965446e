// film.toml was changed by someone else in the same keys: both are shown, and nothing is lost until one is chosen.

import { button, h, say } from "./dom.js";

const told = (value) => {
  if (value === null || value === undefined || value.length === 0) return "as planned";
  return typeof value === "string" ? value : JSON.stringify(value);
};

function theirs({ table, name, key }, film) {
  if (table === "slots") return film.slots.find((slot) => slot.slot === name)?.by_hand[key];
  return film.photographs.find((photo) => photo.name === name)?.[key];
}

/** Ask which of two is to stand; resolves to "mine" or "theirs". */
export function askWhich(error, changes, film) {
  const rows = changes.map((change) => h("tr", {},
    h("th", { scope: "row" }, `${change.name}, ${change.key}`), h("td", {}, told(change.value)), h("td", {}, told(theirs(change, film)))));
  const dialog = h("dialog", { class: "slip", "aria-labelledby": "conflict-title" },
    h("h2", { id: "conflict-title" }, "Changed by someone else too"),
    h("p", {}, error),
    h("table", {}, h("thead", {}, h("tr", {}, h("td"), h("th", { scope: "col" }, "here"), h("th", { scope: "col" }, "in film.toml"))), h("tbody", {}, ...rows)),
    h("p", { class: "quiet" }, "If what is here is kept, undo brings the other back."));
  return new Promise((done) => {
    const end = (which) => () => {
      dialog.returnValue = which;
      dialog.close();
    };
    dialog.append(h("p", { class: "ways" }, button("Keep what is here", end("mine"), { class: "main" }), button("Keep what is in film.toml", end("theirs"))));
    // Leaving without an answer would lose one of the two.
    dialog.addEventListener("cancel", (event) => event.preventDefault());
    dialog.addEventListener("close", () => {
      dialog.remove();
      if (dialog.returnValue !== "mine") say(`Not kept: ${changes.map((change) => `${change.name}, ${change.key}: ${told(change.value)}`).join("; ")}`);
      done(dialog.returnValue === "mine" ? "mine" : "theirs");
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}
