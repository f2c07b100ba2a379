// The pick lists as the page asks for them: of a lake, by code, and what is still in hand.

import { isOfYear } from "./numbers.js";
import { REFUSED, digitsOf, fishOf } from "./outbox.js";
import { seasonFor, step } from "./rules.js";

export const lakesOf = (person) => person?.lists?.lakes ?? [];

export function lakeOf(person, slug) {
  return lakesOf(person).find((lake) => lake.lake === slug) ?? lakesOf(person)[0];
}

export const speciesOf = (lake, code) => lake?.species.find((one) => one.code === code);

const byCode = (options = []) => Object.fromEntries(options.map(({ code, name }) => [code, name]));

const NOT_KNOWN = "U";

// `sexes`: the names of the codes. Read beside a species, "not known" would be about that.
export const sexInWords = (code, sexes) => (code === NOT_KNOWN ? "sex not known" : (sexes[code] ?? code).toLowerCase());

// Names for codes, to read an entry aloud.
export function namesFor(people) {
  const lists = people.map((person) => person.lists).filter(Boolean);
  const species = lists.flatMap((one) => one.lakes).flatMap((lake) => lake.species);
  return {
    people: Object.fromEntries(people.map((person) => [person.key, person.name])),
    species: Object.fromEntries(species.map((one) => [one.code, one.name])),
    methods: byCode(lists[0]?.methods),
    sexes: byCode(lists[0]?.sexes),
  };
}

// Every fish of one person on this phone that stands, with its vial.
export function ownFish(records, person) {
  const own = records.filter((record) => record.person === person);
  const parties = [...new Set(own.map((record) => record.words.party_id))];
  return parties.flatMap((partyId) => fishOf(own, partyId, step)).filter((fish) => !fish.withdrawn);
}

// `party`: the trip that a vial is asked for, which says the year of its run. `free` are all the
// empty ones in hand, `left` those of that year.
export function vialsOf(person, records, exceptEntry, party) {
  // A fish that was not accepted is in its vial all the same.
  const toFix = records.filter((record) => record.person === person.key && record.state === REFUSED && record.words.kind === "fish");
  const here = [...ownFish(records, person.key), ...toFix].filter((fish) => fish.words.vial && fish.entry_id !== exceptEntry);
  const names = namesFor([person]);
  const usedHere = new Map(here.map(({ words }) => [digitsOf(words.vial), inShort(words, names)]));
  // A vial that this phone gave back is free again, whatever the list of this morning says.
  const freed = freedHere(records, person.key, usedHere);
  const usedBefore = (person.lists?.vials_used ?? []).filter((number) => !freed.has(number));
  const inHand = [...new Set([...(person.lists?.vials_in_hand ?? []), ...freed])].sort();
  const ofTrip = here.filter(({ words }) => words.party_id === party?.party_id).map(({ words }) => digitsOf(words.vial));
  const year = party && seasonOf(lakeOf(person, party.lake), party.caught_on)?.number_year;
  const free = inHand.filter((number) => !usedHere.has(number));
  const left = year === undefined ? free : free.filter((number) => isOfYear(number, year));
  return { usedHere, usedBefore, inHand, year, ofTrip, free, left };
}

function freedHere(records, person, usedHere) {
  const said = records.filter((record) => record.person === person && record.words.vial);
  const numbers = said.map((record) => digitsOf(record.words.vial));
  return new Set(numbers.filter((number) => !usedHere.has(number) && /^[0-9]{7,9}$/.test(number)));
}

const inShort = (words, names) => `your ${names.species[words.species] ?? "fish"} of ${words.length} ${words.unit}`;

export const seasonOf = (lake, day) => seasonFor(lake?.seasons ?? [], day);
