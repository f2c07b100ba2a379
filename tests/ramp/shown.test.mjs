// What the page shows of an outbox: counts, the party in hand, its fish as they read by now.

import assert from "node:assert/strict";
import test from "node:test";

import { inWords } from "../../samples/static/samples/ramp/export.js";
import * as outbox from "../../samples/static/samples/ramp/outbox.js";
import { step } from "../../samples/static/samples/ramp/rules.js";

const { WAITING, SENDING, TAKEN, HELD, REFUSED, REPLACED } = outbox;
const NOW = new Date("2026-05-06T17:30:00Z");
const DAY_MS = 24 * 60 * 60 * 1000;
const PARTY = "party-1";

function record(seq, words = {}, more = {}) {
  const id = `id-${seq}`;
  return {
    seq,
    entry_id: id,
    person: "7",
    state: WAITING,
    words: { kind: "fish", entry_id: id, party_id: PARTY, ...words },
    tries: 0,
    maybe_there: false,
    reason: "",
    errors: {},
    ...more,
  };
}

test("counts: what waits of everybody, what arrived today and needs a look of this person", () => {
  const today = new Date(NOW.getTime() - DAY_MS / 2);
  const at = (state, more = {}) => ({ state, settled_at: NOW.getTime(), ...more });
  const records = [
    record(1),
    record(2, {}, { state: SENDING }),
    record(3, { kind: "unmeasured_count" }),
    record(4, {}, { person: "8" }),
    record(5, { kind: "party_opened" }),
    record(6, { kind: "party_closed" }, { person: "8" }),
    record(7, {}, at(TAKEN)),
    record(8, {}, at(HELD)),
    record(9, { kind: "party_changed" }, at(TAKEN)),
    record(10, {}, at(TAKEN, { settled_at: today.getTime() - 1 })),
    record(11, {}, at(TAKEN, { person: "8" })),
    record(12, {}, { state: REFUSED }),
    record(13, {}, { state: REFUSED, person: "8" }),
    record(14, {}, at(REPLACED)),
  ];

  assert.deepEqual(outbox.counts(records, "7", today), { onPhone: 4, notes: 2, ofOthers: 2, sent: 2, needLook: 1 });
});

function opened(seq, words = {}, more = {}) {
  return record(seq, { kind: "party_opened", lake: "orrin", arm: "Brindle", reach: "Lower", every_nth: 2, interview_key: "i-1", ...words }, more);
}

test("the open party is the one this person opened last and did not close", () => {
  const records = [opened(1, { party_id: "a" }), opened(2, { party_id: "b", arm: "Cutbank" }), opened(3, { party_id: "c" }, { person: "8" })];

  assert.equal(outbox.openParty(records, "7").arm, "Cutbank");
  assert.equal(outbox.openParty(records, "8").party_id, "c");
  assert.equal(outbox.openParty(records, "9"), undefined);
  assert.equal(outbox.openParty([...records, record(4, { kind: "party_closed", party_id: "b" })], "7"), undefined);
  assert.equal(outbox.openParty([...records, record(4, { kind: "party_closed", party_id: "a" })], "7").party_id, "b");
});

test("a party reads as it was changed last; what the change leaves unsaid is unsaid", () => {
  const change = record(2, { kind: "party_changed", arm: "Hobbin", method: "angler_kept" });

  const party = outbox.openParty([opened(1), change], "7");

  assert.deepEqual([party.kind, party.party_id, party.lake, party.interview_key], ["party_opened", PARTY, "orrin", "i-1"]);
  assert.deepEqual([party.arm, party.reach, party.every_nth], ["Hobbin", undefined, undefined]);
});

test("a party that was refused is still in hand, and a change that was refused says nothing", () => {
  const records = [opened(1, {}, { state: REFUSED }), record(2, { kind: "party_changed", arm: "Hobbin" }, { state: REFUSED })];

  assert.equal(outbox.openParty(records, "7").arm, "Brindle");
});

const fish = (seq, vial, more = {}) => record(seq, { vial, length: `${seq}.0`, species: "white-crappie" }, more);
const [FIRST, SECOND, THIRD, FOURTH] = [1, 2, 3, 4].map((by) => step("2600018", by - 1));
const shown = (records) => outbox.fishOf(records, PARTY, step).map((one) => [one.entry_id, one.words.vial, one.words.length, one.withdrawn]);

test("the numbers of these cases are numbers", () => {
  assert.deepEqual([FIRST, SECOND, THIRD, FOURTH].map((number) => number.length), [7, 7, 7, 7]);
});

test("the fish of a party stand in the order written, and no other party's", () => {
  const records = [fish(2, SECOND), fish(1, FIRST), record(3, { party_id: "another", vial: THIRD })];

  assert.deepEqual(shown(records), [["id-1", FIRST, "1.0", false], ["id-2", SECOND, "2.0", false]]);
});

test("a corrected fish reads as corrected, under the id it always had", () => {
  const correction = record(3, { kind: "correction", about_entry_id: "id-1", vial: THIRD, length: "9.9" });

  const [one] = outbox.fishOf([fish(1, FIRST), correction], PARTY, step);

  assert.deepEqual([one.entry_id, one.words.entry_id, one.words.kind, one.words.vial, one.changed], ["id-1", "id-1", "fish", THIRD, true]);
});

test("a fish that was taken back is marked, and a refused correction changes nothing", () => {
  const back = record(2, { kind: "withdrawal", about_entry_id: "id-1" });
  const refused = record(3, { kind: "correction", about_entry_id: "id-1", vial: THIRD }, { state: REFUSED });

  assert.deepEqual(shown([fish(1, FIRST), back, refused]), [["id-1", FIRST, "1.0", true]]);
});

test("a shift moves every fish from its vial on, but none taken back and none before", () => {
  const back = record(4, { kind: "withdrawal", about_entry_id: "id-3" });
  const records = [fish(1, FIRST), fish(2, SECOND), fish(3, THIRD), back, record(5, { kind: "shift", from_vial: SECOND, by: 1 })];

  assert.deepEqual(shown(records).map(([, vial]) => vial), [FIRST, THIRD, THIRD]);
});

test("a shift moves back too, reads numbers with spaces, and leaves later fish alone", () => {
  const spaced = `${SECOND.slice(0, 2)} ${SECOND.slice(2, 6)} ${SECOND.slice(6)}`;
  const records = [fish(1, spaced), fish(2, THIRD), record(3, { kind: "shift", from_vial: spaced, by: -1 }), fish(4, FOURTH)];

  assert.deepEqual(shown(records).map(([, vial]) => vial), [FIRST, SECOND, FOURTH]);
});

test("a fish that was refused is not shown, nor one that was written anew", () => {
  const records = [fish(1, FIRST, { state: REFUSED }), fish(2, SECOND, { state: REPLACED }), fish(3, THIRD, { state: HELD })];

  assert.deepEqual(shown(records), [["id-3", THIRD, "3.0", false]]);
});

test("a fish of the clerk without a vial is moved by no shift", () => {
  const records = [fish(1, undefined), fish(2, FIRST), record(3, { kind: "shift", from_vial: FIRST, by: 1 })];

  assert.deepEqual(shown(records).map(([, vial]) => vial), [undefined, SECOND]);
});

test("a fish that the office is checking is not moved with the others, and says so", () => {
  const [one, two, three] = [0, 1, 2].map((by) => step("2600018", by));
  const records = [record(1, { vial: one }, { state: TAKEN }), record(2, { vial: one }, { state: HELD }), record(3, { vial: two }), record(4, { kind: "shift", from_vial: one, by: 1 })];

  const fish = outbox.fishOf(records, PARTY, step);

  assert.deepEqual(fish.map(({ words }) => words.vial), [two, one, three]);
  assert.deepEqual(fish.map(outbox.isMovable), [true, false, true]);
});

test("vials off by one are read aloud by the way they go", () => {
  assert.equal(inWords({ kind: "shift", from_vial: "2600018", by: 1 }, {}), "Vials off by one: from 26 0001 8 on, to the next vial");
  assert.equal(inWords({ kind: "shift", from_vial: "2600018", by: -1 }, {}), "Vials off by one: from 26 0001 8 on, to the vial before");
});

test("a sex that is not known is said to be the sex, and a fish without a vial is said to be a fish", () => {
  const names = { species: { w: "White" }, sexes: { F: "Female", U: "Not known" } };
  const told = (sex, vial) => inWords({ kind: "fish", vial, species: "w", length: "9.4", unit: "in", sex }, names);

  assert.equal(told("U", "2600018"), "26 0001 8, White 9.4 in, sex not known");
  assert.equal(told("F"), "Fish without a vial, White 9.4 in, female");
});
