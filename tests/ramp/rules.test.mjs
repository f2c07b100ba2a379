// The phone's half of what server and phone both read and ask: the cases of said_the_same.json,
// which test_said_the_same.py holds the server to, and what the phone does by itself.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";

import * as rules from "../../samples/static/samples/ramp/rules.js";

const TABLE = JSON.parse(readFileSync(new URL("said_the_same.json", import.meta.url), "utf8"));

const WHITE = {
  name: "White crappie",
  least_hundredths_mm: 5080,
  most_hundredths_mm: 50800,
  spines_least: 5,
  spines_most: 6,
};

// What a table cannot hold is made of what it holds.
const BY_NAME = {
  ...rules,
  localDay: (instant, timeZone) => rules.localDay(new Date(instant), timeZone),
  vialQuestions: (number, known) =>
    rules.vialQuestions(number, { ...known, usedHere: new Map(Object.entries(known.usedHere)) }),
};

test("the table names nothing that the phone has not", () => {
  const missing = Object.keys(TABLE).filter((name) => typeof rules[name] !== "function");
  assert.deepEqual(missing, []);
  assert.deepEqual(
    Object.keys(rules).filter((name) => !(name in TABLE)),
    ["NOTHING_TYPED", "caretIn", "digitsPlaced", "lengthShown", "placePoint", "retype"],
  );
});

for (const [name, cases] of Object.entries(TABLE)) {
  test(`${name} reads and asks what the table says`, () => {
    assert.ok(cases.length > 0);
    for (const { given, gives } of cases) {
      assert.deepEqual(BY_NAME[name](...given), gives, JSON.stringify(given));
    }
  });
}

// ---------- The point placed for digits alone ----------

function placedByHand(typed, unit) {
  const characters = Array.from(typed);
  const onlyDigits = characters.every((one) => "0123456789".includes(one));
  if (unit === "mm" || !onlyDigits || characters.length < 2) {
    return typed;
  }
  const last = characters.pop();
  return [...characters, ".", last].join("");
}

test("the point is placed before the last of two or more digits in inches", () => {
  const placed = ["94", "104", "9", "", "09", "00", "094", "1234"].map((typed) =>
    rules.placePoint(typed, "in"),
  );
  assert.deepEqual(placed, ["9.4", "10.4", "9", "", "0.9", "0.0", "09.4", "123.4"]);
});

test("digits stay as they are in millimetres", () => {
  assert.deepEqual(
    ["", "9", "239", "0239"].map((typed) => rules.placePoint(typed, "mm")),
    ["", "9", "239", "0239"],
  );
});

test("a text with anything but digits is left alone", () => {
  const texts = ["9.4", "9,4", "94 ", " 94", "94in", "94\n", "-94", "9.", ".9", "94\u201d"];
  texts.push("\uff19\uff14");
  assert.deepEqual(texts.map((typed) => rules.placePoint(typed, "in")), texts);
});

test("the point is placed as by hand, whatever is typed", () => {
  const next = seeded(94);
  for (let round = 0; round < 2000; round += 1) {
    const keys = round % 2 ? "0123456789" : "0123456789., i";
    const typed = Array.from({ length: next(6) }, () => keys[next(keys.length)]).join("");
    for (const unit of ["in", "mm"]) {
      assert.equal(rules.placePoint(typed, unit), placedByHand(typed, unit), typed);
    }
  }
});

test("a placed point and the tenth that was meant are the same length", () => {
  for (let tenths = 10; tenths < 1000; tenths += 1) {
    const placed = rules.parseLength(rules.placePoint(String(tenths), "in"), "in");
    assert.equal(placed.hundredths, tenths * 254);
  }
});

// ---------- Whole inches where the point was placed ----------

function placedAndAsked(typed, species = WHITE) {
  const measured = rules.parseLength(rules.placePoint(typed, "in"), "in");
  return rules.lengthQuestions(measured, species, { placedFrom: typed });
}

test("digits that read as likely whole inches are suggested, under the server's code", () => {
  const whole = (number) => [
    {
      code: "length_out_of_range",
      field: "length",
      sentence: `Is this ${number} inches?`,
      suggestion: number,
    },
  ];
  assert.deepEqual(placedAndAsked("12"), whole("12.0"));
  assert.deepEqual(placedAndAsked("19"), whole("19.0"));
  assert.deepEqual(placedAndAsked("09"), whole("9.0"));
  assert.deepEqual(placedAndAsked("012"), whole("12.0"));
});

test("digits that read as likely millimetres are suggested as such", () => {
  assert.deepEqual(placedAndAsked("239"), [
    {
      code: "length_out_of_range",
      field: "length",
      sentence: "Is this 239 mm?",
      suggestion: "239 mm",
    },
  ]);
});

test("a likely length with a placed point is not asked about", () => {
  for (const typed of ["21", "94", "104", "200"]) {
    assert.deepEqual(placedAndAsked(typed), []);
  }
});

test("where whole inches are no likelier the question is the usual one", () => {
  const asked = (text) => rules.lengthQuestions(rules.parseLength(text, "in"), WHITE);
  const [{ sentence }] = asked("0.1");
  assert.equal(sentence, "White crappie here run from 2 to 20 inches. Is 0.1 right?");
  assert.deepEqual(placedAndAsked("01"), asked("0.1"));
  assert.deepEqual(placedAndAsked("1"), asked("1"));
});

test("two digits that may be whole inches or tenths are asked about", () => {
  const bluegill = { ...WHITE, least_hundredths_mm: 2540, most_hundredths_mm: 33020 };
  const asked = (typed) => placedAndAsked(typed, bluegill).map(({ code, suggestion }) => [code, suggestion]);
  assert.deepEqual(asked("10"), [["missing_point", "10.0"]]);
  assert.deepEqual(asked("13"), [["missing_point", "13.0"]]);
  assert.deepEqual(asked("14"), []);
  assert.deepEqual(asked("9"), []);
  assert.deepEqual(asked("94"), []);
  assert.deepEqual(placedAndAsked("20").map(({ suggestion }) => suggestion), ["20.0"]);
});

test("the code is the one that the server gives for the same length", () => {
  for (let typed = 1; typed < 1000; typed += 1) {
    if (typed === 20) continue; // 2.0 or 20: the server sees 2.0 and has nothing to ask
    const digits = String(typed);
    const measured = rules.parseLength(rules.placePoint(digits, "in"), "in");
    const codes = (questions) => questions.map(({ code }) => code);
    assert.deepEqual(codes(placedAndAsked(digits)), codes(rules.lengthQuestions(measured, WHITE)));
  }
});

test("the digits count for nothing where they are no digits, or millimetres were measured", () => {
  const short = rules.parseLength("1.2", "in");
  const usual = rules.lengthQuestions(short, WHITE);
  for (const placedFrom of ["", "1.2", "12345", "x", null]) {
    assert.deepEqual(rules.lengthQuestions(short, WHITE, { placedFrom }), usual);
  }
  const millimetres = rules.parseLength("12.3 mm", "in");
  assert.deepEqual(
    rules.lengthQuestions(millimetres, WHITE, { placedFrom: "12" }),
    rules.lengthQuestions(millimetres, WHITE),
  );
});

// ---------- Numbers ----------

test("a thousand numbers are read back from their groups, and any other last digit is not", () => {
  const next = seeded(2026);
  for (let round = 0; round < 1000; round += 1) {
    const digits = 4 + next(3);
    const sequence = String(1 + next(10 ** digits - 1)).padStart(digits, "0");
    const body = String(next(100)).padStart(2, "0") + sequence;
    const number = body + rules.checkDigit(body);
    const groups = rules.grouped(number);
    assert.match(groups, /^\d\d \d{4,6} \d$/);
    assert.deepEqual(rules.parseVial(groups), { number });
    assert.equal(rules.grouped(groups), groups);
    const wrong = body + ((Number(number.at(-1)) + 1 + next(9)) % 10);
    assert.equal(rules.parseVial(wrong).code, "wrong_check_digit");
  }
});

test("a step there and back comes to the same number", () => {
  const next = seeded(147);
  for (let round = 0; round < 300; round += 1) {
    const by = next(3000);
    const further = rules.step("2601473", by);
    assert.equal(rules.step(further, -by), "2601473");
  }
});

test("groups never throw, and show what is no number as it was", () => {
  for (const text of ["", "26", "x", "\ud800", "26 0147 33333"]) {
    assert.equal(rules.grouped(text), text);
  }
  assert.equal(rules.grouped(undefined), undefined);
  assert.equal(rules.parseVial(undefined).code, "empty");
});

// ---------- What the phone knows of vials ----------

test("a number used on this phone is not offered again, though the list still has it", () => {
  const inHand = ["2601465", "2601473", "2601481"];
  const offered = (lastInParty, used) =>
    rules.nextNumber({ lastInParty, inHand, used, year: 2026 });
  assert.equal(offered("2601465", ["2601465", "2601473"]), "2601481");
  assert.equal(offered("2601481", ["2601481"]), "2601465");
  assert.equal(offered("", inHand), "");
  assert.equal(offered("2601481", inHand), "");
});

test("the year of the season is taken with two digits or four", () => {
  const inHand = ["0500012", "2601473"];
  const offered = (year) => rules.nextNumber({ inHand, year });
  assert.deepEqual([2005, 5, "05"].map(offered), ["0500012", "0500012", "0500012"]);
  assert.equal(offered(2026), "2601473");
});

test("an unreadable last number is followed by the lowest in hand", () => {
  const known = { lastInParty: "26 O147", inHand: ["2601473"], used: [], year: 2026 };
  assert.equal(rules.nextNumber(known), "2601473");
  assert.equal(rules.nextNumber({ ...known, inHand: [] }), "");
});

test("what was passed in stays in its order", () => {
  const inHand = ["2601481", "2601465"];
  const seasons = [
    { starts_on: "2026-11-15", ends_on: "2027-03-15" },
    { starts_on: "2026-04-01", ends_on: "2026-10-31" },
  ];
  rules.nextNumber({ inHand, year: 2026 });
  rules.vialsEnding(inHand, "1");
  rules.seasonFor(seasons, "2026-05-06");
  assert.deepEqual(inHand, ["2601481", "2601465"]);
  assert.equal(seasons[0].starts_on, "2026-11-15");
});

test("a phone that knows no list asks about nothing but its own fish", () => {
  assert.deepEqual(rules.vialQuestions("2601473"), []);
  const [asked] = rules.vialQuestions("2601473", {
    usedHere: new Map([["2601473", "your White crappie of 9.4 in"]]),
    usedBefore: ["2601473"],
  });
  assert.equal(
    asked.sentence,
    "26 0147 3 already has a fish, your White crappie of 9.4 in. Read the label again.",
  );
});

// Numbers that only look random: the same ones at every run.
function seeded(seed) {
  let state = seed;
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}
