// Where a picture lies on the screen: a view is a center, in pixels of the picture, and a zoom, in
// screen pixels a picture pixel. Nothing here knows the page.

export const MOST_ZOOM = 8;
// At the least zoom the whole picture is seen, with room around it.
const LEAST_OF_FIT = 0.5;

/** Return the view that shows a whole picture in a frame. */
export function fit(picture, frame) {
  const zoom = Math.min(frame.width / picture.width, frame.height / picture.height);
  return { x: picture.width / 2, y: picture.height / 2, zoom: zoom > 0 ? zoom : 1 };
}

/** Return a view that is neither too near nor too far, with its center on the picture. */
export function clamp(view, picture, frame) {
  const least = Math.min(fit(picture, frame).zoom * LEAST_OF_FIT, MOST_ZOOM);
  return {
    x: Math.min(Math.max(view.x, 0), picture.width),
    y: Math.min(Math.max(view.y, 0), picture.height),
    zoom: Math.min(Math.max(view.zoom, least), MOST_ZOOM),
  };
}

/** Return the point of a picture under a point of the frame. */
export function toPicture(view, frame, point) {
  return {
    x: view.x + (point.x - frame.width / 2) / view.zoom,
    y: view.y + (point.y - frame.height / 2) / view.zoom,
  };
}

/** Return the point of the frame over a point of a picture. */
export function toScreen(view, frame, point) {
  return {
    x: frame.width / 2 + (point.x - view.x) * view.zoom,
    y: frame.height / 2 + (point.y - view.y) * view.zoom,
  };
}

/** Return the view after zooming by a factor; the picture under a point of the frame stays there. */
export function zoomAt(view, picture, frame, factor, point) {
  const zoom = clamp({ ...view, zoom: view.zoom * factor }, picture, frame).zoom;
  const held = toPicture(view, frame, point);
  const x = held.x - (point.x - frame.width / 2) / zoom;
  const y = held.y - (point.y - frame.height / 2) / zoom;
  return clamp({ x, y, zoom }, picture, frame);
}

/** Return the view after a drag by screen pixels. */
export function panBy(view, picture, frame, dx, dy) {
  return clamp({ ...view, x: view.x - dx / view.zoom, y: view.y - dy / view.zoom }, picture, frame);
}

/** Return how many levels a pyramid of tiles has; the last has every pixel, the first one tile. */
export function countLevels(picture, tileSize) {
  const longest = Math.max(picture.width, picture.height);
  return Math.max(0, Math.ceil(Math.log2(longest / tileSize))) + 1;
}

/** Return the coarsest level that is still sharp at a zoom, on a screen of so many dots a pixel. */
export function levelFor(zoom, dots, levels) {
  const halvings = Math.floor(-Math.log2(zoom * dots));
  return Math.min(Math.max(levels - 1 - halvings, 0), levels - 1);
}

/** List the tiles of a level that lie in the frame, each with its box in pixels of the picture. */
export function tilesInView(view, picture, frame, level, levels, tileSize) {
  const span = tileSize * 2 ** (levels - 1 - level);
  const first = toPicture(view, frame, { x: 0, y: 0 });
  const last = toPicture(view, frame, { x: frame.width, y: frame.height });
  const columns = between(first.x, last.x, span, picture.width);
  const rows = between(first.y, last.y, span, picture.height);
  return rows.flatMap((row) =>
    columns.map((column) => ({
      level, column, row,
      x: column * span,
      y: row * span,
      width: Math.min(span, picture.width - column * span),
      height: Math.min(span, picture.height - row * span),
    })),
  );
}

function between(from, to, span, size) {
  const first = Math.max(0, Math.floor(from / span));
  const last = Math.min(Math.ceil(size / span), Math.ceil(to / span));
  return Array.from({ length: Math.max(0, last - first) }, (_, place) => first + place);
}

/** Return the longest round length that is no wider than so many screen pixels, and its width. */
export function scaleBar(umPerPx, zoom, widest) {
  const most = (widest / zoom) * umPerPx;
  const power = 10 ** Math.floor(Math.log10(most));
  const um = [5, 2, 1].map((step) => step * power).find((length) => length <= most) ?? power;
  const label = um >= 1000 ? `${um / 1000} mm` : `${Number(um.toPrecision(1))} µm`;
  return { um, width: (um / umPerPx) * zoom, label };
}
