// Lengths as the server reads them: whole hundredths of a millimetre, never a fraction.
// One inch is 25.4 mm by definition, so a tenth of an inch is 254 hundredths of a millimetre.

import { trimmed } from "./numbers.js";

// What a tenth of each unit is worth.
export const HUNDREDTHS_PER_TENTH = { in: 254, mm: 10 };

const NAMES = { in: "inches", mm: "mm" };
const EXAMPLES = { in: "10.1", mm: "257" };
const TOO_FINE = {
  in: "Enter inches to the tenth, such as 10.1.",
  mm: "Enter mm to the tenth at most, such as 257.",
};

// Every way of writing a unit, with the unit that is kept and how many places the point moves.
const SPELLINGS = new Map([
  ...['"', "in", "in.", "inch", "inches"].map((word) => [word, ["in", 0]]),
  ...["mm", "mm.", "millimetre", "millimetres", "millimeter", "millimeters"].map((word) => [
    word,
    ["mm", 0],
  ]),
  ...["cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"].map((word) => [
    word,
    ["mm", 1],
  ]),
]);

// Phones put curly quotes and primes where an inch mark was meant; two single ones are one mark.
const INCH_MARKS = /[\u2033\u201c\u201d\u201e\u02ba]|[\u2032\u2018\u2019']{2}/g;
const SIGNS = /[-+\u2010-\u2015\u2212]/;
const LENGTH =
  /^(?<whole>[0-9]*)(?:[ \t-\r]*[.,][ \t-\r]*(?<part>[0-9]*))?[ \t-\r]*(?<unit>"|[a-z]+\.?)?$/;
// Longer than any fish even where the point was left out (39.4 in typed as 394).
const MOST_WHOLE_DIGITS = 4;

// Puts the point before the last digit as inches are typed on a digit pad: 94 is 9.4, 104 is
// 10.4. Whoever types a point, a comma or a unit is left alone.
export function placePoint(typed, unit) {
  if (unit !== "in" || !/^[0-9]{2,}$/.test(typed)) {
    return typed;
  }
  return `${typed.slice(0, -1)}.${typed.slice(-1)}`;
}

// ---------- The length as it is typed ----------

// `keys`: what was typed, without a point that was placed for it. `plain`: the placed point was
// taken out again, and none is placed until the field is empty.
export const NOTHING_TYPED = Object.freeze({ keys: "", plain: false });

export function lengthShown({ keys, plain }, unit) {
  return plain ? keys : placePoint(keys, unit);
}

// The digits for which the point was placed, or "" where it was typed or none stands.
export function digitsPlaced(typed, unit) {
  return lengthShown(typed, unit) === typed.keys ? "" : typed.keys;
}

// Return what is typed by now, where the field shows `text` after a key. Only what the key
// changed is taken from the text: a point that the page had placed was never typed.
export function retype(typed, text, unit) {
  const { shown, start, end, point } = changeTo(text, typed, unit);
  const kept = (from, to) => shown.slice(from, to).replace(from <= point && point < to ? "." : /$^/, "");
  const inserted = text.slice(start, text.length - end);
  const keys = kept(0, start) + inserted + kept(shown.length - end, shown.length);
  const pointTaken = start <= point && point < shown.length - end && !inserted;
  const anythingStays = start + end > 0;
  return { keys, plain: keys !== "" && anythingStays && (typed.plain || pointTaken) };
}

// Where the key fell: what stands before it and behind it is as it was.
function changeTo(text, typed, unit) {
  const shown = lengthShown(typed, unit);
  const point = shown === typed.keys ? -1 : shown.length - 2;
  const most = Math.min(shown.length, text.length);
  let start = 0;
  while (start < most && shown[start] === text[start]) start += 1;
  let end = 0;
  while (end < most - start && shown.at(-1 - end) === text.at(-1 - end)) end += 1;
  return { shown, start, end, point };
}

// Where the caret belongs once the field shows what is `typed` by now, when the key left it at
// `caret` of `text`. It never stands right behind a placed point: taking back would take the point.
export function caretIn(before, typed, unit, text, caret) {
  const { shown, start, end, point } = changeTo(text, before, unit);
  const stays = point >= 0 && (point < start || point >= shown.length - end);
  const pointNow = point < start ? point : point - shown.length + text.length;
  const keysBehind = text.length - caret - (stays && pointNow >= caret ? 1 : 0);
  const at = typed.keys.length - keysBehind;
  return at === typed.keys.length ? lengthShown(typed, unit).length : at;
}

// ---------- Reading ----------

// Reads a typed length; a unit written in the value wins over the one that was expected.
// Whether the length is likely is not judged here.
export function parseLength(text, unit) {
  const cleaned = trimmed(text.replace(INCH_MARKS, '"').normalize("NFKC")).toLowerCase();
  if (!cleaned) {
    return { code: "empty", sentence: `Enter length in ${NAMES[unit]}, such as ${EXAMPLES[unit]}.` };
  }
  if (SIGNS.test(cleaned)) {
    return { code: "signed", sentence: "Enter length without a plus or minus sign." };
  }
  const said = LENGTH.exec(cleaned)?.groups;
  if (!said || !(said.whole || said.part)) {
    return {
      code: "not_a_length",
      sentence: `Enter length as one number, such as ${EXAMPLES[unit]}.`,
    };
  }
  const spelling = said.unit === undefined ? [unit, 0] : SPELLINGS.get(said.unit);
  if (!spelling) {
    return {
      code: "unknown_unit",
      sentence: "Enter length in inches (in) or millimeters (mm).",
    };
  }
  return measured(said.whole.replace(/^0+/, "") || "0", said.part ?? "", ...spelling);
}

function measured(whole, part, unit, places) {
  if (whole.length > MOST_WHOLE_DIGITS) {
    return { code: "too_long", sentence: "This length has too many digits. Measure again." };
  }
  const digits = part.padEnd(places + 1, "0");
  if (/[1-9]/.test(digits.slice(places + 1))) {
    return { code: "too_fine", sentence: TOO_FINE[unit] };
  }
  const tenths = Number(whole + digits.slice(0, places + 1));
  if (tenths === 0) {
    return { code: "zero", sentence: "Enter a length above 0." };
  }
  // 10.0 says that the tenth was read, and 24.0 cm does not.
  const asMeasured = places === 0 && part ? withTenth(tenths) : plain(tenths);
  return { hundredths: tenths * HUNDREDTHS_PER_TENTH[unit], unit, asMeasured };
}

export function withTenth(tenths) {
  return `${Math.trunc(tenths / 10)}.${tenths % 10}`;
}

// A whole number stands without a point: 17, not 17.0.
export function plain(tenths) {
  return tenths % 10 === 0 ? String(tenths / 10) : withTenth(tenths);
}
