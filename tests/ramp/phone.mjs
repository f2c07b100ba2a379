// What stands in for a phone in the sender's tests: a store in memory, one lock, a network that
// answers as it is told.

import assert from "node:assert/strict";

import * as outbox from "../../samples/static/samples/ramp/outbox.js";
import { makeSender } from "../../samples/static/samples/ramp/sender.js";

export const NOW = new Date("2026-05-06T17:30:00Z");
export const ADDRESSES = { outbox: "/outbox/", lists: "/lists/" };
export const PORTAL = { status: 200, type: "text/html", text: "<title>Welcome</title>" };

export class Store {
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
export function makeLocks() {
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

export function heard({ status, type = "application/json", text, retryAfter = null }) {
  const heads = { "Content-Type": type, "Retry-After": retryAfter };
  return {
    status,
    ok: status >= 200 && status < 300,
    headers: { get: (name) => heads[name] ?? null },
    text: async () => text,
    json: async () => JSON.parse(text),
  };
}

export const json = (status, body) => ({ status, text: JSON.stringify(body) });
export const taken = (entries, outcome = "logged") => json(200, { oldest_app: 1, results: entries.map(({ entry_id }) => ({ entry_id, outcome, reason: "", errors: {} })) });

// `server(entries, token, call)` gives an answer, or throws for a network that is not there.
export function phone({ people = [{ key: "7", token: "seven" }], records = [], server, locks = makeLocks() }) {
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

export function record(seq, person = "7", more = {}) {
  const id = `id-${seq}`;
  const words = { kind: "fish", entry_id: id, party_id: "p", signed_in: person };
  return { ...{ seq, entry_id: id, person, state: outbox.WAITING, words, tries: 0, maybe_there: false, reason: "", errors: {} }, ...more };
}

export const some = (count, person, from = 1) => Array.from({ length: count }, (_, place) => record(from + place, person));
export const sentBy = (calls) => calls.flatMap(({ token, entries }) => entries.map((words) => [token, words.signed_in]));

// A server that remembers ids, as ours does.
export function remembering() {
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
