// What is settled and old is let go from the phone; what waits or is to fix never is.

import { HELD, REPLACED, TAKEN, mayBeForgotten } from "./outbox.js";

// Entries that may make room for a new one.
export function settledAndDone(app) {
  const over = ({ state, words }) => [TAKEN, HELD, REPLACED].includes(state) && words.party_id !== app.party?.party_id;
  return app.stored.filter(over).map((record) => record.seq);
}

export async function letGoOfOld(app) {
  const old = app.stored.filter((record) => mayBeForgotten(record, app.now(), app.party?.party_id));
  if (old.length > 0) await app.store.forgetEntries(old.map((record) => record.seq));
  const inUse = new Set([app.person?.key, ...app.stored.filter(({ state }) => state !== TAKEN && state !== REPLACED).map(({ person }) => person)]);
  // A photo that waits goes under its person's name too.
  for (const { person } of await app.photos.waiting()) inUse.add(person);
  const gone = app.people.filter((person) => app.person && !inUse.has(person.key));
  for (const { key } of gone) {
    await app.store.dropPerson(key);
    await app.forgetTold(key);
  }
}
