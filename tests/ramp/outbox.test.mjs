// The phone's outbox as plain reckoning: ids, order, what an answer means, how a party reads.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import test from "node:test";

import * as outbox from "../../samples/static/samples/ramp/outbox.js";

const { WAITING, SENDING, TAKEN, HELD, REFUSED, REPLACED } = outbox;
const NOW = new Date("2026-05-06T17:30:00Z");
const DAY_MS = 24 * 60 * 60 * 1000;
const PARTY = "party-1";

function record(seq, words = {}, more = {}) {
  const id = `id-${seq}`;
  return {
    seq,
    entry_id: id,
    person: "7",
    state: WAITING,
    words: { kind: "fish", entry_id: id, party_id: PARTY, ...words },
    tries: 0,
    maybe_there: false,
    reason: "",
    errors: {},
    ...more,
  };
}

const ids = (records) => records.map((one) => one.entry_id);
const answer = (status, body, type = "application/json") => ({ status, type, text: typeof body === "string" ? body : JSON.stringify(body) });
const logged = (...records) => records.map((one) => ({ entry_id: one.entry_id, outcome: "logged", reason: "", errors: {} }));

// ---------- Ids ----------

function bytesOf(hex) {
  return Uint8Array.from(hex.match(/../g), (pair) => Number.parseInt(pair, 16));
}

// RFC 9562, Appendix A.6: unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F.
test("the id of the standard's own example is made", () => {
  const random = bytesOf("0cc3" + "18c4dc0c0c07398f");

  assert.equal(outbox.uuid7(0x017f22e279b0, random), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("version and variant stand whatever chance gives, and every other bit is chance's", () => {
  const none = outbox.uuid7(0, new Uint8Array(10));
  const all = outbox.uuid7(0xffffffffffff, new Uint8Array(10).fill(255));

  assert.equal(none, "00000000-0000-7000-8000-000000000000");
  assert.equal(all, "ffffffff-ffff-7fff-bfff-ffffffffffff");
});

test("ids sort by the time at which they were made", () => {
  const chance = (byte) => new Uint8Array(10).fill(byte);
  const times = [0, 1, 255, 256, 2 ** 32 - 1, 2 ** 32, 1_778_088_600_000, 1_778_088_600_001.7, 2 ** 47];
  const made = times.map((ms, place) => outbox.uuid7(ms, chance(255 - place)));

  assert.deepEqual([...made].sort(), made);
  assert.equal(new Set(made).size, times.length);
});

test("the bytes of chance are left as they were", () => {
  const random = new Uint8Array(10).fill(255);

  outbox.uuid7(1, random);

  assert.deepEqual(random, new Uint8Array(10).fill(255));
});

// ---------- The phone's clock ----------

function writtenIn(zone, instant) {
  const module = new URL("../../samples/static/samples/ramp/outbox.js", import.meta.url);
  const script = `import { writtenAt } from ${JSON.stringify(module.href)}; console.log(writtenAt(new Date("${instant}")));`;
  const ran = spawnSync(process.execPath, ["--input-type=module", "--eval", script], { env: { ...process.env, TZ: zone }, encoding: "utf8" });
  assert.equal(ran.status, 0, ran.stderr);
  return ran.stdout.trim();
}

for (const [zone, instant, wanted] of [
  ["America/Chicago", "2026-05-06T22:30:00.987Z", "2026-05-06T17:30:00-05:00"],
  ["America/Chicago", "2026-01-01T03:00:00Z", "2025-12-31T21:00:00-06:00"],
  ["Asia/Kathmandu", "2026-05-06T22:30:00Z", "2026-05-07T04:15:00+05:45"],
  ["America/St_Johns", "2026-01-06T22:30:00Z", "2026-01-06T19:00:00-03:30"],
  ["UTC", "2026-05-06T22:30:00Z", "2026-05-06T22:30:00+00:00"],
]) {
  test(`a phone in ${zone} writes its own time with its offset`, () => {
    const written = writtenIn(zone, instant);

    assert.equal(written, wanted);
    assert.equal(new Date(written).getTime(), Math.floor(new Date(instant).getTime() / 1000) * 1000);
  });
}

// ---------- Writing down ----------

test("an entry carries who, when and what was said, and leaves out what was not", () => {
  const made = outbox.newEntry(
    "fish",
    { vial: "26 0001 8", length: "9.4", spines: "", weight_g: undefined, told_by: null, count: 0 },
    { person: "7", partyId: PARTY, now: NOW, zone: "America/Chicago", newId: () => "one" },
  );

  const { written_at: written, ...words } = made.words;
  assert.deepEqual(words, {
    ...{ kind: "fish", schema: 1, entry_id: "one", party_id: PARTY, zone: "America/Chicago" },
    ...{ signed_in: "7", app: outbox.APP, vial: "26 0001 8", length: "9.4", count: 0 },
  });
  assert.equal(new Date(written).getTime(), NOW.getTime());
  assert.deepEqual([made.entry_id, made.person, made.state, made.maybe_there], ["one", "7", WAITING, false]);
});

test("nothing but an opened party is ever written down without a party", () => {
  const inNoParty = (kind) => outbox.newEntry(kind, {}, { person: "7", partyId: undefined, now: NOW, zone: "UTC", newId: () => "one" });

  for (const kind of ["fish", "unmeasured_count", "correction", "withdrawal", "shift", "party_changed", "party_closed"]) {
    assert.throws(() => inNoParty(kind), /No trip is open\. Start a trip/);
  }
  assert.equal(inNoParty("party_opened").words.party_id, "one");
});

test("a party that is opened is named by its own first entry", () => {
  const made = outbox.newEntry("party_opened", {}, { person: "7", partyId: null, now: NOW, zone: "UTC", newId: () => "one" });

  assert.equal(made.words.party_id, "one");
});

// ---------- What goes next ----------

test("a batch is the oldest of one person, in the order written, whatever the order found", () => {
  const records = [5, 3, 9, 1, 7].map((seq) => record(seq));

  assert.deepEqual(ids(outbox.nextBatch(records, "7", 3)), ["id-1", "id-3", "id-5"]);
  assert.deepEqual(ids(records), ["id-5", "id-3", "id-9", "id-1", "id-7"]);
});

test("a batch has at most twenty-five", () => {
  const records = Array.from({ length: 40 }, (_, place) => record(place));

  assert.equal(outbox.nextBatch(records, "7").length, 25);
});

test("a batch never has what another person wrote, nor what does not wait", () => {
  const others = record(2, {}, { person: "8" });
  const settled = [SENDING, TAKEN, HELD, REFUSED, REPLACED].map((state, place) => record(10 + place, {}, { state }));
  const records = [record(1), others, ...settled, record(20)];

  assert.deepEqual(ids(outbox.nextBatch(records, "7")), ["id-1", "id-20"]);
  assert.deepEqual(ids(outbox.nextBatch(records, "8")), ["id-2"]);
  assert.deepEqual(outbox.nextBatch(records, "9"), []);
});

test("the person who wrote first goes first, unless their token does not hold", () => {
  const records = [record(4), record(2, {}, { person: "8" }), record(1, {}, { person: "9", state: TAKEN })];

  assert.equal(outbox.nextPerson(records, () => true), "8");
  assert.equal(outbox.nextPerson(records, (key) => key !== "8"), "7");
  assert.equal(outbox.nextPerson(records, () => false), undefined);
  assert.equal(outbox.nextPerson([], () => true), undefined);
});

test("a party goes before its fish, and its fish only once it was taken", () => {
  const at = (state) => [record(1, { kind: "party_opened" }, { state }), record(2), record(3, { kind: "party_closed" })];

  for (const state of [WAITING, SENDING, REFUSED]) {
    assert.deepEqual(ids(outbox.nextBatch(at(state), "7")), state === WAITING ? ["id-1"] : []);
    assert.equal(outbox.nextPerson(at(state), () => true), state === WAITING ? "7" : undefined);
  }
  for (const state of [TAKEN, HELD]) assert.deepEqual(ids(outbox.nextBatch(at(state), "7")), ["id-2", "id-3"]);
});

test("a party that was put right goes before its fish, though it was written after them", () => {
  const records = [record(1, { kind: "party_opened" }, { state: REPLACED }), record(2), record(3, { kind: "party_opened" })];

  assert.deepEqual(ids(outbox.nextBatch(records, "7")), ["id-3"]);
});

test("other parties' fish do not wait for it", () => {
  const records = [record(1, { kind: "party_opened" }, { state: REFUSED }), record(2), record(3, { party_id: "b" })];

  assert.deepEqual(ids(outbox.nextBatch(records, "7")), ["id-3"]);
});

test("what was cut off on its way waits again and may be there; nothing else changes", () => {
  const records = [SENDING, WAITING, TAKEN, HELD, REFUSED, REPLACED].map((state, place) => record(place, {}, { state }));

  const again = outbox.recover(records);

  assert.deepEqual(again.map(({ seq, state, maybe_there: there }) => [seq, state, there]), [[0, WAITING, true]]);
});

test("on its way an entry is marked so, and its words stay", () => {
  const one = record(1, { length: "9.4" }, { tries: 2 });

  const gone = outbox.onItsWay(one);

  assert.deepEqual([gone.state, gone.tries, gone.words], [SENDING, 3, one.words]);
  assert.deepEqual(outbox.asBody([gone]), { entries: [one.words] });
});

// ---------- What an answer means ----------

const BATCH = [record(1), record(2), record(3)];

test("an answer of our own server is read, and what it says of the app with it", () => {
  const results = logged(...BATCH);

  assert.deepEqual(outbox.readAnswer(answer(200, { results, oldest_app: outbox.APP }), BATCH), { kind: "answered", results, updateNeeded: false });
  assert.equal(outbox.readAnswer(answer(200, { results, oldest_app: outbox.APP + 1 }, "application/json; charset=utf-8"), BATCH).updateNeeded, true);
});

const WHOLE = JSON.stringify({ results: logged(...BATCH) });
const PORTAL = "<!DOCTYPE html><title>Welcome to our network</title>";

for (const [name, heard, kind] of [
  ["HTML under 200", answer(200, PORTAL, "text/html"), "trouble"],
  ["HTML that calls itself JSON", answer(200, PORTAL), "trouble"],
  ["JSON that calls itself HTML", answer(200, WHOLE, "text/html"), "trouble"],
  ["an answer without a type", answer(200, WHOLE, null), "trouble"],
  ["half an answer", answer(200, WHOLE.slice(0, 40)), "trouble"],
  ["nothing", answer(200, ""), "trouble"],
  ["null", answer(200, "null"), "trouble"],
  ["a list", answer(200, "[]"), "trouble"],
  ["results that are no list", answer(200, { results: "all" }), "trouble"],
  ["results of nothing", answer(200, { results: [null, 7, {}] }), "trouble"],
  ["results of entries that were not sent", answer(200, { results: logged(record(9)) }), "trouble"],
  ["another good status", answer(202, WHOLE), "trouble"],
  ["a page of an office that asks to sign in", answer(403, PORTAL, "text/html"), "trouble"],
  ["a sign-in of somebody else's network", answer(401, PORTAL, "text/html"), "trouble"],
  ["401 of ours", answer(401, { detail: "no" }), "link_needed"],
  ["403 of ours", answer(403, { detail: "no" }), "link_needed"],
  ["400 of ours", answer(400, { entries: ["no"] }), "batch_refused"],
  ["413 of ours", answer(413, { detail: "large" }), "batch_refused"],
  ["400 of a proxy", answer(400, PORTAL, "text/html"), "trouble"],
  ["413 of a proxy", answer(413, PORTAL, "text/html"), "trouble"],
  ["404", answer(404, { detail: "none" }), "trouble"],
  ["429", answer(429, { detail: "slow down" }), "too_often"],
  ["429 of somebody else", { ...answer(429, {}), type: "text/html" }, "trouble"],
  ["500", answer(500, PORTAL, "text/html"), "trouble"],
  ["502 with JSON", answer(502, { results: logged(...BATCH) }), "trouble"],
  ["503", answer(503, ""), "trouble"],
]) {
  test(`${name} means ${kind}`, () => {
    assert.equal(outbox.readAnswer(heard, BATCH).kind, kind);
  });
}

test("results of entries that were not sent are left out beside those that were", () => {
  const results = [...logged(record(9)), ...logged(record(2))];

  assert.deepEqual(outbox.readAnswer(answer(200, { results }), BATCH).results, logged(record(2)));
});

test("an entry leaves only when it is logged, was logged already, or is held", () => {
  const batch = ["logged", "already_logged", "held", "refused", "lost", undefined].map((_, place) => outbox.onItsWay(record(place)));
  const results = [
    { entry_id: "id-3", outcome: "refused", reason: "needs_answer", errors: { length: ["Is this 9.4 inches?"] } },
    { entry_id: "id-2", outcome: "held", reason: "vial_taken", errors: {} },
    { entry_id: "id-1", outcome: "already_logged", reason: "", errors: {} },
    { entry_id: "id-0", outcome: "logged", reason: "", errors: {} },
    { entry_id: "id-4", outcome: "weighed", reason: "", errors: {} },
  ];

  const after = outbox.settle(batch, results, NOW);

  assert.deepEqual(
    after.map(({ state, reason, settled_at: at, maybe_there: there }) => [state, reason, at, there]),
    [
      [TAKEN, "", NOW.getTime(), false],
      [TAKEN, "", NOW.getTime(), false],
      [HELD, "vial_taken", NOW.getTime(), false],
      [REFUSED, "needs_answer", undefined, false],
      [WAITING, "", undefined, true],
      [WAITING, "", undefined, true],
    ],
  );
  assert.deepEqual(after[3].errors, { length: ["Is this 9.4 inches?"] });
  assert.deepEqual(after.map(({ words }) => words), batch.map(({ words }) => words));
});

test("a batch that cannot be read is halved, and only one alone stays with its person", () => {
  const two = outbox.afterBatchRefused([outbox.onItsWay(record(1)), outbox.onItsWay(record(2))], NOW);
  const [one] = outbox.afterBatchRefused([outbox.onItsWay(record(1))], NOW);

  assert.deepEqual(two.map(({ state }) => state), [WAITING, WAITING]);
  assert.deepEqual([one.state, one.reason], [REFUSED, "unreadable"]);
  assert.deepEqual([25, 12, 3, 2, 1].map(outbox.smaller), [12, 6, 1, 1, 1]);
});

test("the wait grows from two seconds to five minutes, half of it by chance", () => {
  const shortest = Array.from({ length: 40 }, (_, tries) => outbox.waitBefore(tries, () => 0));
  const longest = Array.from({ length: 40 }, (_, tries) => outbox.waitBefore(tries, () => 1));

  assert.deepEqual([shortest[0], longest[0]], [1_000, 2_000]);
  assert.deepEqual([shortest.at(-1), longest.at(-1)], [150_000, 300_000]);
  for (const waits of [shortest, longest]) assert.deepEqual([...waits].sort((a, b) => a - b), waits);
  assert.ok(shortest.every((ms, tries) => ms * 2 === longest[tries]));
});

// ---------- What may be let go ----------

for (const state of [WAITING, SENDING, REFUSED]) {
  test(`what is ${state} is never forgotten, however old`, () => {
    const old = record(1, {}, { state, settled_at: NOW.getTime() - 1000 * DAY_MS });

    assert.equal(outbox.mayBeForgotten(old, NOW, undefined), false);
  });
}

for (const state of [TAKEN, HELD, REPLACED]) {
  test(`what is ${state} is let go after a fortnight, unless its party is open`, () => {
    const at = (days) => record(1, {}, { state, settled_at: NOW.getTime() - days * DAY_MS });

    assert.equal(outbox.mayBeForgotten(at(13.9), NOW, undefined), false);
    assert.equal(outbox.mayBeForgotten(at(14.1), NOW, undefined), true);
    assert.equal(outbox.mayBeForgotten(at(14.1), NOW, "another"), true);
    assert.equal(outbox.mayBeForgotten(at(14.1), NOW, PARTY), false);
    assert.equal(outbox.mayBeForgotten(record(1, {}, { state }), NOW, undefined), false);
  });
}
