// The front door: files and folders dropped on the desk, or chosen, are sent to be copied into the film's folder.

import { button, h, say } from "./dom.js";
import { film, load } from "./film.js";
import { postFiles } from "./server.js";
import { count } from "./words.js";

const HINT = "Bring a folder of photographs of the works and a cut list.";

/** The page of an empty folder. */
export function openDoor(desk) {
  document.title = "Desk";
  const main = h("main", { class: "door", tabindex: "-1" },
    h("div", { class: "mat" },
      h("h1", {}, film().hint || HINT),
      ...(film().busy ? [] : [
        h("p", { class: "quiet" }, "Drop them here. They are copied; yours stay as they are."),
        h("p", {}, button("Choose a folder", () => pick(true), { class: "main" }), " ", button("Choose files", () => pick(false)))])));
  desk.replaceChildren(main);
  return doorFor(main);
}

/** Take what is dropped on an element; returns a function that ends it. */
export function doorFor(element) {
  const over = (event) => {
    if (![...event.dataTransfer.types].includes("Files")) return;
    event.preventDefault();
    element.classList.add("over");
  };
  const leave = (event) => element.contains(event.relatedTarget) || element.classList.remove("over");
  const drop = async (event) => {
    event.preventDefault();
    element.classList.remove("over");
    bring(await dropped(event.dataTransfer));
  };
  const asked = () => pick(false);
  element.addEventListener("dragover", over);
  element.addEventListener("dragleave", leave);
  element.addEventListener("drop", drop);
  document.addEventListener("desk-bring", asked);
  return () => document.removeEventListener("desk-bring", asked);
}

function pick(folder) {
  const input = h("input", { type: "file", multiple: true, webkitdirectory: folder });
  input.addEventListener("change", () => bring([...input.files]));
  input.click();
}

async function bring(files) {
  const seen = files.filter((file) => !file.name.startsWith("."));
  if (seen.length === 0) return;
  say(`Copying ${count(seen.length, "file")} …`);
  try {
    const { status, body } = await postFiles(seen, (share) => say(`Copying ${count(seen.length, "file")}: ${Math.round(share * 100)} %`));
    say(status < 300 ? leftOut(body.brought) : body.error ?? `The desk answered ${status}.`);
  } catch {
    say("The files did not arrive; the desk does not answer.");
  }
  await load();
}

/** What of the files that were brought is not used, and why. */
function leftOut(brought) {
  const reasons = (brought?.left_out ?? []).map((each) => each.reason);
  return reasons.length ? `Left out ${reasons.length}: ${reasons.slice(0, 3).join("; ")}` : "";
}

/** All files of a drop, those in folders too. Entries must be taken before the first wait. */
async function dropped(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (entries.length === 0) return [...transfer.files];
  return (await Promise.all(entries.map(within))).flat();
}

async function within(entry) {
  if (entry.isFile) return [await new Promise((done, failed) => entry.file(done, failed))];
  const reader = entry.createReader();
  const found = [];
  for (;;) {
    // A reader hands out a hundred at a time, and nothing at the end.
    const some = await new Promise((done, failed) => reader.readEntries(done, failed));
    if (some.length === 0) break;
    found.push(...(await Promise.all(some.map(within))));
  }
  return found.flat();
}
