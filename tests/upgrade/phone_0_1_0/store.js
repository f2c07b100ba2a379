// What the phone keeps: entries, the people who use it, and a few things in hand.
// A fish counts as saved only when its transaction has completed, written through to disk.

const NAME = "earstone";
const DEAD_HANDLE = new Set(["InvalidStateError", "UnknownError"]);
const FULL = "QuotaExceededError";

export class StoreFull extends Error {
  constructor(cause) {
    super("This phone has no room left. Nothing new can be kept on it.", { cause });
    this.name = "StoreFull";
  }
}

export class StoreClosed extends Error {
  constructor() {
    super("A newer version is open in another tab. Close this one.");
    this.name = "StoreClosed";
  }
}

export class StoreBlocked extends Error {
  constructor() {
    super("An older version is open in another tab. Close it, then open this page again.");
    this.name = "StoreBlocked";
  }
}

let handle;
let overtaken = false;

function open() {
  if (overtaken) return Promise.reject(new StoreClosed());
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, STEPS.length);
    asked.onupgradeneeded = ({ oldVersion }) => build(asked.result, oldVersion);
    asked.onblocked = () => reject(new StoreBlocked());
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => resolve(watched(asked.result));
  });
}

// One step a version, in their order. A step that a phone may have taken is never changed: what a
// phone holds is never built anew, and the next version is another step below.
const STEPS = [
  function toVersion1(database) {
    const entries = database.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
    entries.createIndex("entry_id", "entry_id", { unique: true });
    database.createObjectStore("people", { keyPath: "key" });
    database.createObjectStore("kept");
  },
];

// `oldVersion` is what the phone has: 0 on a new one, which takes every step.
export function build(database, oldVersion) {
  for (const step of STEPS.slice(oldVersion)) step(database);
}

function watched(database) {
  database.onversionchange = () => {
    overtaken = true;
    handle = undefined;
    database.close();
  };
  database.onclose = () => {
    handle = undefined;
  };
  return database;
}

async function database() {
  handle ??= open();
  try {
    return await handle;
  } catch (problem) {
    handle = undefined;
    throw problem;
  }
}

// Some phones lose the handle while the page sleeps: a dead one is opened anew, once.
async function through(mode, names, work) {
  try {
    return await transact(await database(), mode, names, work);
  } catch (problem) {
    if (!DEAD_HANDLE.has(problem?.name)) throw problem;
    handle = undefined;
    return transact(await database(), mode, names, work);
  }
}

function transact(opened, mode, names, work) {
  return new Promise((resolve, reject) => {
    const transaction = opened.transaction(names, mode, { durability: mode === "readwrite" ? "strict" : "default" });
    let request;
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onabort = () => {
      const problem = transaction.error ?? new DOMException("cut off", "AbortError");
      reject(problem.name === FULL ? new StoreFull(problem) : problem);
    };
    request = work(...names.map((name) => transaction.objectStore(name)));
  });
}

// ---------- Entries ----------

export function allEntries() {
  return through("readonly", ["entries"], (entries) => entries.getAll());
}

// Write one entry down, and with it whatever it replaces; together or not at all.
export function addEntry(record, replaced) {
  return through("readwrite", ["entries"], (entries) => {
    if (replaced) entries.put(replaced);
    return entries.add(record);
  });
}

export function putEntries(records) {
  return through("readwrite", ["entries"], (entries) => {
    for (const record of records) entries.put(record);
  });
}

export function forgetEntries(seqs) {
  return through("readwrite", ["entries"], (entries) => {
    for (const seq of seqs) entries.delete(seq);
  });
}

// ---------- People ----------

export function allPeople() {
  return through("readonly", ["people"], (people) => people.getAll());
}

export function putPerson(person) {
  return through("readwrite", ["people"], (people) => people.put(person));
}

export function dropPerson(key) {
  return through("readwrite", ["people"], (people) => people.delete(key));
}

// ---------- Things in hand ----------

export function inHand(name) {
  return through("readonly", ["kept"], (kept) => kept.get(name));
}

export function keepInHand(name, value) {
  return through("readwrite", ["kept"], (kept) => kept.put(value, name));
}
