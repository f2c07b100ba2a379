// The fields of entries as the server has them, from the page: what each is called, what it takes,
// and what is said where it does not. Written once, in samples/ramp/entry/facts.py.

import { make } from "./dom.js";

let known;

export function fieldsOf(kind) {
  known ??= JSON.parse(document.getElementById("entry-fields").textContent);
  return known[kind];
}

// The sentence about what is wrong with a text, or nothing. Rules across fields are elsewhere.
export function errorIn({ required, error, limits, choices }, text) {
  if (!text) return required ? error : undefined;
  return isTaken(text, limits, choices) ? undefined : error;
}

function isTaken(text, { type, format, minimum, maximum }, choices) {
  if (choices.length > 0) return choices.some(({ code }) => code === text);
  if (format === "date") return /^\d{4}-\d{2}-\d{2}$/.test(text);
  return type !== "integer" || isWhole(text, minimum, maximum);
}

const isWhole = (text, least, most) => /^[0-9]+$/.test(text) && Number(text) >= least && Number(text) <= most;

// A text as an entry has it: whole numbers as numbers, and nothing where nothing was typed.
export const valueOf = ({ limits }, text) => (limits.type === "integer" && text ? Number(text) : text);

// The facts that are seldom written down, as fields of the page. The boxes of a weight are another
// module's: they follow the lake's unit.
export function makeFolded(kind, place) {
  const folded = Object.entries(fieldsOf(kind)).filter(([, one]) => one.folded);
  place.append(...folded.map(([name, one]) => fieldOf(name, one)));
  return folded.map(([name]) => name);
}

const SHORT = 80;

function fieldOf(name, { label, hint, limits, choices }) {
  const id = `fish-${name}`;
  const small = hint ? make("small", {}, ` ${hint}`) : null;
  return make("div", { className: "field", dataset: { field: name } }, make("label", { className: "field-label", htmlFor: id }, label, small), make("div", { className: "box" }, inputOf(id, name, limits, choices)));
}

function inputOf(id, name, { type, maxLength }, choices) {
  const options = choices.map(({ code, name: words }) => make("option", { value: code }, words));
  if (options.length > 0) return make("select", { id, name }, ...options);
  if (maxLength > SHORT) return make("textarea", { id, name, maxLength, rows: 2 });
  return make("input", { id, name, inputMode: type === "integer" ? "numeric" : "text", ...(maxLength && { maxLength }) });
}
