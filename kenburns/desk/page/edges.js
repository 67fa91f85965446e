// A view against the edges of its photograph: resting in it, or reaching beyond, where the film's matte shows.

/** Move a view the least distance so that it lies in the photograph, or holds it on an axis where it is longer. */
export function slid(rect, photo) {
  return { ...rect, x: between(rect.x, photo.width - rect.width), y: between(rect.y, photo.height - rect.height) };
}

const between = (value, end) => Math.min(Math.max(value, Math.min(0, end)), Math.max(0, end));

/** Move a view the least distance so that its centre lies on the photograph: as far as a stop may reach beyond it. */
export function held(rect, photo) {
  const within = (value, length, whole) => Math.min(Math.max(value, -length / 2), whole - length / 2);
  return { ...rect, x: within(rect.x, rect.width, photo.width), y: within(rect.y, rect.height, photo.height) };
}

/** Whether a view rests in the photograph, or holds it, as `slid` would leave it. */
export const rests = (rect, photo) => isNear(slid(rect, photo), rect);

const isNear = (one, other) => Math.abs(one.x - other.x) < 0.1 && Math.abs(one.y - other.y) < 0.1;

/**
 * A view pulled from one place to another: it stays at the photograph's edge until it is pulled `give` beyond it, and
 * follows from there. One that was beyond the edge already follows at once.
 */
export function pulled(from, to, photo, give) {
  const [rest, was] = [slid(to, photo), slid(from, photo)];
  const along = (axis) => {
    const beyond = to[axis] - rest[axis];
    const slack = Math.abs(was[axis] - from[axis]) < 0.1 ? give : 0;
    return rest[axis] + Math.sign(beyond) * Math.max(Math.abs(beyond) - slack, 0);
  };
  return held({ ...to, x: along("x"), y: along("y") }, photo);
}

/** A view moved by one step: a step over the photograph's edge ends there, the next goes beyond. */
export function stepped(from, by, photo) {
  const to = { ...from, x: from.x + by.x, y: from.y + by.y };
  const [rest, was] = [slid(to, photo), slid(from, photo)];
  const along = (axis) => {
    const crosses = Math.abs(rest[axis] - to[axis]) >= 0.1 && Math.abs(was[axis] - from[axis]) < 0.1;
    return crosses && Math.abs(rest[axis] - from[axis]) >= 0.1 ? rest[axis] : to[axis];
  };
  return held({ ...to, x: along("x"), y: along("y") }, photo);
}

/** What keeps a view where one that lay as this one did belongs. */
export const placed = (rect, photo) => (rests(rect, photo) ? slid : held);
