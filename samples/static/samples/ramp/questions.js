// Slips that are asked about before a fish is saved, as the server asks about them. Nothing here
// refuses: every question can be answered with "yes, it is right", under the question's code.

import { HUNDREDTHS_PER_TENTH, plain, withTenth } from "./lengths.js";
import { grouped } from "./numbers.js";

const WORDS = { in: "inches", mm: "mm" };
// The likeliest first: the first slip whose mending gives a likely length is asked about. What
// undoes it is given for a length in tenths.
const SLIPS = [
  { code: "missing_point", takenIn: "in", meantIn: "in", mend: (tenths) => tenths / 10 },
  { code: "millimetres_meant", takenIn: "in", meantIn: "mm", mend: (tenths) => tenths },
  { code: "missing_point", takenIn: "mm", meantIn: "mm", mend: (tenths) => tenths / 10 },
  { code: "inches_meant", takenIn: "mm", meantIn: "in", mend: (tenths) => tenths },
  { code: "centimetres_meant", takenIn: "mm", meantIn: "mm", mend: (tenths) => tenths * 10 },
];
const MONTHS = [
  ...["January", "February", "March", "April", "May", "June"],
  ...["July", "August", "September", "October", "November", "December"],
];

function question(code, field, sentence, suggestion = null) {
  return { code, field, sentence, suggestion };
}

// ---------- Length ----------

// Asks about a length outside what the species runs to here, both ends being inside. Where the
// point was placed for digits alone, `placedFrom` holds those digits: they may be whole inches, or mm.
export function lengthQuestions(measured, species, { placedFrom = "" } = {}) {
  const { least_hundredths_mm: least, most_hundredths_mm: most } = species;
  if (least == null || most == null) {
    return [];
  }
  if (within(measured.hundredths, species)) {
    return wholeInchesMeant(measured, species, placedFrom);
  }
  const asked = mendable(measured, species) ?? outOfRange(measured, species);
  return [digitsMeant(asked, measured, species, placedFrom) ?? asked];
}

function within(hundredths, species) {
  return species.least_hundredths_mm <= hundredths && hundredths <= species.most_hundredths_mm;
}

function mendable({ asMeasured, unit }, species) {
  const pointTyped = asMeasured.includes(".");
  const tenths = Number(pointTyped ? asMeasured.replace(".", "") : `${asMeasured}0`);
  for (const { code, takenIn, meantIn, mend } of SLIPS) {
    // A point that was typed was not forgotten.
    if (takenIn !== unit || (code === "missing_point" && pointTyped)) {
      continue;
    }
    const meant = mend(tenths);
    if (within(meant * HUNDREDTHS_PER_TENTH[meantIn], species)) {
      const number = meantIn === "in" ? withTenth(meant) : plain(meant);
      const suggestion = meantIn === takenIn ? number : `${number} ${meantIn}`;
      return question(code, "length", `Is this ${number} ${WORDS[meantIn]}?`, suggestion);
    }
  }
  return null;
}

function outOfRange({ asMeasured, unit }, species) {
  const tenth = HUNDREDTHS_PER_TENTH[unit];
  const shortest = plain(roundedHalfToEven(species.least_hundredths_mm, tenth));
  const longest = plain(roundedHalfToEven(species.most_hundredths_mm, tenth));
  const sentence =
    `${species.name} here run from ${shortest} to ${longest} ${WORDS[unit]}. ` +
    `Is ${asMeasured} right?`;
  return question("length_out_of_range", "length", sentence);
}

function roundedHalfToEven(value, step) {
  const below = Math.floor(value / step);
  const twice = 2 * (value - below * step);
  const up = twice > step || (twice === step && below % 2 === 1);
  return up ? below + 1 : below;
}

// Keeps the code of what the server asks about the same length, so that "yes" is known there.
function digitsMeant(asked, { unit }, species, placedFrom) {
  if (unit !== "in" || !/^[0-9]{1,4}$/.test(placedFrom)) {
    return null;
  }
  const inches = withTenth(Number(placedFrom) * 10);
  if (within(Number(placedFrom) * 10 * HUNDREDTHS_PER_TENTH.in, species)) {
    return question(asked.code, "length", `Is this ${inches} inches?`, inches);
  }
  if (within(Number(placedFrom) * 10 * HUNDREDTHS_PER_TENTH.mm, species)) {
    return question(asked.code, "length", `Is this ${placedFrom} mm?`, `${placedFrom} mm`);
  }
  return null;
}

// Ten, typed as 10, reads 1.0: where both are likely nobody but the person can tell. The server
// sees a likely length and asks nothing, so the answer goes under a code that it knows.
function wholeInchesMeant({ unit }, species, placedFrom) {
  const twoDigits = unit === "in" && /^[1-9][0-9]$/.test(placedFrom);
  if (!twoDigits || !within(Number(placedFrom) * 10 * HUNDREDTHS_PER_TENTH.in, species)) {
    return [];
  }
  const inches = `${placedFrom}.0`;
  return [question("missing_point", "length", `Is this ${inches} inches?`, inches)];
}

// Offers the likely length where a point stands in the wrong place: 1.01 or 1.0.1 for 10.1. The
// digits are read as tenths of an inch, or as whole millimeters.
export function unreadableLengthQuestions(text, unit, species) {
  const { least_hundredths_mm: least, most_hundredths_mm: most } = species;
  const typed = text.normalize("NFKC").replace(/[., \t-\r]+/g, "");
  if (least == null || most == null || !/^[1-9][0-9]{1,3}$/.test(typed)) {
    return [];
  }
  const tenths = unit === "in" ? Number(typed) : Number(typed) * 10;
  if (!within(tenths * HUNDREDTHS_PER_TENTH[unit], species)) {
    return [];
  }
  const meant = unit === "in" ? withTenth(tenths) : plain(tenths);
  return [question("point_misplaced", "length", `Is this ${meant} ${WORDS[unit]}?`, meant)];
}

// ---------- Spines ----------

// The species is never changed: a count alone may not tell a hybrid.
export function spineQuestion(spines, species) {
  if (spines == null) {
    return null;
  }
  const { name, spines_least: least, spines_most: most } = species;
  const low = least != null && spines < least;
  const high = most != null && spines > most;
  if (!low && !high) {
    return null;
  }
  const sentence =
    `${name}: ${spineRange(least, most)} on the top fin, and ${spines} ` +
    "counted. The first is short and easily missed. Is the species right?";
  return question("spines_do_not_fit", "species", sentence);
}

function spineRange(least, most) {
  if (least == null) {
    return `${most} spines or fewer`;
  }
  return most == null ? `${least} spines or more` : `${least} to ${most} spines`;
}

// ---------- Dates: all are written 2026-05-06, which sorts as the days do ----------

export function dayText(day) {
  const [year, month, date] = day.split("-").map(Number);
  return `${MONTHS[month - 1]} ${date}, ${year}`;
}

// The calendar day of an instant in a lake's time zone, whatever the phone's own is.
export function localDay(instant, timeZone) {
  const written = new Intl.DateTimeFormat("en-US", {
    timeZone,
    calendar: "gregory",
    numberingSystem: "latn",
    year: "numeric",
    month: "2-digit",
    day: "2-digit",
  }).formatToParts(instant);
  const part = Object.fromEntries(written.map(({ type, value }) => [type, value]));
  return `${part.year}-${part.month}-${part.day}`;
}

// Asks about a catch date after today at the lake, of an earlier year, or outside the season. The
// phone's clock may be wrong, so a date in the future is never refused.
export function dateQuestions(caughtOn, today, season) {
  if (caughtOn > today) {
    const sentence = "The date is after today. When was the fish caught?";
    return [question("date_in_future", "caught_on", sentence)];
  }
  if (caughtOn.slice(0, 4) < today.slice(0, 4) && daysBetween(caughtOn, today) > HALF_A_YEAR_DAYS) {
    return [yearSlip(caughtOn, today)];
  }
  const { starts_on: start, ends_on: end } = season ?? {};
  const before = start != null && caughtOn < start;
  const after = end != null && caughtOn > end;
  if (!before && !after) {
    return [];
  }
  const sentence =
    `${dayText(caughtOn)} is outside the season${span(start, end)}. ` +
    "When was the fish caught?";
  return [question("date_out_of_season", "caught_on", sentence)];
}

// Fish of the last weeks may still be of another year; a year typed wrongly is further away.
const HALF_A_YEAR_DAYS = 183;
const DAY_MS = 24 * 60 * 60 * 1000;

const daysBetween = (one, other) => (Date.parse(other) - Date.parse(one)) / DAY_MS;

function yearSlip(caughtOn, today) {
  const years = Number(today.slice(0, 4)) - Number(caughtOn.slice(0, 4));
  const ago = years === 1 ? "last year" : `${years} years ago`;
  const meant = today.slice(0, 4) + caughtOn.slice(4);
  const exists = new Date(meant).getUTCDate() === Number(meant.slice(8));
  const sentence = `${dayText(caughtOn)} is ${ago}. When was the fish caught?`;
  return question("date_last_year", "caught_on", sentence, exists && meant <= today ? meant : null);
}

function span(start, end) {
  if (start != null && end != null) {
    return `, ${dayText(start)} to ${dayText(end)}`;
  }
  return start != null ? `, from ${dayText(start)}` : `, to ${dayText(end)}`;
}

// The season a day falls in, else the last that began before it, else the first.
export function seasonFor(seasons, day) {
  const inOrder = [...seasons].sort((one, other) => byText(one.starts_on, other.starts_on));
  const begun = inOrder.filter((season) => season.starts_on <= day);
  return begun.find((season) => day <= season.ends_on) ?? begun.at(-1) ?? inOrder[0] ?? null;
}

function byText(one, other) {
  return Number(one > other) - Number(one < other);
}

// ---------- Vials ----------

// Asks about a number that already has a fish, is of another year's run, or is in nobody's hands
// that this phone knows of. `year` is the one that the season's numbers carry, `ofTrip` the vials
// of this trip: a run that was agreed to is not asked about again.
// `usedHere` tells what this phone logged under a number, such as "your White of 9.4 in".
export function vialQuestions(number, { inHand = [], usedHere = new Map(), usedBefore = [], year, ofTrip = [] } = {}) {
  const words = grouped(number);
  if (usedHere.has(number) || usedBefore.includes(number)) {
    const fish = usedHere.get(number);
    const told = fish ? `, ${fish}` : "";
    const sentence = `${words} already has a fish${told}. Read the label again.`;
    return [question("vial_used", "vial", sentence)];
  }
  const run = number.slice(0, 2);
  const season = year === undefined ? run : String(Number(year) % 100).padStart(2, "0");
  if (run !== season && !ofTrip.some((other) => other.startsWith(run))) {
    const sentence = `${words} is a vial of 20${run}. Vials of this trip start with ${season}. Is that the number on the label?`;
    return [question("vial_other_year", "vial", sentence)];
  }
  // A phone that was told of no vials cannot know whose this one is.
  if (inHand.length === 0 || inHand.includes(number)) {
    return [];
  }
  const sentence = `${words} was not issued to you. Is that the number on the label?`;
  return [question("vial_elsewhere", "vial", sentence)];
}
