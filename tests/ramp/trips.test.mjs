// A person's trips: what the phone wrote down with what the office has, on one day and the next.

import assert from "node:assert/strict";
import test from "node:test";

import * as outbox from "../../samples/static/samples/ramp/outbox.js";
import { step } from "../../samples/static/samples/ramp/rules.js";
import { doubledIn, skippedIn } from "../../samples/static/samples/ramp/trip_rules.js";
import { rowsOf, standingOf, tripsOf, withOffice } from "../../samples/static/samples/ramp/trips.js";

const { HELD, REFUSED, TAKEN, WAITING } = outbox;
const ZONE = "America/Chicago";
const at = (hour, day = 6) => `2026-05-${String(day).padStart(2, "0")}T${String(hour).padStart(2, "0")}:00:00-05:00`;
const ms = (text) => Date.parse(text);

function record(seq, words, more = {}) {
  const id = more.entry_id ?? `id-${seq}`;
  const state = more.state ?? WAITING;
  const settled_at = state === TAKEN || state === HELD ? ms(words.written_at ?? at(9)) : undefined;
  return { seq, entry_id: id, person: "7", state, settled_at, words: { entry_id: id, party_id: "p", written_at: at(9), ...words }, ...more };
}

const opened = (seq, words = {}, more = {}) => record(seq, { kind: "party_opened", lake: "orrin", arm: "Brindle", ...words }, { entry_id: words.party_id ?? "p", ...more });
const fish = (seq, vial, more = {}, words = {}) => record(seq, { kind: "fish", vial, species: "white-crappie", length: "9.1", unit: "in", sex: "F", ...words }, more);
const [ONE, TWO, THREE, FOUR, FIVE] = [0, 1, 2, 3, 4].map((by) => step("2600018", by));

const officeFish = (id, vial, more = {}) => ({ entry_id: id, vial, species: "white-crappie", length: "9.1", unit: "in", sex: "F", spines: null, told_by: "", weight_g: null, confirmed: [], written_at: at(10), received: false, ...more });
const officeTrip = (more = {}) => ({ ...{ party_id: "p", lake: "orrin", arm: "Brindle", reach: "", caught_on: "2026-05-06", method: "angler_kept", how_chosen: "every_fish", interview_key: "" }, opened_at: at(9), spoken_of_at: at(9), closed_at: null, fish: [], counts: [], ...more });
const person = (trips, lists_at = ms(at(12))) => ({ key: "7", lists: { trips }, lists_at });
const shown = (records, partyId = "p") => outbox.fishOf(records, partyId, step).filter((one) => !one.withdrawn).map((one) => [one.entry_id, one.words.vial, one.words.length]);

// ---------- With the office ----------

test("a trip that was started with signal is the one in hand here, with its fish", () => {
  const all = withOffice([], person([officeTrip({ fish: [officeFish("a", ONE)], counts: [{ entry_id: "c", species: "white-crappie", count: 4, written_at: at(10) }] })]));

  assert.equal(outbox.openParty(all, "7").arm, "Brindle");
  assert.deepEqual(shown(all), [["a", ONE, "9.1"]]);
  assert.equal(outbox.countsOf(all, "p").length, 1);
  assert.equal(outbox.counts(all, "7", new Date(at(0))).sent, 2);
  assert.equal("reach" in outbox.openParty(all, "7"), false);
});

test("of two trips the one opened last is in hand, wherever it was opened", () => {
  const here = [opened(1, { written_at: at(8), party_id: "mine" }, { state: TAKEN })];

  const later = withOffice(here, person([officeTrip({ opened_at: at(9) })]));
  const earlier = withOffice(here, person([officeTrip({ opened_at: at(7) })]));

  assert.equal(outbox.openParty(later, "7").party_id, "p");
  assert.equal(outbox.openParty(earlier, "7").party_id, "mine");
});

test("a clock that was put back changes nothing in the order of this phone's own trips", () => {
  const here = [opened(1, { written_at: at(9, 7) }, { state: TAKEN }), opened(2, { written_at: at(9, 6), party_id: "q" }, { state: TAKEN })];
  const trips = [officeTrip({ opened_at: at(9, 7) }), officeTrip({ party_id: "q", opened_at: at(9, 6) })];

  assert.equal(outbox.openParty(withOffice(here, person(trips, ms(at(12, 8)))), "7").party_id, "q");
});

test("a trip that was ended elsewhere is ended here, and one reopened there is open", () => {
  const here = [opened(1, {}, { state: TAKEN })];
  const ended = [...here, record(2, { kind: "party_closed", written_at: at(11) }, { state: TAKEN })];

  assert.equal(outbox.openParty(withOffice(here, person([officeTrip({ closed_at: at(11) })])), "7"), undefined);
  assert.equal(outbox.openParty(withOffice(ended, person([officeTrip()])), "7").party_id, "p");
});

test("what waits here is newer than what the office has, and stands", () => {
  const here = [opened(1, {}, { state: TAKEN }), fish(2, ONE, { state: TAKEN }), record(3, { kind: "correction", about_entry_id: "id-2", vial: ONE, length: "9.9" }), record(4, { kind: "party_closed" })];

  const all = withOffice(here, person([officeTrip({ fish: [officeFish("id-2", ONE), officeFish("other", TWO)] })]));

  assert.deepEqual(shown(all).map(([id, , length]) => [id, length]), [["id-2", "9.9"], ["other", "9.1"]]);
  assert.equal(outbox.openParty(all, "7"), undefined);
});

test("corrected and deleted at the form, a fish reads so here", () => {
  const here = [opened(1, {}, { state: TAKEN }), fish(2, ONE, { state: TAKEN }), fish(3, TWO, { state: TAKEN }), fish(4, THREE, { state: HELD }), fish(5, FOUR, { state: REFUSED })];

  const all = withOffice(here, person([officeTrip({ fish: [officeFish("id-2", ONE, { length: "9.7", received: true })] })]));

  assert.deepEqual(shown(all), [["id-2", ONE, "9.7"], ["id-4", THREE, "9.1"]]);
  assert.deepEqual(rowsOf(all, "p").map((row) => [row.n, row.entry_id, row.received ?? false, Boolean(row.fix)]), [
    [1, "id-2", true, false],
    [2, "id-4", false, false],
    [3, "id-5", false, true],
  ]);
});

test("a correction and a shift made here hold though the other clock is ahead", () => {
  const here = [record(1, { kind: "correction", about_entry_id: "a", vial: ONE, length: "9.9" }), record(2, { kind: "shift", from_vial: ONE, by: 1 })];

  const all = withOffice(here, person([officeTrip({ opened_at: at(23), fish: [officeFish("a", ONE, { written_at: at(23) }), officeFish("b", THREE, { written_at: at(23) })] })]));

  assert.deepEqual(shown(all), [["a", TWO, "9.9"], ["b", FOUR, "9.1"]]);
});

test("lists that were asked for before an answer came say nothing of what it was about", () => {
  const here = [opened(1, {}, { state: TAKEN }), fish(2, ONE, { state: TAKEN, settled_at: ms(at(12)) + 1 })];

  assert.deepEqual(shown(withOffice(here, person([officeTrip()]))), [["id-2", ONE, "9.1"]]);
});

test("a held fish that the office settled stands once", () => {
  const here = [opened(1, {}, { state: TAKEN }), fish(2, ONE, { state: HELD })];

  assert.deepEqual(shown(withOffice(here, person([officeTrip({ fish: [officeFish("id-2", TWO)] })]))), [["id-2", TWO, "9.1"]]);
});

test("nobody else's entries are touched", () => {
  const other = opened(1, { party_id: "x" }, { person: "8" });

  assert.deepEqual(withOffice([other], undefined), [other]);
  assert.deepEqual(withOffice([other], person([])), [other]);
});

// ---------- Days ----------

const now = (hour, day = 6) => new Date(at(hour, day));

test("a trip is asked about once a day has begun at the lake, and not again that day", () => {
  const records = [opened(1)];
  const party = outbox.openParty(records, "7");
  const carried = { party_id: "p", at: ms(at(8, 7)) };

  assert.equal(standingOf(records, party, now(23), ZONE), undefined);
  assert.deepEqual(standingOf(records, party, now(8, 7), ZONE), { fish: 0, goesOn: false });
  assert.equal(standingOf(records, party, now(20, 7), ZONE, carried), undefined);
  assert.deepEqual(standingOf(records, party, now(1, 8), ZONE, carried), { fish: 0, goesOn: false });
  assert.deepEqual(standingOf(records, party, now(8, 7), ZONE, { ...carried, party_id: "q" }), { fish: 0, goesOn: false });
});

test("after midnight with a fish of the evening it goes on; after 36 hours it does not", () => {
  const records = [opened(1), fish(2, ONE, {}, { written_at: at(23) })];
  const late = [opened(1), fish(2, ONE, {}, { written_at: at(22, 7) })];
  const party = outbox.openParty(records, "7");

  assert.deepEqual(standingOf(records, party, now(1, 7), ZONE), { fish: 1, goesOn: true });
  assert.deepEqual(standingOf(records, party, now(6, 7), ZONE), { fish: 1, goesOn: false });
  assert.deepEqual(standingOf(late, party, now(23, 7), ZONE), { fish: 1, goesOn: false });
});

test("a trip that was changed or reopened today is of today", () => {
  const records = [opened(1), record(2, { kind: "party_changed", arm: "Hobbin", written_at: at(7, 7) })];

  assert.equal(standingOf(records, outbox.openParty(records, "7"), now(8, 7), ZONE), undefined);
});

const mayReopen = (records) => ["p", "q"].filter((id) => outbox.mayBeReopened(records, "7", id));
const ended = [opened(1), record(2, { kind: "party_closed" })];
const later = [...ended, opened(3, { party_id: "q" })];
const inLater = (words) => record(4, { kind: "fish", party_id: "q", vial: TWO, ...words });

test("no trip is reopened once a later one has fish: it would never be the one in hand", () => {
  const withFish = [...later, inLater()];

  assert.deepEqual(mayReopen(ended), ["p"]);
  assert.deepEqual(mayReopen(withFish), ["q"]);
  assert.deepEqual(mayReopen([...withFish, record(5, { kind: "party_closed", party_id: "q" })]), ["q"]);
  assert.deepEqual(mayReopen([...later, inLater({ kind: "unmeasured_count", count: 4 })]), ["q"]);
  assert.deepEqual(mayReopen([...later, { ...inLater(), state: REFUSED }]), ["q"]);
  assert.deepEqual(mayReopen(withOffice(ended, person([officeTrip({ closed_at: at(10) }), officeTrip({ party_id: "q", opened_at: at(11), fish: [officeFish("a", ONE)] })]))), ["q"]);
  assert.deepEqual(mayReopen([...ended, opened(3, { party_id: "q" }, { person: "8" })]), ["p"]);
});

test("a later trip without a fish keeps none from being reopened, and ended is not in the way", () => {
  const deleted = [...later, inLater(), record(5, { kind: "withdrawal", party_id: "q", about_entry_id: "id-4" })];
  const again = [...deleted, record(6, { kind: "party_closed", party_id: "q" }), record(7, { kind: "party_changed", arm: "Brindle", reopen: "yes", written_at: at(13) })];
  const there = (spoken_of_at) => person([officeTrip({ spoken_of_at }), officeTrip({ party_id: "q", opened_at: at(11), spoken_of_at: at(11), closed_at: at(12) })], ms(at(14)));

  assert.deepEqual(mayReopen(later), ["p", "q"]);
  assert.deepEqual(mayReopen(deleted), ["p", "q"]);
  assert.equal(outbox.openParty(deleted, "7").party_id, "q");
  assert.equal(outbox.openParty(again, "7").party_id, "p");
  assert.equal(outbox.openParty(withOffice([], there(at(13))), "7").party_id, "p");
  // One that nobody ended, and nobody spoke of since, stays where it is.
  assert.equal(outbox.openParty(withOffice([], there(at(9))), "7"), undefined);
  assert.equal(outbox.openParty(ended, "7"), undefined);
});

test("a closed trip that is reopened is open, and closed again it is closed", () => {
  const closed = [opened(1), record(2, { kind: "party_closed" })];
  const again = [...closed, record(3, { kind: "party_changed", arm: "Brindle", reopen: "yes" })];

  assert.equal(outbox.openParty(closed, "7"), undefined);
  assert.equal(outbox.openParty(again, "7").reopen, undefined);
  assert.equal(outbox.openParty(again, "7").arm, "Brindle");
  assert.equal(outbox.openParty([...again, record(4, { kind: "party_closed" })], "7"), undefined);
  assert.deepEqual(tripsOf(closed, "7").map(({ party, closing, fish: count }) => [party.arm, closing.seq, count]), [["Brindle", 2, 0]]);
  assert.deepEqual(tripsOf([...closed, record(4, { kind: "unmeasured_count", count: 4 }), record(5, { kind: "unmeasured_count", count: 3 })], "7").map(({ counted }) => counted), [7]);
});

// ---------- The end ----------

test("skipped are empty vials in this person's hands, not those of another trip or of others", () => {
  assert.deepEqual(skippedIn([ONE, FIVE]), [TWO, THREE, FOUR]);
  assert.deepEqual(skippedIn([FIVE, ONE], { used: new Set([TWO]), inHand: [TWO, THREE] }), [THREE]);
  assert.deepEqual(skippedIn([], { inHand: [ONE] }), []);
  assert.deepEqual(skippedIn([ONE, TWO]), []);
});

test("doubled are vials with more than one fish, each told once", () => {
  assert.deepEqual(doubledIn([TWO, ONE, TWO, TWO]), [TWO]);
  assert.deepEqual(doubledIn([ONE, TWO]), []);
});

test("a tally that was taken back no longer counts", () => {
  const records = [record(1, { kind: "unmeasured_count", count: 4 }), record(2, { kind: "unmeasured_count", count: 2 }), record(3, { kind: "withdrawal", about_entry_id: "id-1" })];

  assert.deepEqual(outbox.countsOf(records, "p").map(({ words }) => words.count), [2]);
  assert.equal(outbox.counts(records.map((one) => ({ ...one, state: TAKEN, settled_at: ms(at(9)) })), "7", new Date(at(0))).sent, 1);
});
