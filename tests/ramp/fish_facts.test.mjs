// What the form of a fish says beside vial and length: weight in the lake's unit, tag and note.

import assert from "node:assert/strict";
import test from "node:test";

import { inWords } from "../../samples/static/samples/ramp/export.js";
import { readFish } from "../../samples/static/samples/ramp/fish_facts.js";
import { parseWeight, withoutUnit } from "../../samples/static/samples/ramp/weights.js";

const white = { code: "white-crappie", name: "White crappie", least_hundredths_mm: 5080, most_hundredths_mm: 50800 };
const lake = (weightUnit) => ({ lake: "orrin", length_unit: "in", weight_unit: weightUnit, for_others: true, species: [white], seasons: [] });
const vials = { usedHere: new Map(), usedBefore: [], inHand: [], free: [], left: [], ofTrip: [] };
const fields = {
  species: { required: true, error: "Choose a species.", limits: { type: "string" }, choices: [] },
  sex: { required: true, error: "Choose a sex.", limits: { type: "string" }, choices: [] },
  weight_g: { required: false, error: "Enter a weight.", limits: { type: "integer", minimum: 1, maximum: 60000 }, choices: [], folded: true },
  tag_number: { required: false, error: "", limits: { type: "string", maxLength: 20 }, choices: [], folded: true },
  note: { required: false, error: "", limits: { type: "string", maxLength: 300 }, choices: [], folded: true },
};
const typed = { species: "white-crappie", length: "9.4", sex: "F", noVial: true, weight_g: "", tag_number: "", note: "" };
const read = (more, unit = "g") => readFish({ ...typed, ...more }, { lake: lake(unit), vials, fields });

test("a weight goes out in grams, whatever the lake's unit", () => {
  assert.equal(read({ weight_g: "310" }).facts.weight_g, 310);
  assert.equal(read({ weight_g: "1 lb 4 oz" }, "lb_oz").facts.weight_g, 567);
  assert.equal(read({ weight_g: "0.68" }, "lb").facts.weight_g, 308);
  // Lists of before the unit was told: grams, as ever.
  assert.equal(read({ weight_g: "310" }, undefined).facts.weight_g, 310);
});

test("a weight that is none is refused in the words of the lake's unit, and the rest stands", () => {
  const { errors } = read({ weight_g: "20" }, "lb_oz");
  assert.deepEqual(Object.keys(errors), ["weight_g"]);
  assert.match(errors.weight_g, /oz/);
});

test("no weight is no fact, and tag and note go as typed", () => {
  const { facts, errors } = read({ tag_number: "B 1042", note: "Scar behind the gill" });
  assert.deepEqual(errors, {});
  assert.deepEqual([facts.weight_g, facts.tag_number, facts.note], ["", "B 1042", "Scar behind the gill"]);
});

test("a weight typed in another unit keeps its unit when its box is filled again", () => {
  for (const unit of ["g", "lb"]) {
    for (const text of ["310 g", "2 lb", "0.68 lb", "1 lb 4 oz", "310", "2"]) {
      assert.deepEqual(parseWeight(withoutUnit(text, unit), unit), parseWeight(text, unit), `${text} in ${unit}`);
    }
  }
  assert.deepEqual([withoutUnit("310 g", "g"), withoutUnit("0.68 lb", "lb")], ["310", "0.68"]);
});

test("what waits says weight, tag and note in its line", () => {
  const names = { species: { "white-crappie": "White" }, sexes: { F: "Female" }, methods: {} };
  const words = { kind: "fish", vial: "", species: "white-crappie", length: "9.4", unit: "in", sex: "F", weight_g: 310, tag_number: "B 1042", note: "Scar" };
  assert.match(inWords(words, names), /310 g, tag B 1042, Scar$/);
});
