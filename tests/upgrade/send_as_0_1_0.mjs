// A phone of 0.1.0 that has signal: its own scripts send what its store holds to a real server.
// Reads {address, databases} and prints {databases, told, waits}: the store afterwards, what the
// page heard, and how long it would wait before the next try.

import { readFileSync } from "node:fs";

import { IndexedDB } from "./indexed_db.mjs";
import { makeSender } from "./phone_0_1_0/sender.js";
import * as store from "./phone_0_1_0/store.js";

const { address, databases } = JSON.parse(readFileSync(0, "utf8"));
globalThis.indexedDB = new IndexedDB(databases);

const told = [];
const waits = [];
const sender = makeSender({
  ...{ store, fetch, locks: undefined, now: () => new Date(), random: () => 0.5 },
  later: (_work, ms) => waits.push(ms),
  told: ({ signal, linkNeeded, updateNeeded }) => told.push({ signal, linkNeeded: [...linkNeeded], updateNeeded }),
  addresses: { outbox: `${address}/api/v1/outbox/`, lists: `${address}/api/v1/pick-lists/` },
});
await sender.send();
const [person] = await store.allPeople();
if (waits.length === 0) await sender.refreshLists(person);
console.log(JSON.stringify({ databases: indexedDB.databases, told, waits }));
