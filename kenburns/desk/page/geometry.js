// Rectangles in source pixels: x right, y down, (0, 0) the photograph's top-left corner.
// A view has the frame's aspect and is never narrower than the frame: scale = width / frame width is at least 1.

import { placed, slid } from "./edges.js";

/** The rectangle of the frame's aspect with this centre and width. */
export function around(x, y, width, frame) {
  const height = (width * frame.height) / frame.width;
  return { x: x - width / 2, y: y - height / 2, width, height };
}

export const centre = (rect) => ({ x: rect.x + rect.width / 2, y: rect.y + rect.height / 2 });

/** The widest view that makes sense: all of the photograph, or the frame where that is larger. */
export const widest = (photo, frame) =>
  Math.ceil(Math.max(frame.width, photo.width, (photo.height * frame.width) / frame.height));

/** A view by its centre, its width kept between 1:1 and the whole photograph, and moved inside. */
export function view(x, y, width, photo, frame) {
  return slid(around(x, y, Math.min(Math.max(width, frame.width), widest(photo, frame)), frame), photo);
}

/** The smallest view that shows all of a rectangle. */
export function viewOf(rect, photo, frame) {
  const { x, y } = centre(rect);
  return view(x, y, Math.max(rect.width, (rect.height * frame.width) / frame.height), photo, frame);
}

const CORNERS = { nw: [-1, -1], ne: [1, -1], se: [1, 1], sw: [-1, 1] };
export const cornerNames = Object.keys(CORNERS);

/**
 * Draw one corner of a view to a point; the opposite corner stays where it can.
 * Returns the view and the width that was wanted, which may be below 1:1 or beyond the whole. A view that rests in the
 * photograph stays in it.
 */
export function drawn(rect, corner, point, photo, frame) {
  const [right, down] = CORNERS[corner];
  const fixed = { x: right > 0 ? rect.x : rect.x + rect.width, y: down > 0 ? rect.y : rect.y + rect.height };
  const wanted = Math.max((point.x - fixed.x) * right, ((point.y - fixed.y) * down * frame.width) / frame.height, 1);
  const width = Math.min(Math.max(wanted, frame.width), widest(photo, frame));
  const height = (width * frame.height) / frame.width;
  const x = right > 0 ? fixed.x : fixed.x - width;
  const y = down > 0 ? fixed.y : fixed.y - height;
  return { rect: placed(rect, photo)({ x, y, width, height }, photo), wanted };
}

/** A view that has been resized: a view with another width about the same centre. */
export function resized(rect, width, photo, frame) {
  const { x, y } = centre(rect);
  return placed(rect, photo)(around(x, y, Math.min(Math.max(width, frame.width), widest(photo, frame)), frame), photo);
}

/** The view as it is kept: width in whole pixels, place to a tenth; the height follows from the frame's aspect. */
export function tidy(rect, photo, frame) {
  const width = Math.min(Math.max(Math.round(rect.width), frame.width), widest(photo, frame));
  const at = placed(rect, photo)({ ...rect, width, height: (width * frame.height) / frame.width }, photo);
  return { ...at, x: tenth(at.x), y: tenth(at.y) };
}

const tenth = (value) => Math.round(value * 10) / 10;

/** The size that the photograph would need for a view of the wanted width to be at 1:1. */
export function neededFor(wanted, photo, frame) {
  const more = frame.width / wanted;
  return { width: Math.ceil(photo.width * more), height: Math.ceil(photo.height * more) };
}

/** The smallest rectangle around all the given ones. */
export function hull(rects) {
  const x = Math.min(...rects.map((rect) => rect.x));
  const y = Math.min(...rects.map((rect) => rect.y));
  const right = Math.max(...rects.map((rect) => rect.x + rect.width));
  const bottom = Math.max(...rects.map((rect) => rect.y + rect.height));
  return { x, y, width: right - x, height: bottom - y };
}

export const whole = (photo) => ({ x: 0, y: 0, width: photo.width, height: photo.height });

export const asRow = (rect) => [rect.x, rect.y, rect.width, rect.height];
export const asRect = ([x, y, width, height]) => ({ x, y, width, height });

/** Whether four corners go round clockwise and every one turns the same way. */
export function isConvex(corners) {
  return corners.every((a, at) => {
    const [b, c] = [corners[(at + 1) % 4], corners[(at + 2) % 4]];
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) > 0;
  });
}
