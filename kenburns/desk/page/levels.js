// Decoded photographs at the sizes that frames are drawn from: the smallest that is not enlarged, and no more than needed.

import { imageOf, WIDTHS } from "./server.js";

const MOST = 12; // decoded pictures kept; the largest of them take some 40 MB each

/** The server's width from which a view of a photograph is drawn `across` pixels wide. */
export function widthFor(photo, view, across) {
  const there = WIDTHS.filter((width, at) => at === 0 || WIDTHS[at - 1] < photo.width);
  const wanted = (photo.width * across) / view.width;
  return there.find((width) => width >= wanted) ?? there[there.length - 1];
}

/** Make the store; `arrived()` is called when a picture has come. */
export function makeLevels(arrived) {
  const kept = new Map();

  function want(address) {
    let entry = kept.get(address);
    if (entry) kept.delete(address);
    entry ??= fetched(address, arrived);
    kept.set(address, entry); // the last used stands last
    for (const oldest of kept.keys()) {
      if (kept.size <= MOST) break;
      kept.get(oldest).picture?.close();
      kept.delete(oldest);
    }
    return entry;
  }

  return {
    /** The picture of an address, or null until it is there. */
    picture: (address) => want(address).picture,
    /** The best that is there for a view drawn `across` pixels wide; what is missing is fetched. */
    best(photo, view, across) {
      const wanted = widthFor(photo, view, across);
      const picture = want(imageOf(photo, wanted)).picture;
      if (picture) return picture;
      const others = WIDTHS.filter((width) => width !== wanted).reverse();
      return others.map((width) => kept.get(imageOf(photo, width))?.picture).find(Boolean) ?? null;
    },
    close() {
      for (const { picture } of kept.values()) picture?.close();
      kept.clear();
    },
  };
}

function fetched(address, arrived) {
  const entry = { picture: null };
  fetch(address)
    .then((answer) => (answer.ok ? answer.blob() : Promise.reject(new Error(String(answer.status)))))
    .then((blob) => createImageBitmap(blob))
    .then((picture) => {
      entry.picture = picture;
      arrived();
    })
    .catch(() => {}); // the frame stays as it is; the next state asks again
  return entry;
}
