// The script of a page that waits: what it says, and when it asks again.

import assert from "node:assert/strict";
import { test } from "node:test";

import { addressOf, delayAfter, wait, wordsFor } from "../../samples/static/samples/findings/waiting.js";

const QUIET = { open: true, ahead: 0, step: "", nobody_works: false, progress: 0 };

test("says what is going on", () => {
  assert.equal(wordsFor(QUIET), "Starting.");
  assert.equal(wordsFor({ ...QUIET, step: "Estimating" }), "Estimating.");
  assert.equal(wordsFor({ ...QUIET, ahead: 1 }), "Waiting for 1 other calculation.");
  assert.equal(wordsFor({ ...QUIET, ahead: 2 }), "Waiting for 2 other calculations.");
  assert.match(wordsFor({ ...QUIET, nobody_works: true }), /No worker is running/);
});

test("asks until it is done, and less often while the office cannot be reached", async () => {
  const answers = [
    QUIET,
    new Error("away"),
    new Error("away"),
    { ...QUIET, progress: 60 },
    { ...QUIET, open: false },
    QUIET,
  ];
  const slept = [];
  const shown = [];
  await wait({
    ask: async () => {
      const next = answers.shift();
      if (next instanceof Error) throw next;
      return next;
    },
    show: (told) => shown.push(told.progress),
    sleep: async (ms) => slept.push(ms),
  });

  assert.deepEqual(slept, [1000, 1000, 2000, 4000, 1000]);
  assert.deepEqual(shown, [0, 60]);
  assert.equal(answers.length, 1);
  assert.equal(delayAfter(20), 15000);
});

test("comes again to the page itself, not to a place on it", () => {
  assert.equal(addressOf(new URL("https://a.example/f/growth/?arm=2#main")), "/f/growth/?arm=2");
});
