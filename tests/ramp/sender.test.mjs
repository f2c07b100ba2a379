// The sender against a network, a clock and locks that are made up, and a store in memory.

import assert from "node:assert/strict";
import test from "node:test";

import * as outbox from "../../samples/static/samples/ramp/outbox.js";
import { makeSender, NO_SIGNAL, NOT_OURS, SIGNAL } from "../../samples/static/samples/ramp/sender.js";
import { ADDRESSES, heard, json, makeLocks, NOW, phone, PORTAL, record, remembering, some, taken } from "./phone.mjs";

const { WAITING, SENDING, TAKEN, HELD, REFUSED } = outbox;

// ---------- Sending ----------

test("everything goes in the order written, in batches of at most twenty-five", async () => {
  const server = remembering();
  const kept = phone({ records: some(60).reverse(), server: server.take });

  await kept.sender.send();

  assert.deepEqual(kept.sizes(), [25, 25, 10]);
  assert.deepEqual(server.known, some(60).map(({ entry_id: id }) => id));
  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([TAKEN]));
  assert.equal(kept.told.at(-1).signal, SIGNAL);
  assert.equal(kept.timers.length, 0);
});

test("a request carries the token alone: no cookie, no redirect, and an end to waiting", async () => {
  const kept = phone({ records: some(1), server: (entries) => taken(entries) });

  await kept.sender.send();

  const { options, address } = kept.calls[0];
  assert.equal(address, ADDRESSES.outbox);
  assert.deepEqual(
    [options.method, options.credentials, options.redirect, options.cache, options.headers],
    ["POST", "omit", "error", "no-store", { "Content-Type": "application/json", Authorization: "Token seven" }],
  );
  assert.ok(options.signal instanceof AbortSignal);
});

test("an entry is marked as on its way before it goes, and only then", async () => {
  const seen = [];
  const kept = phone({
    records: some(2),
    server: (entries, _token, _call, store) => {
      seen.push(...Object.values(store.states()));
      return taken(entries);
    },
  });

  await kept.sender.send();

  assert.deepEqual(seen, [SENDING, SENDING]);
});

test("with nothing to send nothing is asked of the network", async () => {
  const kept = phone({ records: [record(1, "7", { state: TAKEN })], server: () => assert.fail() });

  await kept.sender.send();

  assert.equal(kept.calls.length, 0);
});

test("a party that is refused keeps its fish on the phone, and nothing goes round and round", async () => {
  const opening = record(1);
  opening.words.kind = "party_opened";
  const kept = phone({
    records: [opening, record(2), record(3)],
    server: (entries) => json(200, { results: entries.map(({ entry_id }) => ({ entry_id, outcome: "refused", reason: "unknown_reach", errors: {} })) }),
  });

  await kept.sender.send();

  assert.deepEqual(kept.sizes(), [1]);
  assert.deepEqual(kept.store.states(), { "id-1": REFUSED, "id-2": WAITING, "id-3": WAITING });
});

test("an answer that was lost is asked for again, and every entry counts once", async () => {
  const server = remembering();
  const kept = phone({
    records: some(30),
    server: (entries, _token, call) => {
      const answer = server.take(entries);
      if (call % 2 === 1) throw new TypeError("Failed to fetch");
      return answer;
    },
  });

  await kept.sender.send();
  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([WAITING]));
  assert.equal(kept.told.at(-1).signal, NO_SIGNAL);
  await kept.untilQuiet();

  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([TAKEN]));
  assert.equal(server.known.length, 30);
  assert.equal(new Set(server.known).size, 30);
});

test("half an answer's entries leave, the others go again", async () => {
  const kept = phone({ records: some(4), server: (entries, _token, call) => taken(call === 1 ? entries.slice(0, 2) : entries) });

  await kept.untilQuiet();

  assert.deepEqual(kept.calls.map(({ entries }) => entries.map((words) => words.entry_id)), [
    ["id-1", "id-2", "id-3", "id-4"],
    ["id-3", "id-4"],
  ]);
});

test("without an answer it tries again later, each time later, and tells why", async () => {
  const kept = phone({
    records: some(1),
    server: (_entries, _token, call) => {
      if (call < 4) throw new TypeError("Failed to fetch");
      return PORTAL;
    },
  });

  await kept.sender.send();
  for (let turn = 0; turn < 4; turn += 1) await kept.timers[turn].work();

  const waits = kept.timers.map(({ ms }) => ms);
  assert.deepEqual(waits, [...waits].sort((a, b) => a - b));
  assert.ok(waits[0] >= 1000 && waits[3] > 4 * waits[0]);
  assert.deepEqual([...new Set(kept.told.map(({ signal }) => signal))], [NO_SIGNAL, NOT_OURS]);
  assert.deepEqual(kept.store.states(), { "id-1": WAITING });
});

for (const [name, answer] of [
  ["a page of somebody else's network", PORTAL],
  ["half an answer", { status: 200, text: '{"results": [{"entry_id": "id-1", "outc' }],
  ["answers of entries that were not sent", taken([{ entry_id: "another" }])],
  ["answers that are no answers", json(200, { results: [{ entry_id: "id-1", outcome: "weighed" }] })],
  ["500", { status: 500, type: "text/html", text: "<h1>Server Error</h1>" }],
  ["503 of our own, while the site is upgraded", json(503, { detail: "Not saved: the site is busy or being upgraded." })],
  ["502", { status: 502, text: "" }],
  ["401 of somebody else's network", { ...PORTAL, status: 401 }],
  ["403 of somebody else's network", { ...PORTAL, status: 403 }],
  ["404", json(404, {})],
]) {
  test(`${name}: everything stays, and is tried again`, async () => {
    const kept = phone({ records: some(3), server: () => answer });

    await kept.sender.send();

    assert.deepEqual(kept.store.states(), { "id-1": WAITING, "id-2": WAITING, "id-3": WAITING });
    assert.equal(kept.timers.length, 1);
    assert.equal(kept.sender.state.linkNeeded.size, 0);
  });
}

test("an entry leaves on logged, already logged and held alone; one refused stays with its reason", async () => {
  const outcomes = ["logged", "already_logged", "held", "refused"];
  const kept = phone({
    records: some(4),
    server: (entries) => json(200, { results: entries.map(({ entry_id }, place) => ({ entry_id, outcome: outcomes[place], reason: "why", errors: { length: ["Is it?"] } })) }),
  });

  await kept.sender.send();

  assert.deepEqual(kept.store.states(), { "id-1": TAKEN, "id-2": TAKEN, "id-3": HELD, "id-4": REFUSED });
  const refused = kept.store.records.get(4);
  assert.deepEqual([refused.reason, refused.errors], ["why", { length: ["Is it?"] }]);
  assert.equal(kept.calls.length, 1);
});

test("an app that has grown old is told so, and its fish are taken all the same", async () => {
  const kept = phone({ records: some(1), server: (entries) => json(200, { ...JSON.parse(taken(entries).text), oldest_app: outbox.APP + 1 }) });

  await kept.sender.send();

  assert.equal(kept.told.at(-1).updateNeeded, true);
  assert.deepEqual(kept.store.states(), { "id-1": TAKEN });
});

// ---------- One sender at a time ----------

test("however often and in however many tabs it is asked, one sends and each entry goes once", async () => {
  const locks = makeLocks();
  const server = remembering();
  const kept = phone({ records: some(30), server: server.take, locks });
  const seen = [];
  const tab = makeSender({
    ...{ store: kept.store, locks, now: () => NOW, random: () => 0.5, addresses: ADDRESSES },
    ...{ fetch: async (_address, { body }) => heard(server.take(JSON.parse(body).entries)), later: () => assert.fail(), told: () => seen.push(kept.store.states()) },
  });

  await Promise.all([kept.sender.send(), tab.send(), kept.sender.send(), tab.send(), kept.sender.send()]);

  assert.equal(locks.most, 1);
  assert.deepEqual(new Set(Object.values(seen.at(-1))), new Set([TAKEN]), "the tab that sent nothing hears of it");
  assert.equal(kept.net.most, 1);
  assert.deepEqual(server.known, some(30).map(({ entry_id: id }) => id));
});

test("what is written while a batch is under way is not forgotten", async () => {
  const kept = phone({
    records: some(2),
    server: (entries, _token, call, store) => {
      if (call === 1) store.records.set(3, record(3));
      return taken(entries);
    },
  });

  await Promise.all([kept.sender.send(), kept.sender.send()]);

  assert.deepEqual(kept.store.states(), { "id-1": TAKEN, "id-2": TAKEN, "id-3": TAKEN });
});

test("without locks it sends too", async () => {
  const kept = phone({ records: some(3), server: (entries) => taken(entries), locks: undefined });

  await kept.sender.send();

  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([TAKEN]));
});

test("what was cut off on its way goes again", async () => {
  const server = remembering();
  server.take([{ entry_id: "id-1" }]);
  const kept = phone({ records: [record(1, "7", { state: SENDING }), record(2)], server: server.take });

  await kept.sender.send();

  assert.deepEqual(kept.store.states(), { "id-1": TAKEN, "id-2": TAKEN });
  assert.deepEqual(server.known, ["id-1", "id-2"]);
});

test("a store that fails once does not end all sending", async () => {
  const kept = phone({ records: some(1), server: (entries) => taken(entries) });
  const read = kept.store.allEntries;
  kept.store.allEntries = async () => {
    throw new DOMException("the handle is dead", "InvalidStateError");
  };
  await kept.sender.send().catch(() => {});
  kept.store.allEntries = read;

  await kept.untilQuiet();

  assert.deepEqual(kept.store.states(), { "id-1": TAKEN });
});
