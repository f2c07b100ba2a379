// What waits, as text: to copy, to share, or to photograph. The office pastes it in.
// The numbered lines are for eyes; the lines that begin with a brace are for the paste page.

import { sexInWords } from "./lists.js";
import { digitsOf } from "./outbox.js";
import { grouped } from "./rules.js";

const KINDS = {
  party_opened: "Trip started",
  party_changed: "Trip changed",
  party_closed: "Trip ended",
  correction: "Correction",
  withdrawal: "Deleted",
  shift: "Vials off by one",
  unmeasured_count: "Counted, not measured",
};

// `about` finds the words of the entry that another one is about.
export function asText(records, names, today, about) {
  const people = [...new Set(records.map((record) => record.person))];
  const who = people.map((key) => names.people[key] ?? `person ${key}`).join(", ");
  const count = records.length === 1 ? "1 entry" : `${records.length} entries`;
  return [
    `Earstone: ${count} of ${who}, not sent from a phone, ${today}`,
    ...records.map((record, place) => `${place + 1}. ${inWords(record.words, names, about)}`),
    "For the office, to paste in as it is:",
    ...records.map(({ person, words }) => JSON.stringify({ by: person, entry: veiled(words) })),
    "",
  ].join("\n");
}

// A donor's name is not for every eye that a text passes: it goes along, and is not read.
function veiled({ donor_name: name, ...words }) {
  if (!name) return words;
  return { ...words, donor_name_veiled: btoa(String.fromCharCode(...new TextEncoder().encode(name))) };
}

export function inWords(words, names, about = () => undefined) {
  const head = KINDS[words.kind];
  const parts = {
    fish: () => [fishInWords(words, names)],
    correction: () => [head, fishInWords(words, names)],
    party_opened: () => [head, placeInWords(words), names.methods[words.method]],
    party_changed: () => [head, placeInWords(words), names.methods[words.method]],
    party_closed: () => [head, counted(words.count_in_hand)],
    withdrawal: () => [head, deletedInWords(about(words.about_entry_id), names)],
    shift: () => [head, `from ${grouped(digitsOf(words.from_vial))} on`, Number(words.by) > 0 ? "to the next vial" : "to the vial before"],
    unmeasured_count: () => [head, `${words.count} ${names.species[words.species] ?? words.species}`],
  };
  const [first, ...rest] = (parts[words.kind] ?? (() => [head]))().filter(Boolean);
  return rest.length > 0 ? `${first}: ${rest.join(", ")}` : first;
}

function deletedInWords(words, names) {
  if (words?.kind === "fish" || words?.kind === "correction") return fishInWords(words, names);
  return words && inWords(words, names);
}

const counted = (count) => (count === undefined ? "" : `${count} in hand`);

function fishInWords(words, names) {
  const vial = words.vial ? grouped(digitsOf(words.vial)) : "Fish without a vial";
  const kind = names.species[words.species] ?? words.species;
  const weight = words.weight_g && `${words.weight_g} g`;
  const tag = words.tag_number && `tag ${words.tag_number}`;
  return [vial, `${kind} ${words.length} ${words.unit}`, sexInWords(words.sex, names.sexes), weight, tag, words.note].filter(Boolean).join(", ");
}

const placeInWords = ({ arm, reach, caught_on: day }) => [arm, reach, day].filter(Boolean).join(", ");
