// Two points on a stage micrometer, and what they make of a distance.

/** Return the points after a tap: the missing one is set, else the nearer one moves there. */
export function withPoint(points, point) {
  const free = points.findIndex((one) => !one);
  const at = free === -1 ? nearest(points, point) : free;
  return points.map((one, place) => (place === at ? point : one));
}

function nearest(points, point) {
  const [first, last] = points.map((one) => Math.hypot(one.x - point.x, one.y - point.y));
  return first <= last ? 0 : 1;
}

/** Return a typed coordinate as a number, or null while it is none. */
export function coordinate(text) {
  const typed = text.trim();
  return typed !== "" && Number.isFinite(Number(typed)) ? Number(typed) : null;
}

/** Return a typed distance in micrometers, or null while it is none with a unit. */
export function distanceUm(text) {
  const found = /^([0-9]+(?:[.,][0-9]+)?) ?(mm|µm|μm|um)$/i.exec(text.trim());
  if (!found) return null;
  return Number(found[1].replace(",", ".")) * (found[2].toLowerCase() === "mm" ? 1000 : 1);
}
