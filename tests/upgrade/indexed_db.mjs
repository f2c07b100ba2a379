// As much of the browser's IndexedDB as the phone's store asks for, kept as plain data: a whole
// database can be put in and taken out. Source: W3C, Indexed Database API 3.0: a store that is
// made twice is a ConstraintError (createObjectStore), an older version a VersionError (open).

const problem = (name) => new DOMException(name, name);

// `databases`: by name, {version, stores: {name: {keyPath, autoIncrement, next, indexes, records}}};
// records are pairs of a key and its value, in the order of keys.
export class IndexedDB {
  constructor(databases = {}) {
    this.databases = structuredClone(databases);
  }

  open(name, version) {
    const request = {};
    setImmediate(() => {
      const kept = this.databases[name] ?? { version: 0, stores: {} };
      if (version < kept.version) return failed(request, problem("VersionError"));
      const draft = structuredClone(kept);
      request.result = new Database(draft);
      try {
        if (version > kept.version) request.onupgradeneeded?.({ oldVersion: kept.version, newVersion: version });
      } catch (thrown) {
        return failed(request, thrown); // nothing of the upgrade is kept
      }
      draft.version = version;
      this.databases[name] = draft;
      return request.onsuccess?.();
    });
    return request;
  }
}

function failed(request, error) {
  request.error = error;
  request.onerror?.();
}

class Database {
  constructor(data) {
    this.data = data;
  }

  close() {}

  createObjectStore(name, { keyPath = null, autoIncrement = false } = {}) {
    if (this.data.stores[name]) throw problem("ConstraintError");
    this.data.stores[name] = { keyPath, autoIncrement, next: 1, indexes: {}, records: [] };
    return new ObjectStore(this.data.stores[name]);
  }

  transaction(names, mode) {
    const transaction = {};
    const before = structuredClone(this.data.stores);
    transaction.objectStore = (name) => new ObjectStore(this.data.stores[name], mode);
    setImmediate(() => {
      const stores = [names].flat().map((name) => this.data.stores[name]);
      if (!stores.some(breaksAnIndex)) return transaction.oncomplete?.();
      this.data.stores = before;
      transaction.error = problem("ConstraintError");
      return transaction.onabort?.();
    });
    return transaction;
  }
}

function breaksAnIndex({ indexes, records }) {
  const unique = Object.values(indexes).filter((index) => index.unique);
  return unique.some(({ keyPath }) => new Set(records.map(([, value]) => value[keyPath])).size < records.length);
}

class ObjectStore {
  constructor(data, mode = "readwrite") {
    this.data = data;
    this.mode = mode;
  }

  createIndex(name, keyPath, { unique = false } = {}) {
    this.data.indexes[name] = { keyPath, unique };
  }

  getAll() {
    return { result: structuredClone(this.data.records.map(([, value]) => value)) };
  }

  get(key) {
    const request = { result: structuredClone(this.data.records.find(([one]) => one === key)?.[1]) };
    queueMicrotask(() => request.onsuccess?.()); // before its transaction completes
    return request;
  }

  add(value) {
    const { keyPath } = this.data;
    if (keyPath in value) throw problem("ConstraintError");
    const key = this.data.next;
    this.put({ ...value, [keyPath]: key });
    return { result: key };
  }

  put(value, key = value[this.data.keyPath]) {
    this.mayWrite();
    const others = this.data.records.filter(([one]) => one !== key);
    this.data.records = [...others, [key, structuredClone(value)]].sort(([one], [other]) => (one < other ? -1 : 1));
    if (this.data.autoIncrement) this.data.next = Math.max(this.data.next, key + 1);
    return { result: key };
  }

  delete(key) {
    this.mayWrite();
    this.data.records = this.data.records.filter(([one]) => one !== key);
    return {};
  }

  mayWrite() {
    if (this.mode !== "readwrite") throw problem("ReadOnlyError");
  }
}
