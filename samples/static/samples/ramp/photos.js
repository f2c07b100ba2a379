// Photos go after their fish was acknowledged, one at a time; whatever becomes of them, facts go on.
// Store, network and clock are passed in, so that Node's runner can test it.

import { REPLACED, TAKEN } from "./outbox.js";

// What came of a sending: the next may go, or none may, or the site failed on this one.
const [NEXT, STOP, FAILED] = ["next", "stop", "failed"];
const MOST_FAILED = 2;
const TOO_LONG_MS = 60_000;
const DAY_MS = 24 * 60 * 60 * 1000;
const KEPT_FOR_MS = 60 * 24 * 60 * 60 * 1000;
// In place of the id of a fish: the photo of one that is half typed, named by its form alone.
const HALF_TYPED = "half-typed ";

export async function sha256Of(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Photos whose fish the office has, in the order taken; and those that nobody waits for.
export function sortedOut(photos, records, now) {
  const recordOf = new Map(records.map((record) => [record.entry_id, record]));
  const ready = photos.filter(({ entry_id: id }) => recordOf.get(id)?.state === TAKEN);
  // A fish that is written anew takes its photo along; a day later nobody will.
  const isReplaced = (record) => record?.state === REPLACED && now - record.settled_at > DAY_MS;
  const over = ({ entry_id: id, taken_at: at }) => isReplaced(recordOf.get(id)) || now - at > KEPT_FOR_MS;
  return { ready: ready.sort((one, other) => one.taken_at - other.taken_at), over: photos.filter(over) };
}

// `address`: of a fish's photo, with ID and HASH in it. `said` hears of a photo that cannot be kept.
export function makePhotos({ store, fetch, address, now, said }) {
  let busy = false;
  const failed = new Set(); // hashes of photos that the site failed on: they go last

  // Keep a photo for a fish that was saved. False where the phone has no room: the fish stays.
  async function keep(entry, bytes) {
    try {
      await store.putPhoto({ entry_id: entry.entry_id, person: entry.person, sha256: await sha256Of(bytes), bytes, taken_at: now().getTime() });
      return true;
    } catch {
      return false;
    }
  }

  const ofFish = async () => (await store.allPhotos()).filter(({ entry_id: id }) => !id.startsWith(HALF_TYPED));
  const waiting = () => ofFish().catch(() => []);

  // Keep the photo of a fish that is half typed. Return the name that opens it again, or nothing
  // where the phone has no room.
  async function keepHalfTyped(bytes) {
    const sha256 = await sha256Of(bytes);
    const isKept = await store.putPhoto({ entry_id: HALF_TYPED + sha256, sha256, bytes, taken_at: now().getTime() }).then(
      () => true,
      () => false,
    );
    return isKept ? sha256 : undefined;
  }

  const halfTyped = async (sha256) => (await store.allPhotos()).find(({ entry_id: id }) => id === HALF_TYPED + sha256)?.bytes;

  const dropHalfTyped = (sha256) => store.dropPhoto({ entry_id: HALF_TYPED + sha256, sha256 }).catch(() => {});

  // Let go of the photos of half typed fish but those that a form still names; tell whether any.
  // One younger than `youngest` stays: its form may be about to name it.
  async function dropOtherHalfTyped(named, youngest = 0) {
    const all = await store.allPhotos().catch(() => []);
    const isOver = ({ entry_id: id, sha256, taken_at: at }) => id.startsWith(HALF_TYPED) && !named.includes(sha256) && now().getTime() - at >= youngest;
    const over = all.filter(isOver);
    for (const { sha256 } of over) await dropHalfTyped(sha256);
    return over.length > 0;
  }

  // A fish that was refused is written anew under another id, and keeps its photo.
  async function move(from, to) {
    const photo = (await store.allPhotos()).find((one) => one.entry_id === from);
    if (!photo) return;
    await store.putPhoto({ ...photo, entry_id: to });
    await store.dropPhoto(photo);
  }

  async function send(records, people) {
    if (busy) return;
    busy = true;
    try {
      const { ready, over } = sortedOut(await ofFish(), records, now().getTime());
      for (const photo of over) await giveUp(photo, records);
      await sendAll(ready.sort((one, other) => failed.has(one.sha256) - failed.has(other.sha256)), people);
    } catch {
      // The store is closed or the phone asleep: photos wait, and are tried with the next sending.
    } finally {
      busy = false;
    }
  }

  async function giveUp(photo, records) {
    await store.dropPhoto(photo);
    // A fish that was written anew has another photo by now.
    const isReplaced = records.some(({ entry_id: id, state }) => id === photo.entry_id && state === REPLACED);
    if (!isReplaced) said("The office could not take it for 60 days. Its fish is kept.");
  }

  // One photo that the site fails on holds no other up; where it fails on two, it is the site.
  async function sendAll(photos, people) {
    let failures = 0;
    for (const photo of photos) {
      const came = await sendOne(photo, people.find(({ key }) => key === photo.person));
      if (came === FAILED) failed.add(photo.sha256);
      failures += came === FAILED;
      if (came === STOP || failures === MOST_FAILED) return;
    }
  }

  // Without an answer of our own no other is tried.
  async function sendOne(photo, person) {
    if (!person?.token) return NEXT;
    const answer = await put(photo, person.token);
    if (answer === undefined || answer.status === 429) return STOP;
    if (answer.status >= 500) return FAILED;
    if (answer.status === 200 || answer.status === 201) await store.dropPhoto(photo);
    else if (answer.status === 400 && answer.code !== "damaged") {
      await store.dropPhoto(photo);
      said(answer.detail);
    }
    return NEXT;
  }

  async function put({ entry_id: id, sha256, bytes }, token) {
    try {
      const answer = await fetch(address.replace("ID", id).replace("HASH", sha256), { method: "PUT", headers: { "Content-Type": "image/jpeg", Authorization: `Token ${token}` }, body: bytes, credentials: "omit", redirect: "error", cache: "no-store", signal: AbortSignal.timeout(TOO_LONG_MS) });
      const words = answer.status === 400 ? await answer.json() : {};
      return { status: answer.status, ...words };
    } catch {
      return undefined;
    }
  }

  // Facts go before photos: where a fish finds no room, every photo that waits makes some.
  async function makeRoom() {
    const photos = await waiting();
    const madeSome = await dropOtherHalfTyped([]);
    for (const photo of photos) await store.dropPhoto(photo);
    const dropped = photos.length === 1 ? "1 photo was" : `${photos.length} photos were`;
    if (photos.length > 0) said(`The phone is full: ${dropped} dropped. All fish are kept.`);
    return madeSome || photos.length > 0;
  }

  return { keep, move, send, waiting, makeRoom, keepHalfTyped, halfTyped, dropHalfTyped, dropOtherHalfTyped };
}

