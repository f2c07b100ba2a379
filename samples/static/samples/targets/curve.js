// Reads a curve between its points.

/** Return the value of a curve at x, on the straight line between the points around it. */
export function valueAt(points, x) {
  const after = points.findIndex(([at]) => at >= x);
  if (after === -1) return points[points.length - 1][1];
  if (after === 0) return points[0][1];
  const [[left, low], [right, high]] = [points[after - 1], points[after]];
  return low + ((high - low) * (x - left)) / (right - left);
}
