// When a trip goes on, and what its end is asked about, as the server asks about it.

import { endsWith, grouped, step } from "./numbers.js";
import { localDay } from "./questions.js";

const HOUR_MS = 60 * 60 * 1000;
// A night on the water may end after midnight; a trip that began two days ago is another trip.
const CONTINUED_FOR_MS = 36 * HOUR_MS;
const ON_THE_WATER_MS = 6 * HOUR_MS;
const MOST_SKIPPED = 10;

export function isOfAnotherDay(saidAt, now, timeZone) {
  return localDay(saidAt, timeZone) < localDay(now, timeZone);
}

// Whether a trip of another day is likelier to go on than a new one to begin.
export function likelyGoesOn(saidAt, lastFishAt, now) {
  return now - saidAt <= CONTINUED_FOR_MS && now - (lastFishAt ?? saidAt) <= ON_THE_WATER_MS;
}

// The number at the end of an interview key counted on by one, in as many digits.
export function keyAfter(key) {
  const [digits] = /[0-9]*$/.exec(key);
  if (!digits) return "";
  return key.slice(0, -digits.length) + String(Number(digits) + 1).padStart(digits.length, "0");
}

// ---------- The end ----------

// Vials skipped between the first and the last of a trip: empty, and in this person's hands as
// far as the phone was told. One used on another trip was not skipped here.
export function skippedIn(numbers, { used = new Set(), inHand = [] } = {}) {
  const sorted = [...numbers].sort();
  const gone = new Set([...sorted, ...used]);
  const mine = new Set(inHand);
  const skipped = [];
  for (let number = sorted[0]; number && number < sorted.at(-1) && skipped.length < MOST_SKIPPED; number = step(number, 1)) {
    if (!gone.has(number) && (mine.size === 0 || mine.has(number))) skipped.push(number);
  }
  return skipped;
}

export function doubledIn(numbers) {
  const sorted = [...numbers].sort();
  return [...new Set(sorted.filter((number, place) => number === sorted[place - 1]))];
}

// Asks about vials that are off by one, doubled, skipped or miscounted, the likeliest first.
// `last`: the digits on the vial that was filled last, as far as they were typed.
export function closingQuestions(inHand, last, { numbers, skipped = [], doubled = [] }) {
  const logged = numbers.at(-1);
  const differs = Boolean(logged && last) && !endsWith(logged, last);
  const more = inHand - numbers.length;
  // A fish that was not logged, or logged twice, moves all after it and the count with them.
  const fits = [1, -1].filter((by) => more === 0 || more === by);
  const off = differs && fits.some((by) => endsWith(step(logged, by) ?? "", last));
  const asked = [];
  if (off) asked.push(question("vials_off_by_one", "last_number", `The last fish was logged in ${grouped(logged)}. Are the vials off by one?`));
  if (doubled.length > 0) asked.push(question("vial_doubled", "count_in_hand", `${listed(doubled)} ${doubled.length === 1 ? "has" : "have"} two fish. Which vial is the other fish in?`));
  if (skipped.length > 0) asked.push(question("vials_skipped", "count_in_hand", `${listed(skipped)} ${skipped.length === 1 ? "was skipped. Is it" : "were skipped. Are they"} empty?`));
  if (inHand !== numbers.length) asked.push(question("count_differs", "count_in_hand", `${inHand} in hand, but ${numbers.length} logged with a vial. Check the vials against the list.`));
  if (differs && !off) asked.push(question("last_number_differs", "last_number", `The last fish was logged in ${grouped(logged)}. Read the last label again.`));
  return asked;
}

const listed = (numbers) => numbers.map(grouped).join(", ");

function question(code, field, sentence) {
  return { code, field, sentence, suggestion: null };
}
