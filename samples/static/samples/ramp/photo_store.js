// Photos that wait on this phone, in a database of their own: entries never wait for their room.

const NAME = "earstone-photos";
const STEPS = [(database) => database.createObjectStore("photos", { keyPath: "entry_id" })];

let handle;

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, STEPS.length);
    asked.onupgradeneeded = ({ oldVersion }) => STEPS.slice(oldVersion).forEach((step) => step(asked.result));
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
    asked.onsuccess = () => {
      asked.result.onversionchange = () => (asked.result.close(), (handle = undefined));
      asked.result.onclose = () => (handle = undefined);
      resolve(asked.result);
    };
  });
}

// A phone that lost its handle while it slept opens it anew, once.
async function through(mode, work) {
  for (const again of [true, false]) {
    try {
      handle ??= open();
      return await transact(await handle, mode, work);
    } catch (problem) {
      handle = undefined;
      if (!again || !["InvalidStateError", "UnknownError"].includes(problem?.name)) throw problem;
    }
  }
}

function transact(database, mode, work) {
  return new Promise((resolve, reject) => {
    const transaction = database.transaction("photos", mode);
    const request = work(transaction.objectStore("photos"));
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onabort = () => reject(transaction.error ?? new Error("cut off"));
  });
}

export const allPhotos = () => through("readonly", (photos) => photos.getAll());
export const putPhoto = (photo) => through("readwrite", (photos) => photos.put(photo));

// Let go of this very photo: one that took its place meanwhile stays.
export const dropPhoto = ({ entry_id: id, sha256 }) =>
  through("readwrite", (photos) => {
    const asked = photos.get(id);
    asked.onsuccess = () => asked.result?.sha256 === sha256 && photos.delete(id);
  });
