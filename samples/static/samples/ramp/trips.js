// The trips of a person: what this phone wrote down, and what the office has of it.

import * as outbox from "./outbox.js";
import { step } from "./rules.js";
import { isOfAnotherDay, likelyGoesOn } from "./trip_rules.js";

const { HELD, REFUSED, TAKEN } = outbox;

// ---------- With the office ----------

// Put in what the office has and this phone has not: a trip started on the pages that need signal
// or on another phone. Where nothing of a trip waits here, the office's words are the newer ones.
export function withOffice(records, person) {
  const own = records.filter((record) => record.person === person?.key);
  const seqs = new Map(own.map((record) => [record.entry_id, record.seq]));
  const dropped = new Set();
  const added = [];
  for (const trip of person?.lists?.trips ?? []) {
    const here = own.filter((record) => record.words.party_id === trip.party_id);
    const there = asRecords(trip, person.key, own, seqs);
    const ids = new Set(there.map((record) => record.entry_id));
    if (here.every((record) => wasSettledBefore(record, person.lists_at))) {
      for (const record of here) if (record.state === TAKEN || ids.has(record.entry_id)) dropped.add(record);
      added.push(...there);
    } else {
      added.push(...there.filter((record) => !seqs.has(record.entry_id) && record.words.kind !== "party_closed"));
    }
  }
  return [...records.filter((record) => !dropped.has(record)), ...added];
}

function wasSettledBefore({ state, settled_at: at }, listsAt) {
  return state === REFUSED || ([TAKEN, HELD, outbox.REPLACED].includes(state) && at < (listsAt ?? 0));
}

function asRecords({ party_id: partyId, opened_at: opened, spoken_of_at: spoken, closed_at: closed, fish, counts, ...party }, person, own, seqs) {
  const here = own.filter(({ words }) => words.party_id === partyId);
  const first = ownOpening(here) ?? Math.min(placeOf(own, opened), before(here));
  const record = (id, seq, words, more) => ({ entry_id: id, seq, person, state: TAKEN, words: { ...plain(words), entry_id: id, party_id: partyId }, settled_at: Date.parse(words.written_at), office: true, ...more });
  const moved = here.filter(({ state, words }) => words.kind === "shift" && state !== TAKEN);
  const placed = (id, at) => seqs.get(id) ?? Math.min(Math.max(placeOf(own, at), first), before([...moved, ...here.filter(({ words }) => words.about_entry_id === id)]));
  const records = [record(partyId, first, { kind: "party_opened", written_at: spoken, ...party })];
  for (const { received, ...words } of fish) records.push(record(words.entry_id, placed(words.entry_id, words.written_at), { kind: "fish", ...words }, { received }));
  for (const words of counts) records.push(record(words.entry_id, placed(words.entry_id, words.written_at), { kind: "unmeasured_count", ...words }));
  if (closed) records.push(record(`${partyId} closed`, Math.max(placeOf(own, closed), first), { kind: "party_closed", written_at: closed }));
  return records;
}

const plain = (words) => Object.fromEntries(Object.entries(words).filter(([, value]) => value !== "" && value !== null));

const ownOpening = (here) => here.find(({ words }) => words.kind === "party_opened")?.seq;

// The clocks of two phones differ: whatever an entry of this one is about stands before it.
const before = (records) => Math.min(...records.map(({ seq }) => seq)) - 0.5;

// Behind whatever was written here before it; entries of this phone keep their own order.
function placeOf(own, at) {
  const earlier = own.filter(({ words }) => Date.parse(words.written_at) <= Date.parse(at));
  return Math.max(0, ...earlier.map(({ seq }) => seq)) + 0.5;
}

// ---------- The trip in hand ----------

// How an open trip stands on another day than its own, unless it was carried on today.
export function standingOf(records, party, now, timeZone, carriedOn) {
  const saidAt = new Date(party.written_at);
  if (Number.isNaN(saidAt.getTime()) || !isOfAnotherDay(saidAt, now, timeZone)) return undefined;
  if (carriedOn?.party_id === party.party_id && !isOfAnotherDay(new Date(carriedOn.at), now, timeZone)) return undefined;
  const fish = outbox.fishOf(records, party.party_id, step).filter((one) => !one.withdrawn);
  const last = fish.map(({ words }) => Date.parse(words.written_at)).filter((at) => at <= now.getTime());
  return { fish: fish.length, goesOn: likelyGoesOn(saidAt, last.length > 0 ? Math.max(...last) : undefined, now) };
}

// ---------- Lists ----------

// The fish of a trip in the order logged, each with its number, its state and what is to fix.
export function rowsOf(records, partyId) {
  const fish = outbox.fishOf(records, partyId, step).filter((one) => !one.withdrawn);
  const refused = records.filter(({ state, words }) => state === REFUSED && words.party_id === partyId);
  const fixes = new Map(refused.filter(({ words }) => words.kind === "correction").map((record) => [record.words.about_entry_id, record]));
  const rows = fish.map((one) => ({ ...one, fix: fixes.get(one.entry_id) }));
  for (const record of refused.filter(({ words }) => words.kind === "fish")) rows.push({ ...record, fix: record });
  return rows.sort((one, other) => one.seq - other.seq).map((row, place) => ({ ...row, n: place + 1 }));
}

// Every trip of a person that this phone knows, the last first.
export function tripsOf(records, person) {
  const own = records.filter((record) => record.person === person);
  const opened = own.filter(({ state, words }) => words.kind === "party_opened" && state !== outbox.REPLACED);
  return opened
    .sort((one, other) => other.seq - one.seq)
    .map(({ words: { party_id: id } }) => ({ party: outbox.partyOf(own, id), closing: outbox.closingOf(own, id), fish: rowsOf(own, id).length, counted: countedIn(own, id) }));
}

const countedIn = (own, partyId) => outbox.countsOf(own, partyId).reduce((sum, { words }) => sum + Number(words.count), 0);
