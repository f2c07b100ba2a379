// The script of figures: which dot lies under the hand, and what a line says at a limit.

import assert from "node:assert/strict";
import { test } from "node:test";

import {
  changeAt,
  nameOf,
  nearest,
  placeOf,
  pointsOf,
  signed,
  together,
  valueAt,
  valuesAt,
  wordsFor,
} from "../../samples/static/samples/findings/figures.js";

const LINE = { x: [8, 9, 10], middle: [0, 10, -4], low: [-2, 4, -12], high: [2, 16, 3] };
const SCALE = [0, 12, 40, 220, 0, 15, 150, 10];

test("reads the dots of a drawing", () => {
  assert.deepEqual(pointsOf(" 38,71.3 40,71"), [[38, 71.3], [40, 71]]);
  assert.deepEqual(pointsOf(""), []);
});

test("finds the dot under the hand, and none where there is none", () => {
  const points = [[10, 10], [20, 10], [21, 11]];
  assert.equal(nearest(points, 12, 11), 0);
  assert.equal(nearest(points, 20.9, 11.2), 2);
  assert.equal(nearest(points, 100, 100), -1);
  assert.equal(nearest(points, 10, 40, 31), 0);
  assert.equal(nearest([], 1, 1), -1);
});

test("reads a line between its points, and not past its ends", () => {
  assert.equal(valueAt(LINE.x, LINE.middle, 9), 10);
  assert.equal(valueAt(LINE.x, LINE.middle, 9.5), 3);
  assert.equal(valueAt(LINE.x, LINE.middle, 8), 0);
  assert.equal(valueAt(LINE.x, LINE.middle, 7.9), null);
  assert.equal(valueAt(LINE.x, LINE.middle, 10.1), null);
});

test("says a change as the page does", () => {
  assert.equal(signed(12.4), "+12");
  assert.equal(signed(-0.4), "0");
  assert.equal(signed(-34.6), "\u221235");
  assert.deepEqual(changeAt(LINE, 9), { answer: "+10%", interval: "(+4 to +16)" });
  assert.deepEqual(changeAt(LINE, 7), { answer: "no change", interval: "" });
});

test("goes between the drawing and its values", () => {
  assert.deepEqual(valuesAt(SCALE, 130, 80), [6, 7.5]);
  assert.equal(placeOf(SCALE, 6), 130);
});

test("says which fish a dot is, and which others lie on its spot", () => {
  const points = [[10, 10], [12, 10], [10, 10]];
  assert.deepEqual(together(points, 0), [0, 2]);
  assert.deepEqual(together(points, 1), [1]);
  assert.deepEqual(together(points, -1), []);
  const axes = ["Growing seasons", "Total length, inches"];
  assert.equal(wordsFor([2.26, 9.04], axes), "Growing seasons 2.3, Total length, inches 9.0");
  assert.equal(nameOf("260001"), "Vial 260001");
  assert.notEqual(nameOf(""), "Vial ");
});
