// The predicted CV under a slider, between the points that the server worked out.

import assert from "node:assert/strict";
import { test } from "node:test";

import { valueAt } from "../../samples/static/samples/targets/curve.js";

const POINTS = [[0, 30], [10, 26], [20, 24]];

for (const [x, value] of [[0, 30], [5, 28], [10, 26], [15, 25], [20, 24], [40, 24]]) {
  test(`at ${x} the curve is ${value}`, () => assert.equal(valueAt(POINTS, x), value));
}
