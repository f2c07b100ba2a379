// Lengths as the server reads them: whole hundredths of a millimetre, never a fraction.
// One inch is 25.4 mm by definition, so a tenth of an inch is 254 hundredths of a millimetre.

import { trimmed } from "./numbers.js";

// What a tenth of each unit is worth.
export const HUNDREDTHS_PER_TENTH = { in: 254, mm: 10 };

const EXAMPLES = { in: "9.4", mm: "239" };
const TOO_FINE = {
  in: "Give inches to the tenth, like 9.4.",
  mm: "Give millimetres to the tenth at most, like 239.",
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

// Reads a typed length; a unit written in the value wins over the one that was expected.
// Whether the length is likely is not judged here.
export function parseLength(text, unit) {
  const cleaned = trimmed(text.replace(INCH_MARKS, '"').normalize("NFKC")).toLowerCase();
  if (!cleaned) {
    return { code: "empty", sentence: `Give the total length, like ${EXAMPLES[unit]}.` };
  }
  if (SIGNS.test(cleaned)) {
    return { code: "signed", sentence: "Give the length without a plus or minus sign." };
  }
  const said = LENGTH.exec(cleaned)?.groups;
  if (!said || !(said.whole || said.part)) {
    return {
      code: "not_a_length",
      sentence: `Give the length as one number, like ${EXAMPLES[unit]}.`,
    };
  }
  const spelling = said.unit === undefined ? [unit, 0] : SPELLINGS.get(said.unit);
  if (!spelling) {
    return {
      code: "unknown_unit",
      sentence: "Give the length in inches (in) or millimetres (mm).",
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
    return { code: "zero", sentence: "Give a length above 0." };
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
