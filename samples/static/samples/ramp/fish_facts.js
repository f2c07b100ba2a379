// What a fish's form says: its facts, what is wrong with them, and what is asked about them.
// No page: everything is passed in.

import { errorIn, valueOf } from "./fields.js";
import { speciesOf } from "./lists.js";
import { digitsOf } from "./outbox.js";
import * as rules from "./rules.js";

const LAST_DIGITS = 5;
const MOST_OFFERED = 3;

// `values`: the fields as typed, with `species`, `sex` and `noVial`. `vials`: what this phone
// knows of vials, `fields`: the fields of a fish. A question with `stands: false` has no answer that keeps what was typed.
export function readFish(values, { lake, vials, placedFrom, fields }) {
  const errors = {};
  const questions = [];
  const kind = speciesOf(lake, values.species);
  if (!kind) errors.species = fields.species.error;
  const vial = readVial(values, { lake, vials }, errors, questions);
  const measured = readLength(values.length, { unit: lake.length_unit, kind, placedFrom }, errors, questions);
  const folded = Object.keys(fields).filter((name) => fields[name].folded);
  const weighed = values.weight_g ? rules.parseWeight(values.weight_g, lake.weight_unit ?? "g") : {};
  const said = { ...values, weight_g: String(weighed.grams ?? "") };
  for (const name of ["sex", ...folded]) {
    const sentence = errorIn(fields[name], said[name]);
    if (sentence) errors[name] = sentence;
  }
  if (weighed.sentence) errors.weight_g = weighed.sentence;
  const spines = kind && values.spines && !errors.spines ? rules.spineQuestion(Number(values.spines), kind) : null;
  if (spines) questions.push(spines);
  const facts = {
    vial,
    species: kind?.code,
    length: measured.asMeasured,
    unit: measured.unit,
    sex: values.sex,
    ...Object.fromEntries(folded.map((name) => [name, valueOf(fields[name], said[name])])),
  };
  return { errors, questions, facts, kind };
}

function readLength(text, { unit, kind, placedFrom }, errors, questions) {
  const measured = rules.parseLength(text, unit);
  if (measured.code) {
    errors.length = measured.sentence;
    if (kind) questions.push(...rules.unreadableLengthQuestions(text, unit, kind).map((one) => ({ ...one, stands: false })));
  } else if (kind) {
    questions.push(...rules.lengthQuestions(measured, kind, { placedFrom }));
  }
  return measured;
}

// ---------- The vial ----------

// The last digits are enough: the number of the one vial in hand that ends so, else of the one
// that has a fish of this phone, which is then asked about.
export function vialMeant(text, { free, left, usedHere }) {
  const typed = digitsOf(text);
  if (!isEnding(typed)) return undefined;
  const fitting = emptyEnding(typed, { free, left });
  const used = rules.vialsEnding([...usedHere.keys()], typed);
  if (fitting.length > 0) return fitting.length === 1 ? fitting[0] : undefined;
  return used.length === 1 ? used[0] : undefined;
}

// One of the trip's year first; another only where none of them ends so.
function emptyEnding(digits, { free, left }) {
  const ofYear = rules.vialsEnding(left, digits);
  return ofYear.length > 0 ? ofYear : rules.vialsEnding(free, digits);
}

const isEnding = (typed) => /^[0-9]+$/.test(typed) && typed.length <= LAST_DIGITS;

function readVial({ vial: typed, noVial }, { lake, vials }, errors, questions) {
  if (noVial) return "";
  if (!typed) {
    errors.vial = lake.for_others ? "Enter the vial number, or choose No vial." : `Enter the number on the vial's label${suchAs(vials.left)}.`;
    return "";
  }
  const text = vialMeant(typed, vials) ?? typed;
  const parsed = rules.parseVial(text);
  const offers = rules.near(typed, vials.left).slice(0, MOST_OFFERED).map(rules.grouped);
  if (parsed.code === "wrong_check_digit") {
    questions.push({ ...parsed, field: "vial", suggestion: null, offers });
  } else if (parsed.code) {
    errors.vial = isEnding(digitsOf(typed)) ? endingSentence(digitsOf(typed), vials) : parsed.sentence;
    if (offers.length > 0) questions.push(oneOf(offers));
  } else {
    questions.push(...rules.vialQuestions(parsed.number, vials));
  }
  return parsed.number ? rules.grouped(parsed.number) : typed;
}

const suchAs = ([first]) => (first ? `, such as ${rules.grouped(first)}` : "");

function endingSentence(digits, vials) {
  const fitting = emptyEnding(digits, vials).map(rules.grouped);
  if (fitting.length === 0) return rules.noVialEndsSo(digits, vials.left[0]);
  return `${fitting.length} vials in your hands end in ${digits}: ${fitting.join(", ")}. Enter the whole number.`;
}

function oneOf(offers) {
  const sentence = offers.length > 1 ? "Is it one of these?" : "Is it this one?";
  return { code: "unreadable_vial", field: "vial", sentence, suggestion: null, offers, stands: false };
}
