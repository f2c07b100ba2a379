// The sender with two people on one phone, with batches that are refused, and with pick lists.

import assert from "node:assert/strict";
import test from "node:test";

import * as outbox from "../../samples/static/samples/ramp/outbox.js";
import { NO_SIGNAL, NOT_OURS, SIGNAL } from "../../samples/static/samples/ramp/sender.js";
import { NOW, json, phone, PORTAL, record, sentBy, some, taken } from "./phone.mjs";

const { WAITING, TAKEN, REFUSED } = outbox;

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

test("a server that asks for a pause gets it, and the batches stay whole", async () => {
  const busy = { ...json(429, { detail: "Too much at once." }), retryAfter: "40" };
  const kept = phone({ records: some(60), server: (entries, _token, call) => (call <= 4 ? busy : taken(entries)) });

  await kept.sender.send();
  const waits = [kept.timers[0].ms];
  while (kept.timers.length > 0) {
    await kept.timers.shift().work();
    waits.push(...kept.timers.map(({ ms }) => ms));
  }

  assert.deepEqual(waits, [40_000, 40_000, 40_000, 40_000]);
  assert.deepEqual(kept.sizes(), [25, 25, 25, 25, 25, 25, 10]);
  assert.equal(kept.told.at(-1).signal, SIGNAL);
});

for (const [head, ms] of [[null, 60_000], ["soon", 60_000], ["86400", 300_000]]) {
  test(`a pause of ${head} is one of ${ms / 1000} seconds`, async () => {
    const kept = phone({ records: some(1), server: () => ({ ...json(429, {}), retryAfter: head }) });

    await kept.sender.send();

    assert.equal(kept.timers[0].ms, ms);
  });
}

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

  assert.deepEqual(await kept.store.allPeople(), [{ key: "7", name: "R. Ostrow", token: "fresh", lists: LISTS, lists_at: NOW.getTime() }]);
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
