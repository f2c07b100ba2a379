// Where a picture lies on the screen, in numbers: node --test tests/pictures/view_geometry.test.mjs

import assert from "node:assert/strict";
import { test } from "node:test";

import {
  clamp, countLevels, fit, levelFor, MOST_ZOOM, panBy, scaleBar, tilesInView, toPicture, toScreen,
  zoomAt,
} from "../../samples/static/samples/lab/view_geometry.js";

const PICTURE = { width: 5472, height: 3648 };
const FRAME = { width: 900, height: 600 };
const TILE = 512;

function near(one, other, within = 1e-6) {
  assert.ok(Math.abs(one - other) <= within, `${one} is not ${other}`);
}

test("a whole picture fits its frame, centered", () => {
  const view = fit(PICTURE, FRAME);
  const corner = toScreen(view, FRAME, { x: 0, y: 0 });
  const end = toScreen(view, FRAME, { x: PICTURE.width, y: PICTURE.height });

  near(corner.x + end.x, FRAME.width);
  near(corner.y + end.y, FRAME.height);
  near(Math.min(corner.x, corner.y), 0);
});

test("a point of the picture and of the screen are the same point", () => {
  const view = { x: 1234.5, y: 987.25, zoom: 0.37 };
  for (const point of [{ x: 0, y: 0 }, { x: 4000, y: 12.5 }]) {
    const back = toPicture(view, FRAME, toScreen(view, FRAME, point));
    near(back.x, point.x);
    near(back.y, point.y);
  }
});

test("zooming holds the picture under the pointer", () => {
  const view = { x: 2700, y: 1800, zoom: 0.5 };
  const pointer = { x: 420, y: 330 };
  const before = toPicture(view, FRAME, pointer);
  const after = toPicture(zoomAt(view, PICTURE, FRAME, 2, pointer), FRAME, pointer);

  near(after.x, before.x);
  near(after.y, before.y);
});

test("zoom ends where pixels are large, and where the whole is small", () => {
  const middle = { x: 450, y: 300 };
  const whole = fit(PICTURE, FRAME);

  assert.equal(zoomAt(whole, PICTURE, FRAME, 1e6, middle).zoom, MOST_ZOOM);
  near(zoomAt(whole, PICTURE, FRAME, 1e-6, middle).zoom, whole.zoom / 2);
});

test("a drag moves the picture with the pointer, and never off the screen", () => {
  const view = { x: 2700, y: 1800, zoom: 0.5 };
  const point = { x: 2600, y: 1700 };
  const before = toScreen(view, FRAME, point);
  const after = toScreen(panBy(view, PICTURE, FRAME, 30, -20), FRAME, point);

  near(after.x - before.x, 30);
  near(after.y - before.y, -20);
  assert.deepEqual(clamp({ x: -9999, y: 9999, zoom: 1 }, PICTURE, FRAME), {
    x: 0, y: PICTURE.height, zoom: 1,
  });
});

test("a pyramid has a level for every halving down to one tile", () => {
  assert.equal(countLevels(PICTURE, TILE), 5);
  assert.equal(countLevels({ width: 512, height: 300 }, TILE), 1);
  assert.equal(countLevels({ width: 513, height: 300 }, TILE), 2);
});

test("tiles are never blurred: a level has a pixel at least for each dot of the screen", () => {
  for (const [zoom, dots] of [[0.1, 1], [0.24, 1], [0.26, 2], [0.5, 1], [1, 1], [4, 1]]) {
    const level = levelFor(zoom, dots, 5);
    const pixels = 1 / 2 ** (4 - level);
    assert.ok(pixels >= Math.min(zoom * dots, 1), `level ${level} at ${zoom}`);
    assert.ok(pixels < 2 * zoom * dots || level === 0, `level ${level} at ${zoom} is wasteful`);
  }
});

test("the tiles in view cover the frame where there is picture, and no more", () => {
  const view = { x: 5200, y: 100, zoom: 1 };
  const tiles = tilesInView(view, PICTURE, FRAME, 4, 5, TILE);

  assert.deepEqual([...new Set(tiles.map((tile) => tile.column))], [9, 10]);
  assert.deepEqual([...new Set(tiles.map((tile) => tile.row))], [0]);
  assert.equal(tiles.at(-1).x + tiles.at(-1).width, PICTURE.width);
});

test("the scale bar is a round length and as wide as it says", () => {
  for (const [umPerPx, zoom] of [[0.5, 0.2], [2.1, 1], [0.09, 8], [7.7, 0.05]]) {
    const bar = scaleBar(umPerPx, zoom, 160);
    near(bar.width, (bar.um / umPerPx) * zoom, 1e-6);
    assert.ok(bar.width <= 160 && bar.width >= 160 / 2.5, `${bar.label} is ${bar.width} px`);
    assert.match(bar.label, /^(0?\.?[125]0*) (µm|mm)$/);
  }
});
