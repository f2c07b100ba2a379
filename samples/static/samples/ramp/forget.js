// What is settled and old is let go from the phone; what waits or is to fix never is.

import { HELD, REPLACED, TAKEN, mayBeForgotten } from "./outbox.js";

// Entries that may make room for a new one. A fish whose photo waits is needed to send it.
export async function settledAndDone(app) {
  const withPhoto = idsOf(await app.photos.waiting());
  const over = ({ entry_id: id, state, words }) => [TAKEN, HELD, REPLACED].includes(state) && words.party_id !== app.party?.party_id && !withPhoto.has(id);
  return app.stored.filter(over).map((record) => record.seq);
}

// What is kept of a form is written a moment after its photo.
const BEING_NAMED_MS = 10 * 60 * 1000;

const idsOf = (photos) => new Set(photos.map(({ entry_id: id }) => id));

export async function letGoOfOld(app) {
  const drafts = await Promise.all(["draft", "correction"].map(app.store.inHand));
  await app.photos.dropOtherHalfTyped(drafts.map((draft) => draft?.photo), BEING_NAMED_MS);
  const photos = await app.photos.waiting();
  const withPhoto = idsOf(photos);
  const old = app.stored.filter((record) => mayBeForgotten(record, app.now(), app.party?.party_id) && !withPhoto.has(record.entry_id));
  if (old.length > 0) await app.store.forgetEntries(old.map((record) => record.seq));
  const unsettled = app.stored.filter(({ state }) => state !== TAKEN && state !== REPLACED);
  const inUse = new Set([app.person?.key, ...[...unsettled, ...photos].map(({ person }) => person)]);
  const gone = app.people.filter((person) => app.person && !inUse.has(person.key));
  for (const { key } of gone) {
    await app.store.dropPerson(key);
    await app.forgetTold(key);
  }
}
