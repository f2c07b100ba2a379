// Sends what waits: one sender at a time, in the order written, until an answer of our own.
// Store, network, lock, clock and chance are passed in, so that Node's runner can test it.

import * as outbox from "./outbox.js";

const TOO_LONG_MS = 10_000;
const LOCK = "earstone-sender";
// A batch that the server stumbles over this often is sent in halves.
const STUMBLES = 3;

export const NO_SIGNAL = "no_signal";
export const SIGNAL = "signal";
export const NOT_OURS = "not_ours";

// `addresses`: {outbox, lists}. `told(state)` hears of every change: {signal, linkNeeded, updateNeeded}.
export function makeSender({ store, fetch, locks, now, random, later, told, addresses }) {
  const state = { signal: undefined, linkNeeded: new Set(), updateNeeded: false };
  let tries = 0;
  let size = outbox.BATCH;
  let timer;
  let asked = false;

  function tell(changes) {
    Object.assign(state, changes);
    told(state);
  }

  // Ask for a sending. However often it is asked, one runs and at most one waits behind it.
  async function send({ again = false } = {}) {
    if (again) state.linkNeeded.clear();
    if (asked) return;
    asked = true;
    clearTimeout(timer);
    await alone(async () => {
      asked = false;
      await store.putEntries(outbox.recover(await store.allEntries()));
      while (await sendOne());
      tell({}); // what another tab has sent shows here too
    });
  }

  // Without locks (plain HTTP, old phones) the server's own memory of ids still holds.
  function alone(work) {
    return locks ? locks.request(LOCK, work) : work();
  }

  async function sendOne() {
    const [records, people] = await Promise.all([store.allEntries(), store.allPeople()]);
    const byKey = new Map(people.map((person) => [person.key, person]));
    noteWhoseLinkIsNeeded(records, byKey);
    const maySend = (key) => Boolean(byKey.get(key)?.token) && !state.linkNeeded.has(key);
    const person = outbox.nextPerson(records, maySend);
    if (!person) return false;
    const batch = outbox.nextBatch(records, person, size).map(outbox.onItsWay);
    await store.putEntries(batch);
    return judged(await post(batch, byKey.get(person).token), batch);
  }

  function noteWhoseLinkIsNeeded(records, byKey) {
    const waiting = records.filter((record) => record.state === outbox.WAITING);
    const unknown = waiting.filter(({ person }) => !byKey.get(person)?.token && !state.linkNeeded.has(person));
    if (unknown.length === 0) return;
    for (const { person } of unknown) state.linkNeeded.add(person);
    tell({});
  }

  async function post(batch, token) {
    try {
      const answer = await fetch(addresses.outbox, {
        method: "POST",
        headers: { "Content-Type": "application/json", Authorization: `Token ${token}` },
        body: JSON.stringify(outbox.asBody(batch)),
        credentials: "omit",
        redirect: "error",
        cache: "no-store",
        signal: AbortSignal.timeout(TOO_LONG_MS),
      });
      const heard = { status: answer.status, type: answer.headers.get("Content-Type"), text: await answer.text(), retryAfter: answer.headers.get("Retry-After") };
      return outbox.readAnswer(heard, batch);
    } catch {
      return { kind: "silence" };
    }
  }

  async function judged(answer, batch) {
    if (answer.kind === "answered") return settled(answer, batch);
    if (answer.kind === "batch_refused") return refusedWhole(batch);
    await store.putEntries(batch.map(outbox.backInQueue));
    if (answer.kind === "link_needed") {
      tell({ signal: SIGNAL, linkNeeded: state.linkNeeded.add(batch[0].person) });
      return true; // another person's entries may still go
    }
    if (answer.kind === "too_often") return waitAsTold(answer.waitMs);
    return tryLater(answer.kind);
  }

  // Our server asks for a pause: that is no trouble, and smaller batches would only be more of them.
  function waitAsTold(ms) {
    tell({ signal: SIGNAL });
    timer = later(() => send(), ms);
    return false;
  }

  function tryLater(kind) {
    tries += 1;
    if (kind === "trouble" && tries % STUMBLES === 0) size = outbox.smaller(size);
    tell({ signal: kind === "silence" ? NO_SIGNAL : NOT_OURS });
    timer = later(() => send(), outbox.waitBefore(tries, random));
    return false;
  }

  async function settled(answer, batch) {
    const after = outbox.settle(batch, answer.results, now());
    await store.putEntries(after);
    if (after.every((record) => record.state === outbox.WAITING)) return tryLater("trouble");
    tries = 0;
    size = Math.min(outbox.BATCH, size * 2);
    tell({ signal: SIGNAL, updateNeeded: state.updateNeeded || answer.updateNeeded });
    return true;
  }

  async function refusedWhole(batch) {
    size = outbox.smaller(batch.length);
    await store.putEntries(outbox.afterBatchRefused(batch, now()));
    tell({ signal: SIGNAL });
    return true;
  }

  // Fetch the pick lists anew; also the way to learn whether our server can be reached.
  async function refreshLists(person) {
    if (!person?.token) return;
    const askedAt = now().getTime();
    let answer;
    try {
      answer = await fetch(addresses.lists, {
        headers: { Authorization: `Token ${person.token}` },
        credentials: "omit",
        redirect: "error",
        cache: "no-store",
        signal: AbortSignal.timeout(TOO_LONG_MS),
      });
      const lists = await answer.json();
      if (answer.status === 401 || answer.status === 403) {
        tell({ signal: SIGNAL, linkNeeded: state.linkNeeded.add(person.key) });
        return;
      }
      if (!answer.ok) throw new Error(answer.status);
      await keepLists(person, lists, askedAt);
    } catch {
      tell({ signal: answer ? NOT_OURS : NO_SIGNAL });
      return;
    }
    state.linkNeeded.delete(person.key);
    tell({ signal: SIGNAL });
  }

  // Meanwhile the person may have opened a new link: its token stays.
  async function keepLists(person, lists, askedAt) {
    const known = (await store.allPeople()).find((one) => one.key === person.key);
    if (known) await store.putPerson({ ...known, name: lists.person.name, lists, lists_at: askedAt });
  }

  // The browser says that the network went: until an answer comes nothing is known.
  function lose() {
    tell({ signal: undefined });
  }

  return { send, refreshLists, lose, state };
}
