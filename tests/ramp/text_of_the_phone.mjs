// Prints the text that the phone gives of entries, which come in by the standard input.

import { readFileSync } from "node:fs";

import { asText } from "../../samples/static/samples/ramp/export.js";

const { person, entries } = JSON.parse(readFileSync(0, "utf8"));
const names = { people: { [person]: "R. Ostrow" }, species: {}, sexes: {}, methods: {} };
console.log(asText(entries.map((words) => ({ person, words })), names, "May 6, 2026"));
