// A second tap at a spot where the page has changed is not taken.

import assert from "node:assert/strict";
import test from "node:test";

import { makeTapGuard } from "../../samples/static/samples/ramp/taps.js";

const SPOT = { x: 180, y: 700 };

function guarded() {
  const clock = { ms: 0 };
  return { clock, guard: makeTapGuard(() => clock.ms) };
}

test("a tap at the spot of the last one is not taken once the page has changed under it", () => {
  const { clock, guard } = guarded();

  assert.equal(guard.takes(SPOT), true);
  clock.ms = 300;
  guard.changed();
  clock.ms = 600;
  assert.equal(guard.takes({ x: 195, y: 690 }), false);
  clock.ms = 1_000;
  assert.equal(guard.takes(SPOT), false);
  clock.ms = 1_100;
  assert.equal(guard.takes(SPOT), true);
});

test("taps at one spot of a page that stays are all taken", () => {
  const { guard } = guarded();

  assert.deepEqual([SPOT, SPOT, SPOT].map(guard.takes), [true, true, true]);
});

test("after a tap elsewhere or a key every spot is taken", () => {
  const { guard } = guarded();

  guard.takes(SPOT);
  guard.changed();
  assert.equal(guard.takes({ x: 180, y: 500 }), true);
  assert.equal(guard.takes(SPOT), true);
  guard.changed();
  guard.release();
  assert.equal(guard.takes(SPOT), true);
});

test("a page that changes by itself keeps no tap from it", () => {
  const { guard } = guarded();

  guard.changed();
  assert.equal(guard.takes(SPOT), true);
});
