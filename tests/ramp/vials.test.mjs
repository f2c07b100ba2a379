// The vials in somebody's hands: those left for a trip, and which one a few digits mean.

import assert from "node:assert/strict";
import test from "node:test";

import { readFish, vialMeant } from "../../samples/static/samples/ramp/fish_facts.js";
import { vialsOf } from "../../samples/static/samples/ramp/lists.js";
import { grouped, step } from "../../samples/static/samples/ramp/rules.js";

const ONE = "2600018"; // 26 0001 8
const [TWO, THREE] = [1, 2].map((by) => step(ONE, by));
const OLD = "2500017"; // 25 0001 7
const OLD_FIVE = step(OLD, 4);

const lake = { lake: "orrin", length_unit: "in", for_others: false, species: [], seasons: [{ starts_on: "2026-03-01", ends_on: "2026-12-31", number_year: 2026 }] };
const trip = { party_id: "p", lake: "orrin", caught_on: "2026-05-06" };
const person = { key: "7", lists: { lakes: [lake], vials_in_hand: [OLD, OLD_FIVE, ONE, TWO, THREE] } };
const logged = (vial) => ({ seq: 2, entry_id: "f", person: "7", state: "waiting", words: { kind: "fish", entry_id: "f", party_id: "p", vial, species: "white-crappie", length: "9.1", unit: "in", sex: "F" } });
const opened = { seq: 1, entry_id: "p", person: "7", state: "waiting", words: { kind: "party_opened", entry_id: "p", ...trip } };

const vials = (records = [], who = person) => vialsOf(who, records, undefined, trip);
const fields = {
  species: { required: true, error: "Choose a species.", limits: { type: "string" }, choices: [] },
  sex: { required: false, error: "Choose a sex.", limits: { type: "string" }, choices: [] },
};
const vialError = (typed, known = vials()) => readFish({ vial: typed, length: "9.1", sex: "F" }, { lake, vials: known, fields }).errors.vial;

test("left for a trip are the empty vials of its year", () => {
  assert.deepEqual(vials().left, [ONE, TWO, THREE]);
  assert.deepEqual(vials([opened, logged(grouped(TWO))]).left, [ONE, THREE]);
  assert.deepEqual(vialsOf(person, []).left, [OLD, OLD_FIVE, ONE, TWO, THREE]);
});

test("a vial of another year is never the example", () => {
  assert.equal(vialError(""), `Enter the number on the vial's label, such as ${grouped(ONE)}.`);
  assert.equal(vialError("777"), `No vial in your hands ends in 777. Enter the whole number, such as ${grouped(ONE)}.`);
  const oldAlone = { ...person, lists: { ...person.lists, vials_in_hand: [OLD] } };
  assert.equal(vialError("", vials([], oldAlone)), "Enter the number on the vial's label.");
  assert.equal(vialError("777", vials([], oldAlone)), "No vial in your hands ends in 777. Enter the whole number on the label.");
});

test("a few digits mean the vial of this year; one of another only where no other ends so", () => {
  assert.equal(vialMeant("0001", vials()), ONE);
  assert.equal(vialMeant("0005", vials()), OLD_FIVE);
});
