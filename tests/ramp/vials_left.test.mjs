// How many vials are left, said beside the number and above the list of the trip.

import assert from "node:assert/strict";
import test from "node:test";

import { step } from "../../samples/static/samples/ramp/rules.js";
import { askForMore, leftInShort, wereGiven } from "../../samples/static/samples/ramp/vials_left.js";

const from = (count) => Array.from({ length: count }, (_, place) => step("2600018", place));

test("from five down it is a warning, and says so", () => {
  assert.deepEqual([6, 5, 1, 0].map((count) => leftInShort(from(count), true)), [["6 vials left", false], ["Only 5 vials left", true], ["Only 1 vial left", true], ["No vials left", true]]);
});

test("more are asked for from five down, with the numbers that are left", () => {
  assert.equal(askForMore(from(6), true), "");
  assert.equal(askForMore(from(5), true), "Only 5 vials left: 26 0001 8 to 26 0005 9. Ask the office for more.");
  assert.equal(askForMore(from(1), true), "Only 1 vial left: 26 0001 8. Ask the office for more.");
  assert.match(askForMore([], true), /^No vials left\./);
});

test("where the office hands out none, none is counted", () => {
  assert.deepEqual(leftInShort([], false), ["as on the label", false]);
  assert.equal(askForMore([], false), "");
  assert.deepEqual([{}, undefined, { vials_in_hand: [] }, { vials_given: 0, vials_in_hand: [] }].map(wereGiven), [false, false, false, false]);
  // Lists of before the count was told: what is in hand was handed out.
  assert.deepEqual([{ vials_in_hand: ["2600018"] }, { vials_given: 30, vials_in_hand: [] }].map(wereGiven), [true, true]);
});
