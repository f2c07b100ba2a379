// What a phone lets go of: never a person or a fish whose photo still waits.

import assert from "node:assert/strict";
import test from "node:test";

import { letGoOfOld, settledAndDone } from "../../samples/static/samples/ramp/forget.js";

const NOW = new Date("2026-05-30T12:00:00Z");
const LONG_AGO = Date.parse("2026-05-06T12:00:00Z");
const old = (seq, id) => ({ seq, entry_id: id, person: "8", state: "taken", settled_at: LONG_AGO, words: { party_id: "p" } });

function phone(waiting) {
  const gone = { entries: [], people: [] };
  const app = {
    person: { key: "7" },
    people: [{ key: "7" }, { key: "8" }, { key: "9" }],
    stored: [old(1, "with a photo"), old(2, "without")],
    party: undefined,
    now: () => NOW,
    photos: { waiting: async () => waiting, dropOtherHalfTyped: async (named) => (gone.halfTypedBut = named) },
    forgetTold: async () => {},
    store: { inHand: async (name) => (name === "draft" ? { photo: "a photo" } : undefined), forgetEntries: async (seqs) => gone.entries.push(...seqs), dropPerson: async (key) => gone.people.push(key) },
  };
  return { app, gone };
}

test("a person and a fish stay as long as a photo of theirs waits", async () => {
  const { app, gone } = phone([{ entry_id: "with a photo", person: "8" }]);
  await letGoOfOld(app);
  assert.deepEqual(gone, { halfTypedBut: ["a photo", undefined], entries: [2], people: ["9"] });
  assert.deepEqual(await settledAndDone(app), [2]);
});

test("without a photo that waits both go, once they are settled and old", async () => {
  const { app, gone } = phone([]);
  await letGoOfOld(app);
  assert.deepEqual(gone, { halfTypedBut: ["a photo", undefined], entries: [1, 2], people: ["8", "9"] });
  assert.deepEqual(await settledAndDone(app), [1, 2]);
});
