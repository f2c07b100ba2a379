// The outbox: what was written down, what goes next, and what an answer means.
// No page, no network, no clock of its own: everything is passed in, and Node's runner tests it.

// From 2 on, a question that the server asks back can be answered.
export const APP = 2;
export const SCHEMA = 1;
export const BATCH = 25;
const FORGET_AFTER_MS = 14 * 24 * 60 * 60 * 1000;
const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 5 * 60_000;

// Where an entry stands. "sending" is written before it goes out: what is found so at a start
// was cut off, and may have arrived.
export const WAITING = "waiting";
export const SENDING = "sending";
export const TAKEN = "taken";
export const HELD = "held";
export const REFUSED = "refused";
export const REPLACED = "replaced";

const ARRIVED = new Map([["logged", TAKEN], ["already_logged", TAKEN], ["held", HELD]]);
const OF_FISH = new Set(["fish", "unmeasured_count"]);

// ---------- Ids and times ----------

// RFC 9562, version 7: 48 bits of milliseconds, then version, variant and 74 random bits.
export function uuid7(ms, randomBytes) {
  const bytes = new Uint8Array(16);
  bytes.set(randomBytes.subarray(0, 10), 6);
  let rest = Math.floor(ms);
  for (let place = 5; place >= 0; place -= 1) {
    bytes[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

// The phone's own clock with its offset, to the second: 2026-05-06T17:30:00-05:00.
export function writtenAt(date) {
  const away = -date.getTimezoneOffset();
  const two = (number) => String(Math.trunc(Math.abs(number))).padStart(2, "0");
  const local = new Date(date.getTime() + away * 60_000).toISOString().slice(0, 19);
  return `${local}${away < 0 ? "-" : "+"}${two(away / 60)}:${two(away % 60)}`;
}

// ---------- Writing down ----------

// `facts` are the words of the kind: vial, length, arm ... What was not said is left out. Only a
// party that is opened may name itself: whatever else had none would wait at the office for it.
export function newEntry(kind, facts, { person, partyId, now, zone, newId }) {
  if (!partyId && kind !== "party_opened") throw new Error("No trip is open. Start a trip first.");
  const entryId = newId();
  const said = Object.entries(facts).filter(([, value]) => value !== "" && value != null);
  const words = {
    kind,
    schema: SCHEMA,
    entry_id: entryId,
    party_id: partyId ?? entryId,
    written_at: writtenAt(now),
    zone,
    signed_in: person,
    app: APP,
    ...Object.fromEntries(said),
  };
  return { entry_id: entryId, person, state: WAITING, words, tries: 0, maybe_there: false, reason: "", errors: {} };
}

// ---------- What goes next ----------

// At a start: what was cut off on its way out waits again, and may have arrived.
export function recover(records) {
  const cutOff = records.filter((record) => record.state === SENDING);
  return cutOff.map((record) => ({ ...record, state: WAITING, maybe_there: true }));
}

// The person whose entries go next: the one who wrote first of those whose phone token holds.
export function nextPerson(records, maySend) {
  return mayGo(records).find((record) => maySend(record.person))?.person;
}

// The oldest entries of one person, in the order in which they were written.
export function nextBatch(records, person, size = BATCH) {
  return mayGo(records)
    .filter((record) => record.person === person)
    .slice(0, size);
}

// How many entries of a person go as soon as there is a way to the office.
export function sendable(records, person) {
  return records.filter((one) => one.person === person && one.state === SENDING).length + mayGo(records).filter((one) => one.person === person).length;
}

// What waits, but for fish of a party that the office has not taken yet: without it they would
// be held there one by one. They follow as soon as it was taken.
function mayGo(records) {
  const openings = records.filter(({ words }) => words.kind === "party_opened");
  const untaken = openings.filter(({ state }) => [WAITING, SENDING, REFUSED].includes(state));
  const first = new Set(untaken.map(({ words }) => words.party_id));
  return inOrder(records).filter(({ state, words }) => state === WAITING && (words.kind === "party_opened" || !first.has(words.party_id)));
}

function inOrder(records) {
  return [...records].sort((one, other) => one.seq - other.seq);
}

export function asBody(batch) {
  return { entries: batch.map((record) => record.words) };
}

export function onItsWay(record) {
  return { ...record, state: SENDING, tries: record.tries + 1 };
}

// ---------- What an answer means ----------

// Read what came back. Only the answer of our own server counts: a page of a hotel's network,
// a sign-in page or half an answer are all the same trouble, and everything is kept.
export function readAnswer({ status, type, text, retryAfter }, batch) {
  const words = /^application\/json\b/.test(type ?? "") ? parsed(text) : undefined;
  if (status === 401 || status === 403) return { kind: words ? "link_needed" : "trouble" };
  if (status === 429 && words) return { kind: "too_often", waitMs: Math.min(LONGEST_WAIT_MS, (Number(retryAfter) || 60) * 1000) };
  if (status === 400 || status === 413 || status === 422) {
    return words ? { kind: "batch_refused" } : { kind: "trouble" };
  }
  if (status !== 200 || !Array.isArray(words?.results)) return { kind: "trouble" };
  const wanted = new Set(batch.map((record) => record.entry_id));
  const results = words.results.filter((result) => wanted.has(result?.entry_id));
  if (results.length === 0) return { kind: "trouble" };
  return { kind: "answered", results, updateNeeded: words.oldest_app > APP };
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

// What becomes of each entry of a batch. One that got no answer of its own waits again.
export function settle(batch, results, now) {
  const byId = new Map(results.map((result) => [result.entry_id, result]));
  return batch.map((record) => settled(record, byId.get(record.entry_id), now));
}

function settled(record, result, now) {
  const state = ARRIVED.get(result?.outcome);
  if (state) {
    return { ...record, state, reason: result.reason ?? "", errors: {}, settled_at: now.getTime() };
  }
  if (result?.outcome === "refused") {
    return { ...record, state: REFUSED, reason: result.reason ?? "", errors: result.errors ?? {} };
  }
  return backInQueue(record);
}

// No answer is no refusal: it may be there, and goes again.
export function backInQueue(record) {
  return { ...record, state: WAITING, maybe_there: true };
}

// The server could not read a batch at all: halve it until the one entry is found, which stays
// with its person.
export function afterBatchRefused(batch, now) {
  if (batch.length > 1) return batch.map(backInQueue);
  const [record] = batch;
  return [{ ...record, state: REFUSED, reason: "unreadable", errors: {}, settled_at: now.getTime() }];
}

export function smaller(size) {
  return Math.max(1, Math.floor(size / 2));
}

// How long to wait before the next try: longer each time, and never all phones at once.
export function waitBefore(tries, random) {
  const longest = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(tries, 10));
  return Math.round(longest / 2 + (random() * longest) / 2);
}

// What is settled and old is let go; what waits or needs a look never is.
export function mayBeForgotten(record, now, openPartyId) {
  const over = [TAKEN, HELD, REPLACED].includes(record.state);
  if (!over || record.words.party_id === openPartyId) return false;
  return now.getTime() - (record.settled_at ?? now.getTime()) > FORGET_AFTER_MS;
}

// ---------- What the page shows ----------

// Fish of everybody on this phone that wait; of this person those with the office, of today or of
// the trip in hand, and those to fix.
export function counts(records, person, since, partyId) {
  const waits = records.filter((record) => record.state === WAITING || record.state === SENDING);
  const own = records.filter((record) => record.person === person);
  const deleted = new Set(standing(own).filter(({ words }) => words.kind === "withdrawal").map(({ words }) => words.about_entry_id));
  const counted = (record) => record.settled_at >= since.getTime() || record.words.party_id === partyId;
  const arrived = own.filter((record) => [TAKEN, HELD].includes(record.state) && counted(record));
  return {
    onPhone: waits.filter(isFish).length,
    notes: waits.filter((record) => !isFish(record)).length,
    ofOthers: waits.filter((record) => record.person !== person).length,
    sent: arrived.filter((record) => isFish(record) && !deleted.has(record.entry_id)).length,
    needLook: own.filter((record) => record.state === REFUSED).length,
  };
}

function isFish(record) {
  return OF_FISH.has(record.words.kind);
}

// The party that is open: opened last by this person and not closed, as it reads by now. One that
// was ended without a fish is not in the way of the one before it, if that was reopened since.
export function openParty(records, person) {
  const own = records.filter((record) => record.person === person);
  const ids = partyIds(own);
  const partyId = ids.findLast((id) => !closingOf(own, id) || !isEmpty(own, id));
  if (partyId !== ids.at(-1) && !(spokenOf(own, partyId) >= spokenOf(own, ids.at(-1)))) return undefined;
  return !partyId || closingOf(own, partyId) ? undefined : partyOf(own, partyId);
}

// Whether every party that this person opened later has no fish: else another is the one in hand.
export function mayBeReopened(records, person, partyId) {
  const own = records.filter((record) => record.person === person);
  const ids = partyIds(own);
  return ids.includes(partyId) && ids.slice(ids.indexOf(partyId) + 1).every((id) => isEmpty(own, id));
}

const spokenOf = (own, partyId) => Date.parse(partyOf(own, partyId)?.written_at);

const partyIds = (own) => standing(own).filter(({ words }) => words.kind === "party_opened").map(({ words }) => words.party_id);

function isEmpty(own, partyId) {
  const here = own.filter(({ words }) => words.party_id === partyId);
  const logged = fishOf(here, partyId, (vial) => vial).some((fish) => !fish.withdrawn);
  return !logged && countsOf(here, partyId).length === 0 && !here.some((record) => isFish(record) && record.state === REFUSED);
}

// The entry that closed a party, unless it was reopened after it.
export function closingOf(records, partyId) {
  const ends = ({ words }) => words.kind === "party_closed" || words.reopen === "yes";
  const last = standing(records).filter((record) => record.words.party_id === partyId && ends(record)).at(-1);
  return last?.words.kind === "party_closed" ? last : undefined;
}

// A party as it reads by now, open or closed.
export function partyOf(records, partyId) {
  const said = standing(records).filter((record) => record.words.party_id === partyId);
  const opened = said.find((record) => record.words.kind === "party_opened");
  const changes = said.filter((record) => record.words.kind === "party_changed");
  return opened && changes.reduce(changed, opened.words);
}

// A change says the whole party anew, but for what it cannot change: left out is taken out.
function changed({ lake, interview_key, donor_name }, { words: { reopen: _reopen, ...words } }) {
  return { lake, interview_key, donor_name, ...words, kind: "party_opened" };
}

// The fish of a party as they read by now, oldest first: corrected, shifted, taken back.
export function fishOf(records, partyId, stepVial) {
  const fish = new Map();
  for (const record of standing(records).filter((one) => one.words.party_id === partyId)) {
    const { kind, about_entry_id: about } = record.words;
    if (kind === "fish") {
      fish.set(record.entry_id, { entry_id: record.entry_id, seq: record.seq, words: record.words, state: record.state, received: record.received ?? false, held: record.state === HELD, withdrawn: false });
    } else if (kind === "correction" && fish.has(about)) {
      const before = fish.get(about);
      fish.set(about, { ...before, words: { ...record.words, entry_id: about, kind: "fish" }, state: record.state, changed: true });
    } else if (kind === "withdrawal" && fish.has(about)) {
      fish.set(about, { ...fish.get(about), withdrawn: true });
    } else if (kind === "shift") {
      shiftAll(fish, record.words, stepVial);
    }
  }
  return [...fish.values()];
}

// A fish that the office is checking is in no vial of theirs: it is not moved with the others.
export const isMovable = ({ words, held, withdrawn }) => Boolean(words.vial) && !held && !withdrawn;

function shiftAll(fish, { from_vial: from, by }, stepVial) {
  const start = digitsOf(from);
  for (const [id, one] of fish) {
    const vial = digitsOf(one.words.vial);
    if (vial >= start && isMovable(one)) {
      fish.set(id, { ...one, words: { ...one.words, vial: stepVial(vial, Number(by)) ?? vial } });
    }
  }
}

// What was counted and not measured in a party, but for what was taken back.
export function countsOf(records, partyId) {
  const said = standing(records).filter(({ words }) => words.party_id === partyId);
  const undone = new Set(said.filter(({ words }) => words.kind === "withdrawal").map(({ words }) => words.about_entry_id));
  return said.filter(({ entry_id: id, words }) => words.kind === "unmeasured_count" && !undone.has(id));
}

export function digitsOf(text) {
  return String(text ?? "").replaceAll(/\s/g, "");
}

// Entries that hold: what was refused or replaced says nothing until it is put right. A party
// that was refused is still the one in hand: its fish go on being written down.
function standing(records) {
  return inOrder(records).filter(({ state, words }) => {
    if (state === REFUSED) return words.kind === "party_opened";
    return state !== REPLACED;
  });
}
