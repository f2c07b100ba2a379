// The sender against a network, a clock and locks that are made up, and a store in memory.

import assert from "node:assert/strict";
import test from "node:test";

import * as outbox from "../../samples/static/samples/ramp/outbox.js";
import { makeSender, NO_SIGNAL, NOT_OURS, SIGNAL } from "../../samples/static/samples/ramp/sender.js";

const { WAITING, SENDING, TAKEN, HELD, REFUSED } = outbox;
const NOW = new Date("2026-05-06T17:30:00Z");
const ADDRESSES = { outbox: "/outbox/", lists: "/lists/" };
const PORTAL = { status: 200, type: "text/html", text: "<title>Welcome</title>" };

// ---------- What stands in for a phone ----------

class Store {
  constructor({ people, records }) {
    this.people = structuredClone(people);
    this.records = new Map(structuredClone(records).map((record) => [record.seq, record]));
    this.history = [];
  }

  async allEntries() {
    return structuredClone([...this.records.values()]);
  }

  async putEntries(records) {
    for (const record of records) {
      assert.ok(this.records.has(record.seq), "the sender makes no entries");
      this.history.push([record.entry_id, record.state]);
      this.records.set(record.seq, structuredClone(record));
    }
  }

  async allPeople() {
    return structuredClone(this.people);
  }

  async putPerson(person) {
    this.people = [...this.people.filter((one) => one.key !== person.key), structuredClone(person)];
  }

  states() {
    return Object.fromEntries([...this.records.values()].map((one) => [one.entry_id, one.state]));
  }
}

// One lock, as the browser gives it: whoever asks waits for all who asked before.
function makeLocks() {
  const locks = { most: 0, held: 0, tail: Promise.resolve() };
  locks.request = (_name, work) => {
    const turn = locks.tail.then(async () => {
      locks.held += 1;
      locks.most = Math.max(locks.most, locks.held);
      try {
        return await work();
      } finally {
        locks.held -= 1;
      }
    });
    locks.tail = turn.catch(() => {});
    return turn;
  };
  return locks;
}

function heard({ status, type = "application/json", text }) {
  return {
    status,
    ok: status >= 200 && status < 300,
    headers: { get: (name) => (name === "Content-Type" ? type : null) },
    text: async () => text,
    json: async () => JSON.parse(text),
  };
}

const json = (status, body) => ({ status, text: JSON.stringify(body) });
const taken = (entries, outcome = "logged") => json(200, { oldest_app: 1, results: entries.map(({ entry_id }) => ({ entry_id, outcome, reason: "", errors: {} })) });

// `server(entries, token, call)` gives an answer, or throws for a network that is not there.
function phone({ people = [{ key: "7", token: "seven" }], records = [], server, locks = makeLocks() }) {
  const store = new Store({ people, records });
  const calls = [];
  const timers = [];
  const told = [];
  let going = 0;
  const net = { most: 0 };
  const fetch = async (address, options) => {
    const call = { address, options, token: options.headers.Authorization, entries: options.body ? JSON.parse(options.body).entries : undefined };
    calls.push(call);
    going += 1;
    net.most = Math.max(net.most, going);
    await new Promise((resolve) => setImmediate(resolve));
    going -= 1;
    return heard(await server(call.entries, call.token, calls.length, store));
  };
  const sender = makeSender({
    ...{ store, fetch, locks, now: () => NOW, random: () => 0.5, addresses: ADDRESSES },
    later: (work, ms) => timers.push({ work, ms }),
    told: (state) => told.push({ ...state, linkNeeded: [...state.linkNeeded] }),
  });
  const sizes = () => calls.map((call) => call.entries.length);
  // Let the timers run out one after another until nothing waits for one.
  const untilQuiet = async (most = 60) => {
    await sender.send();
    for (let turn = 0; timers.length > 0; turn += 1) {
      assert.ok(turn < most, "it never comes to an end");
      await timers.shift().work();
    }
  };
  return { ...{ store, calls, timers, told, sender, locks, net, sizes, untilQuiet } };
}

function record(seq, person = "7", more = {}) {
  const id = `id-${seq}`;
  const words = { kind: "fish", entry_id: id, party_id: "p", signed_in: person };
  return { ...{ seq, entry_id: id, person, state: WAITING, words, tries: 0, maybe_there: false, reason: "", errors: {} }, ...more };
}

const some = (count, person, from = 1) => Array.from({ length: count }, (_, place) => record(from + place, person));
const sentBy = (calls) => calls.flatMap(({ token, entries }) => entries.map((words) => [token, words.signed_in]));

// A server that remembers ids, as ours does.
function remembering() {
  const known = [];
  const take = (entries) => {
    const results = entries.map(({ entry_id }) => {
      const outcome = known.includes(entry_id) ? "already_logged" : "logged";
      if (outcome === "logged") known.push(entry_id);
      return { entry_id, outcome, reason: "", errors: {} };
    });
    return json(200, { oldest_app: 1, results });
  };
  return { known, take };
}

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

// ---------- Two people on one phone ----------

const TWO = [
  { key: "7", token: "seven" },
  { key: "8", token: "eight" },
];
const mixed = () => [record(1), record(2, "8"), record(3), record(4, "8")];

test("each person's entries go with their own token", async () => {
  const kept = phone({ people: TWO, records: mixed(), server: (entries) => taken(entries) });

  await kept.sender.send();

  assert.deepEqual(new Set(sentBy(kept.calls).map(String)), new Set(["Token seven,7", "Token eight,8"]));
  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([TAKEN]));
});

for (const status of [401, 403]) {
  test(`${status} for one person drops nothing and does not stop the other's`, async () => {
    const kept = phone({ people: TWO, records: mixed(), server: (entries, token) => (token === "Token seven" ? json(status, { detail: "no" }) : taken(entries)) });

    await kept.sender.send();

    assert.deepEqual(kept.store.states(), { "id-1": WAITING, "id-2": TAKEN, "id-3": WAITING, "id-4": TAKEN });
    assert.deepEqual(sentBy(kept.calls).filter(([token, who]) => token.endsWith("seven") !== (who === "7")), []);
    assert.deepEqual(kept.told.at(-1).linkNeeded, ["7"]);
    assert.equal(kept.timers.length, 0);
  });
}

test("a person without a token is asked for the link, and nobody else sends for them", async () => {
  const kept = phone({ people: [TWO[0], { key: "8" }], records: [...mixed(), record(5, "9")], server: (entries) => taken(entries) });

  await kept.sender.send();

  assert.deepEqual(sentBy(kept.calls), [["Token seven", "7"], ["Token seven", "7"]]);
  assert.deepEqual(kept.told.at(-1).linkNeeded, ["8", "9"]);
  assert.equal(kept.store.states()["id-5"], WAITING);
});

test("after the link was opened anew, what waited goes", async () => {
  const good = new Set();
  const kept = phone({ records: some(2), server: (entries, token) => (good.has(token) ? taken(entries) : json(401, {})) });
  await kept.sender.send();
  await kept.sender.send();
  assert.equal(kept.calls.length, 1);

  good.add("Token fresh");
  await kept.store.putPerson({ key: "7", token: "fresh" });
  await kept.sender.send({ again: true });

  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([TAKEN]));
});

// ---------- Batches that the server stumbles over ----------

test("a server that falls over large batches gets smaller ones", async () => {
  const kept = phone({ records: some(25), server: (entries) => (entries.length > 6 ? { status: 500, type: "text/html", text: "" } : taken(entries)) });

  await kept.untilQuiet();

  assert.deepEqual(kept.sizes().slice(0, 7), [25, 25, 25, 12, 12, 12, 6]);
  assert.deepEqual(new Set(Object.values(kept.store.states())), new Set([TAKEN]));
});

test("no signal is no reason for smaller batches", async () => {
  const kept = phone({
    records: some(25),
    server: (entries, _token, call) => {
      if (call < 10) throw new TypeError("Failed to fetch");
      return taken(entries);
    },
  });

  await kept.untilQuiet();

  assert.deepEqual(new Set(kept.sizes()), new Set([25]));
});

for (const [name, place] of [["first", 1], ["middle", 13], ["last", 30]]) {
  test(`a batch refused whole is halved until the one is found: the ${name}`, async () => {
    const bad = `id-${place}`;
    const kept = phone({
      records: some(30),
      server: (entries) => (entries.some((words) => words.entry_id === bad) ? json(400, { entries: ["no"] }) : taken(entries)),
    });

    await kept.untilQuiet();

    const { [bad]: alone, ...others } = kept.store.states();
    assert.equal(alone, REFUSED);
    assert.deepEqual(new Set(Object.values(others)), new Set([TAKEN]));
    assert.equal(kept.store.records.get(place).reason, "unreadable");
    assert.ok(kept.calls.length < 20, String(kept.calls.length));
  });
}

// ---------- Pick lists ----------

const LISTS = { person: { key: "7", name: "R. Ostrow" }, lakes: [] };
const PERSON = { key: "7", name: "Ostrow", token: "seven", lists: { old: true } };

test("fresh lists are kept beside the token that was made meanwhile", async () => {
  const kept = phone({
    people: [PERSON],
    server: async (_entries, _token, _call, store) => {
      await store.putPerson({ ...PERSON, token: "fresh" });
      return json(200, LISTS);
    },
  });

  await kept.sender.refreshLists(PERSON);

  assert.deepEqual(await kept.store.allPeople(), [{ key: "7", name: "R. Ostrow", token: "fresh", lists: LISTS }]);
  assert.equal(kept.told.at(-1).signal, SIGNAL);
});

for (const [name, answer, signal, needed] of [
  ["a page of somebody else's network", PORTAL, NOT_OURS, []],
  ["a sign-in of somebody else's network", { ...PORTAL, status: 403 }, NOT_OURS, []],
  ["JSON that is no list", json(200, {}), NOT_OURS, []],
  ["500", { status: 500, text: "" }, NOT_OURS, []],
  ["401", json(401, { detail: "no" }), SIGNAL, ["7"]],
  ["403", json(403, { detail: "no" }), SIGNAL, ["7"]],
]) {
  test(`${name} leaves the lists as they are`, async () => {
    const kept = phone({ people: [PERSON], server: () => answer });

    await kept.sender.refreshLists(PERSON);

    assert.deepEqual(await kept.store.allPeople(), [PERSON]);
    assert.deepEqual([kept.told.at(-1).signal, kept.told.at(-1).linkNeeded], [signal, needed]);
  });
}

test("no signal leaves the lists as they are", async () => {
  const kept = phone({
    people: [PERSON],
    server: () => {
      throw new TypeError("Failed to fetch");
    },
  });

  await kept.sender.refreshLists(PERSON);

  assert.deepEqual(await kept.store.allPeople(), [PERSON]);
  assert.equal(kept.told.at(-1).signal, NO_SIGNAL);
});

test("nobody's lists are asked for without a token", async () => {
  const kept = phone({ people: [{ key: "7" }], server: () => assert.fail() });

  await kept.sender.refreshLists(undefined);
  await kept.sender.refreshLists({ key: "7" });

  assert.equal(kept.calls.length, 0);
});
