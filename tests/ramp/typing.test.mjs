// A length as a thumb types it: key by key, with slips, in the middle of the number too.

import assert from "node:assert/strict";
import test from "node:test";

import * as rules from "../../samples/static/samples/ramp/rules.js";

const TENTHS = Array.from({ length: 391 }, (_, place) => place + 10); // 1.0 to 40.0 in

// A field with its caret, as a browser keeps it: keys change the text, then the page answers.
class Field {
  constructor(unit) {
    this.unit = unit;
    this.kept = rules.NOTHING_TYPED;
    this.text = "";
    this.caret = 0;
  }

  change(start, end, inserted) {
    const text = this.text.slice(0, start) + inserted + this.text.slice(end);
    const before = this.kept;
    this.kept = rules.retype(before, text, this.unit);
    [this.text, this.caret] = [rules.lengthShown(this.kept, this.unit), start + inserted.length];
    if (this.text !== text) this.caret = rules.caretIn(before, this.kept, this.unit, text, this.caret);
  }

  // "<" takes back the key before the caret, "^" clears, "[" and "]" move the caret.
  press(keys) {
    for (const key of keys) {
      if (key === "<") this.change(Math.max(0, this.caret - 1), this.caret, "");
      else if (key === "^") this.change(0, this.text.length, "");
      else if (key === "[") this.caret = Math.max(0, this.caret - 1);
      else if (key === "]") this.caret = Math.min(this.text.length, this.caret + 1);
      else this.change(this.caret, this.caret, key);
    }
    return this;
  }

  toStart() {
    this.caret = 0;
    return this;
  }

  get hundredths() {
    return rules.parseLength(this.text, this.unit).hundredths;
  }
}

const typed = (keys, unit = "in") => new Field(unit).press(keys);

function partsOf(tenths) {
  const whole = String(Math.trunc(tenths / 10));
  return { whole, tenth: String(tenths % 10), digits: `${whole}${tenths % 10}` };
}

// Each way of typing a length in inches, from its whole inches and its tenth.
const WAYS_IN_INCHES = {
  point: ({ whole, tenth }) => `${whole}.${tenth}`,
  comma: ({ whole, tenth }) => `${whole},${tenth}`,
  digits: ({ digits }) => digits,
  "point and unit": ({ whole, tenth }) => `${whole}.${tenth}in`,
  "point, space and unit": ({ whole, tenth }) => `${whole}.${tenth} in`,
  "comma and inch mark": ({ whole, tenth }) => `${whole},${tenth}"`,
  "leading zero": ({ whole, tenth }) => `0${whole}.${tenth}`,
  "trailing zero": ({ whole, tenth }) => `${whole}.${tenth}0`,
  "wrong tenth, digits": ({ digits, tenth }) => `${digits.slice(0, -1)}${(Number(tenth) + 3) % 10}<${tenth}`,
  "wrong tenth, point": ({ whole, tenth }) => `${whole}.${(Number(tenth) + 3) % 10}<${tenth}`,
  "point taken back and put again": ({ whole, tenth }) => `${whole}.<.${tenth}`,
  "point taken back and left off": ({ whole, tenth }) => `${whole}.<${tenth}`,
  "one digit too many": ({ digits }) => `${digits}7<`,
  "another length, all taken back by key": ({ whole, tenth }) => `358<<<<${whole}.${tenth}`,
  "another length, cleared": ({ digits }) => `35.8^${digits}`,
  "a unit taken back": ({ whole, tenth }) => `${whole}.${tenth}mm<<`,
  "digits, then the habit of a point put right": ({ digits }) => `${digits}.<`,
};

for (const [way, keysFor] of Object.entries(WAYS_IN_INCHES)) {
  test(`every length from 1.0 to 40.0 in: ${way}`, () => {
    for (const tenths of TENTHS) {
      const keys = keysFor(partsOf(tenths));
      const field = typed(keys);
      assert.equal(field.hundredths, tenths * 254, `${keys} reads ${field.text}`);
    }
  });
}

test("every length, one wrong digit put right in mid-number, with and without its point", () => {
  for (const tenths of TENTHS) {
    const { whole, tenth, digits } = partsOf(tenths);
    for (const keys of [digits, `${whole}.${tenth}`]) {
      for (const [place, key] of [...keys].entries()) {
        if (key === ".") continue;
        const wrong = String((Number(key) + 1) % 10);
        const slip = keys.slice(0, place) + wrong + keys.slice(place + 1);
        const field = typed(slip);
        // The caret is put behind the wrong digit, wherever the point stands by now.
        const shownAt = [...field.text].findIndex((_, at) => field.text.slice(0, at + 1).replaceAll(".", "") === slip.slice(0, place + 1).replaceAll(".", ""));
        field.caret = shownAt + 1;
        field.press(`<${key}`);
        assert.equal(field.hundredths, tenths * 254, `${slip}, then ${key} at ${place}: ${field.text}`);
      }
    }
  }
});

test("every length, its first digit forgotten and put in front", () => {
  for (const tenths of TENTHS.filter((one) => one >= 100)) {
    const { whole, tenth, digits } = partsOf(tenths);
    const byDigits = typed(digits.slice(1)).toStart().press(digits[0]);
    const byPoint = typed(`${whole}.${tenth}`.slice(1)).toStart().press(digits[0]);
    assert.equal(byDigits.hundredths, tenths * 254, `${digits}: ${byDigits.text}`);
    assert.equal(byPoint.hundredths, tenths * 254, `${digits}: ${byPoint.text}`);
  }
});

test("every length in mm and cm, typed into a field of inches and into one of mm", () => {
  for (let mm = 25; mm <= 1016; mm += 1) {
    for (const unit of ["in", "mm"]) {
      const centimeters = `${Math.trunc(mm / 10)}.${mm % 10}cm`;
      for (const keys of [`${mm}mm`, `${mm} mm`, `${mm}.0mm`, centimeters, centimeters.replace(".", ",")]) {
        const field = typed(keys, unit);
        assert.equal(field.hundredths, mm * 100, `${keys} in ${unit}: ${field.text}`);
      }
    }
    for (const keys of [`${mm}`, `${mm}.0`, `${mm}7<`, `${mm}.<`]) {
      assert.equal(typed(keys, "mm").text, keys.replace(/.</, ""));
      assert.equal(typed(keys, "mm").hundredths, mm * 100, keys);
    }
  }
});

test("every tenth of an inch typed with its unit into a field of mm", () => {
  for (const tenths of TENTHS) {
    const { whole, tenth } = partsOf(tenths);
    assert.equal(typed(`${whole}.${tenth}in`, "mm").hundredths, tenths * 254);
  }
});

test("the point stands where the keys put it, at every key", () => {
  const steps = (keys) => [...keys].map((_, place) => typed(keys.slice(0, place + 1)).text);
  assert.deepEqual(steps("10.1"), ["1", "1.0", "10.", "10.1"]);
  assert.deepEqual(steps("101"), ["1", "1.0", "10.1"]);
  assert.deepEqual(steps("10,1"), ["1", "1.0", "10,", "10,1"]);
  assert.deepEqual(steps("25.4cm"), ["2", "2.5", "25.", "25.4", "25.4c", "25.4cm"]);
  assert.deepEqual(steps("101<<<"), ["1", "1.0", "10.1", "1.0", "1", ""]);
});

test("a point that was placed and is taken out stays out until the field is empty", () => {
  const field = typed("10");
  field.press("[<");
  assert.equal(field.text, "10");
  assert.equal(field.hundredths, 100 * 254);
  field.press("]<<94");
  assert.equal(field.text, "9.4");
});

test("taken back from in front of the placed point, a digit goes and not the point", () => {
  const field = typed("101");
  field.caret = 2;
  field.press("<");
  assert.deepEqual([field.text, field.caret], ["1.1", 1]);
  field.press("<");
  assert.deepEqual([field.text, field.caret], ["1", 0]);
});

test("what is pasted, or put in over everything, is read as if typed", () => {
  const field = typed("358");
  field.change(0, field.text.length, "10.1");
  assert.equal(field.text, "10.1");
  field.change(0, field.text.length, "101");
  assert.equal(field.text, "10.1");
});

test("a text that was kept comes back as it stood, and goes on being typed", () => {
  for (const [keys, more, text] of [["10", "1", "10.1"], ["10.", "1", "10.1"], ["9.4", "in", "9.4in"]]) {
    const before = typed(keys);
    const field = new Field("in");
    field.kept = { ...before.kept };
    field.text = rules.lengthShown(field.kept, "in");
    field.caret = field.text.length;
    assert.equal(field.text, before.text);
    assert.equal(field.press(more).text, text);
  }
});
