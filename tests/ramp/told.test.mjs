// What the office tells a phone besides the lists: own fish, what is needed, and when it was so.

import assert from "node:assert/strict";
import test from "node:test";

import { rulesOf } from "../../samples/static/samples/ramp/help.js";
import { chosenFish, countsInShort, messagesFrom } from "../../samples/static/samples/ramp/my_fish.js";
import { askedFrom, enoughInWords, moreInWords, neededFrom } from "../../samples/static/samples/ramp/needed.js";
import { asOf, makeTold } from "../../samples/static/samples/ramp/told.js";

const ZONE = "America/Chicago";
const person = { key: "7", token: "t" };

function office({ answers }) {
  const kept = new Map();
  const asked = [];
  const state = { now: new Date("2026-05-06T17:00:00Z"), answers };
  const told = makeTold({
    store: { inHand: async (name) => kept.get(name), keepInHand: async (name, value) => kept.set(name, value) },
    fetch: async (address) => {
      asked.push(address);
      if (!state.answers) throw new Error("no signal");
      return { ok: state.answers !== "signed out", json: async () => ({ as_of: "2026-05-06T16:00:00Z", fish: state.answers }) };
    },
    addresses: { my_fish: "/mine", needed: "/needed" },
    now: () => state.now,
  });
  return { told, state, asked, kept };
}

test("what was told stays with its date while there is no signal, and after a start", async () => {
  const { told, state, kept } = office({ answers: ["a fish"] });
  assert.equal(await told.refresh(person), true);
  state.answers = undefined;
  assert.equal(await told.refresh(person, { again: true }), false);
  assert.deepEqual(told.told("my_fish", person).fish, ["a fish"]);
  assert.equal(told.told("my_fish", { key: "8" }), undefined);
  const later = office({ answers: undefined });
  for (const [name, value] of kept) later.kept.set(name, value);
  await later.told.load(person);
  assert.equal(later.told.told("needed", person).as_of, "2026-05-06T16:00:00Z");
});

test("it is asked for once an hour, or when somebody looks", async () => {
  const { told, state, asked } = office({ answers: [] });
  await told.refresh(person);
  await told.refresh(person);
  assert.equal(asked.length, 2);
  await told.refresh(person, { again: true });
  assert.equal(asked.length, 4);
  state.now = new Date("2026-05-06T18:01:00Z");
  await told.refresh(person);
  assert.equal(asked.length, 6);
});

test("an answer that is none replaces nothing, and a person who left is let go", async () => {
  const { told, state, kept } = office({ answers: ["a fish"] });
  await told.refresh(person);
  state.answers = "signed out";
  await told.refresh(person, { again: true });
  assert.deepEqual(told.told("my_fish", person).fish, ["a fish"]);
  await told.forget("7");
  assert.deepEqual([...kept.values()], [undefined, undefined]);
});

test("the date is that of the lake", () => {
  const now = new Date("2026-05-07T03:00:00Z"); // still May 6 there
  assert.equal(asOf("2026-05-06T17:10:00Z", ZONE, now), "As of today, 12:10 PM.");
  assert.equal(asOf("2026-04-17T17:10:00Z", ZONE, now), "As of April 17, 2026, 12:10 PM.");
});

const FISH = [
  { species: "White crappie", hundredths_mm: 20_000, age: null, caught_on: "2026-05-06" },
  { species: "Black crappie", hundredths_mm: 30_000, age: 4, caught_on: "2026-05-05" },
  { species: "White crappie", hundredths_mm: 25_000, age: 9, caught_on: "2025-04-01" },
];

test("own fish come in the order and of the species and year that were chosen", () => {
  const places = (asked) => chosenFish(FISH, { order: "newest", species: "", year: "", ...asked }).map((one) => FISH.indexOf(one));
  assert.deepEqual(places({}), [0, 1, 2]);
  assert.deepEqual(places({ order: "longest" }), [1, 2, 0]);
  assert.deepEqual(places({ order: "oldest" }), [2, 1, 0]);
  assert.deepEqual(places({ species: "White crappie", order: "longest" }), [2, 0]);
  assert.deepEqual(places({ year: "2026" }), [0, 1]);
  assert.equal(countsInShort(FISH), "2 aged, oldest 9 years");
  assert.equal(countsInShort(FISH.slice(0, 1)), "1 fish, none aged yet");
});

test("what is needed comes first, and what there is enough of is said in a sentence", () => {
  const enough = { species: "Black crappie", needed: [], enough: ["Under 8 in", "9 to 10.9 in"] };
  const short = { species: "White crappie", needed: [{ lengths: "Under 8 in", more: 5 }], enough: [] };
  const told = { lakes: [{ lake: "orrin", arms: [{ arm: "Brindle", species: [enough, short] }] }] };
  assert.deepEqual(neededFrom(told, "orrin", "Brindle"), [short, enough]);
  assert.deepEqual([neededFrom(told, "orrin", "Hobbin"), neededFrom(undefined, "orrin", "Brindle")], [[], []]);
  assert.equal(enoughInWords(enough), "We have enough black crappie: under 8 in and 9 to 10.9 in.");
  assert.equal(enoughInWords(short), "");
});

test("the biologist's list is told of every arm or of one, and an older office tells none", () => {
  const lines = [{ words: "Small ones", arms: ["Brindle", "Hobbin"] }, { words: "Big ones", arms: [] }, { words: "All", arms: ["Hobbin"] }];
  const told = { lakes: [{ lake: "orrin", arms: [], asked: { lines, enough: "", sent_at: "2026-05-06T16:00:00Z" } }] };
  const small = { words: "Small ones", where: "Brindle and Hobbin" };
  const big = { words: "Big ones", where: "Any arm" };
  assert.deepEqual(askedFrom(told, "orrin"), [small, big, { words: "All", where: "Hobbin" }]);
  assert.deepEqual(askedFrom(told, "orrin", "Brindle"), [small, big]);
  assert.deepEqual([askedFrom({ lakes: [{ lake: "orrin", arms: [] }] }, "orrin"), askedFrom(undefined, "orrin")], [[], []]);
});

test("messages of the lakes are told with their day, and an older office tells none", () => {
  const messages = [{ lake: "Lake Orrinbeck", text: "Thank you", on: "2026-05-06", edited: false }, { lake: "Quarry Pond", text: "Thanks", on: "2026-05-07", edited: true }];
  assert.deepEqual(messagesFrom({ messages }), [{ text: "Thank you", said: "Lake Orrinbeck, May 6, 2026" }, { text: "Thanks", said: "Quarry Pond, edited May 7, 2026" }]);
  assert.deepEqual([messagesFrom({ fish: [] }), messagesFrom(undefined)], [[], []]);
});

test("a season without permit and limit has nothing to say", () => {
  assert.deepEqual(rulesOf({ permit: "Collection permit 26-114.", possession: "15 crappie a day" }).length, 2);
  const season = { permit: "good", permit_until: "2026-10-31", permit_expired: "expired" };
  assert.deepEqual([rulesOf(season, "2026-10-31"), rulesOf(season, "2026-11-01")], [["good"], ["expired"]]);
  assert.deepEqual([rulesOf(undefined), rulesOf({}), rulesOf({ permit: "", possession: "" })], [[], [], []]);
});

test("the sex that is short stands beside how many more", () => {
  const [plain, sexed] = [moreInWords({ more: 3 }), moreInWords({ more: 3, sex: "females first" })];
  assert.ok(!plain.includes("undefined"));
  assert.equal(sexed, `${plain}, females first`);
});
