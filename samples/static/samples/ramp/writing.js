// Writing down: one entry at a time, and what is half typed.

import { settledAndDone } from "./forget.js";
import { showNotice, showTrouble } from "./head.js";
import * as outbox from "./outbox.js";
import { StoreFull } from "./store.js";

// `written`: what else is done once an entry is on disk.
export function makeWriting(app, { written }) {
  let saving = false;

  async function keep(name, value) {
    try {
      await app.store.keepInHand(name, value);
    } catch (problem) {
      // A draft that could not be kept is still on the page.
      if (!(problem instanceof StoreFull)) showTrouble(problem);
    }
  }

  // Write one entry down. Return it only once it is on disk; else the page says so and nothing
  // typed is lost. A thumb that taps twice says it once.
  async function save(kind, facts, more) {
    if (saving) return undefined;
    saving = true;
    try {
      return await write(kind, facts, more);
    } finally {
      saving = false;
    }
  }

  async function write(kind, facts, { replaced, partyId = replaced?.words.party_id ?? app.party?.party_id } = {}) {
    let record;
    try {
      record = outbox.newEntry(kind, facts, {
        person: app.person.key,
        partyId,
        now: app.now(),
        zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
        newId: () => outbox.uuid7(Date.now(), crypto.getRandomValues(new Uint8Array(10))),
      });
      await addMakingRoom(record, replaced);
    } catch (problem) {
      showTrouble(problem);
      return undefined;
    }
    showNotice("trouble");
    await written();
    return record;
  }

  async function addMakingRoom(record, replaced) {
    try {
      await app.store.addEntry(record, replaced);
    } catch (problem) {
      if (!(problem instanceof StoreFull)) throw problem;
      await app.store.forgetEntries(await settledAndDone(app));
      await addBeforePhotos(record, replaced);
    }
  }

  async function addBeforePhotos(record, replaced) {
    try {
      await app.store.addEntry(record, replaced);
    } catch (problem) {
      if (!(problem instanceof StoreFull) || !(await app.photos.makeRoom())) throw problem;
      await app.store.addEntry(record, replaced);
    }
  }

  return { keep, save };
}
