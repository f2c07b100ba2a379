// The store of a phone of 0.1.0 (version 1) under today's script: what it holds is all there, and
// the next version can be built over it. phone_0_1_0 is the script as it was, phone_store_1.json
// what a phone held.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";

import { IndexedDB } from "./indexed_db.mjs";

const VERSION_1 = JSON.parse(readFileSync(new URL("phone_store_1.json", import.meta.url), "utf8"));
const THEN = "./phone_0_1_0/store.js";
const TODAY = "../../samples/static/samples/ramp/store.js";

let pages = 0;

// A page of its own: each has the script's handle to itself.
function page(script, phone) {
  globalThis.indexedDB = phone;
  return import(`${script}?page=${(pages += 1)}`);
}

function layout(phone) {
  const stores = Object.entries(phone.databases.earstone.stores);
  return Object.fromEntries(stores.map(([name, { keyPath, autoIncrement, indexes }]) => [name, { keyPath, autoIncrement, indexes }]));
}

const held = (name) => VERSION_1.earstone.stores[name].records;
const unsent = (records) => records.filter(({ state }) => ["waiting", "sending", "refused"].includes(state));

function openAt(phone, version, build) {
  return new Promise((resolve, reject) => {
    const asked = phone.open("earstone", version);
    asked.onupgradeneeded = ({ oldVersion }) => build(asked.result, oldVersion);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

test("what stands for a phone of version 1 is laid out as 0.1.0 lays it out", async () => {
  const phone = new IndexedDB();
  const store = await page(THEN, phone);
  await store.addEntry({ entry_id: "one" });

  assert.deepEqual(layout(phone), layout(new IndexedDB(VERSION_1)));
  assert.equal(phone.databases.earstone.version, VERSION_1.earstone.version);
  assert.deepEqual(phone.databases.earstone.stores.entries.records, [[1, { entry_id: "one", seq: 1 }]]);
});

test("today's script finds everything that a phone of version 1 holds", async () => {
  const store = await page(TODAY, new IndexedDB(VERSION_1));

  const entries = await store.allEntries();

  assert.deepEqual(entries, held("entries").map(([, record]) => record));
  assert.equal(unsent(entries).length, 6);
  assert.deepEqual(await store.allPeople(), held("people").map(([, person]) => person));
  for (const [name, value] of held("kept")) assert.deepEqual(await store.inHand(name), value);
});

test("a fish that is written down after the update comes behind those that wait", async () => {
  const store = await page(TODAY, new IndexedDB(VERSION_1));

  await store.addEntry({ entry_id: "new", state: "waiting" });

  assert.deepEqual((await store.allEntries()).at(-1), { entry_id: "new", state: "waiting", seq: 11 });
});

test("a new phone and one that was updated are laid out alike", async () => {
  const fresh = new IndexedDB();
  const updated = new IndexedDB(VERSION_1);

  await (await page(TODAY, fresh)).allEntries();
  await (await page(TODAY, updated)).allEntries();

  assert.deepEqual(layout(updated), layout(fresh));
  assert.equal(updated.databases.earstone.version, fresh.databases.earstone.version);
});

test("the next version is built over a phone of version 1, and every unsent fish stays", async () => {
  const phone = new IndexedDB(VERSION_1);
  const { build } = await page(TODAY, phone);
  const today = new IndexedDB();
  await (await page(TODAY, today)).allEntries();
  const next = today.databases.earstone.version + 1;

  await openAt(phone, next, (database, oldVersion) => {
    build(database, oldVersion);
    database.createObjectStore("of_a_later_day");
  });

  const { stores, version } = phone.databases.earstone;
  assert.equal(version, next);
  assert.deepEqual(stores.entries, VERSION_1.earstone.stores.entries);
  assert.deepEqual(stores.people, VERSION_1.earstone.stores.people);
});

test("a build that does not look at the version would lock a phone out, and lose nothing", async () => {
  const phone = new IndexedDB(VERSION_1);
  const { build } = await page(TODAY, phone);

  await assert.rejects(
    openAt(phone, 2, (database) => build(database, 0)),
    { name: "ConstraintError" },
  );
  assert.deepEqual(phone.databases, VERSION_1);
});
