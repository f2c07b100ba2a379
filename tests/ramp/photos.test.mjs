// Photos: sent after their fish and never before, sent again until an answer of our own, dropped
// only where they cannot be kept; and no room for one is no trouble for a fish.

import assert from "node:assert/strict";
import test from "node:test";

import { letGoOfOld } from "../../samples/static/samples/ramp/forget.js";
import { makePhotos, sha256Of, sortedOut } from "../../samples/static/samples/ramp/photos.js";
import { allPhotos, dropPhoto, putPhoto } from "../../samples/static/samples/ramp/photo_store.js";
import { IndexedDB } from "../upgrade/indexed_db.mjs";

const DAY_MS = 24 * 60 * 60 * 1000;
const NOW = Date.parse("2026-05-06T17:30:00Z");
const people = [{ key: "7", token: "t" }];
const bytes = new Uint8Array([255, 216, 255, 1]).buffer;
const fish = (id, state, more = {}) => ({ entry_id: id, person: "7", state, ...more });

function phone({ answers = [], isFull = false } = {}) {
  const kept = new Map();
  const sent = [];
  const said = [];
  const photos = makePhotos({
    store: {
      allPhotos: async () => [...kept.values()],
      putPhoto: async (photo) => {
        if (isFull) throw new DOMException("full", "QuotaExceededError");
        kept.set(photo.entry_id, photo);
      },
      dropPhoto: async ({ entry_id: id, sha256 }) => kept.get(id)?.sha256 === sha256 && kept.delete(id),
    },
    fetch: async (address, { body }) => {
      sent.push([address, body]);
      const answer = answers.shift() ?? { status: 201 };
      await answer.meanwhile?.();
      if (answer === "silence") throw new Error("no signal");
      return { status: answer.status, json: async () => answer };
    },
    address: "/fish/ID/photo/HASH/",
    now: () => new Date(NOW),
    said: (words) => said.push(words),
  });
  return { photos, kept, sent, said };
}

test("a photo waits for its fish, goes once it was taken, and leaves the phone", async () => {
  const { photos, kept, sent } = phone();
  await photos.keep(fish("f"), bytes);
  for (const state of ["waiting", "sending", "held", "refused"]) await photos.send([fish("f", state)], people);
  assert.deepEqual([sent.length, kept.size], [0, 1]);
  await photos.send([fish("f", "taken")], people);
  assert.deepEqual(sent, [[`/fish/f/photo/${await sha256Of(bytes)}/`, bytes]]);
  assert.equal(kept.size, 0);
});

test("without an answer of our own it stays, and the next is not tried", async () => {
  for (const answer of ["silence", { status: 503 }, { status: 429 }, { status: 400, code: "damaged" }, { status: 404 }, { status: 401 }]) {
    const { photos, kept, said } = phone({ answers: [answer] });
    await photos.keep(fish("f"), bytes);
    await photos.send([fish("f", "taken")], people);
    assert.deepEqual([kept.size, said.length], [1, 0], JSON.stringify(answer));
  }
  const { photos, sent } = phone({ answers: ["silence"] });
  await photos.keep(fish("one"), bytes);
  await photos.keep(fish("two"), bytes);
  await photos.send([fish("one", "taken"), fish("two", "taken")], people);
  assert.equal(sent.length, 1);
});

test("one that the site fails on is passed by, and tried last from then on; a second one ends the round", async () => {
  const { photos, kept, sent } = phone({ answers: [{ status: 500 }, { status: 201 }, { status: 503 }] });
  const all = ["one", "two", "three", "four"];
  for (const [place, id] of all.entries()) {
    await photos.keep(fish(id), new Uint8Array([place]).buffer);
    kept.get(id).taken_at += place;
  }
  const round = async () => {
    await photos.send(all.map((id) => fish(id, "taken")), people);
    return sent.splice(0).map(([address]) => address.split("/")[2]);
  };
  assert.deepEqual(await round(), ["one", "two", "three"]);
  assert.deepEqual([...kept.keys()], ["one", "three", "four"]);
  assert.deepEqual(await round(), ["four", "one", "three"]);
  assert.equal(kept.size, 0);
});

test("one that cannot be kept is dropped, and said so", async () => {
  const { photos, kept, said } = phone({ answers: [{ status: 400, code: "broken_photo", detail: "It ends early." }] });
  await photos.keep(fish("f"), bytes);
  await photos.send([fish("f", "taken")], people);
  assert.deepEqual([kept.size, said], [0, ["It ends early."]]);
});

test("a photo that was replaced while the one before it was sent stays, and goes next", async () => {
  const newer = new Uint8Array([255, 216, 255, 2]).buffer;
  for (const answer of [{ status: 201 }, { status: 400, code: "broken_photo", detail: "It ends early." }]) {
    const { photos, kept, sent } = phone({ answers: [{ ...answer, meanwhile: () => photos.keep(fish("f"), newer) }] });
    await photos.keep(fish("f"), bytes);
    await photos.send([fish("f", "taken")], people);
    assert.equal(kept.get("f").sha256, await sha256Of(newer));
    await photos.send([fish("f", "taken")], people);
    assert.deepEqual([sent.length, sent.at(-1)[1], kept.size], [2, newer, 0]);
  }
});

test("the phone's store lets go of the very photo that is named, and of no other of its fish", async () => {
  globalThis.indexedDB = new IndexedDB();
  await putPhoto({ entry_id: "f", sha256: "newer" });
  await dropPhoto({ entry_id: "f", sha256: "older" });
  assert.equal((await allPhotos()).length, 1);
  await dropPhoto({ entry_id: "f", sha256: "newer" });
  assert.deepEqual(await allPhotos(), []);
});

test("a phone without room says no, and drops photos for the sake of a fish", async () => {
  assert.equal(await phone({ isFull: true }).photos.keep(fish("f"), bytes), false);
  const { photos, kept, said } = phone();
  assert.equal(await photos.makeRoom(), false);
  await photos.keep(fish("one"), bytes);
  await photos.keep(fish("two"), bytes);
  assert.equal(await photos.makeRoom(), true);
  assert.equal(kept.size, 0);
  assert.match(said[0], /^The phone is full: 2 photos were dropped\. All fish are kept\.$/);
});

test("a fish that is written anew takes its photo along, and one that nobody waits for goes", async () => {
  const { photos, kept } = phone();
  await photos.keep(fish("refused"), bytes);
  await photos.move("refused", "again");
  await photos.move("none", "other");
  assert.deepEqual([...kept.keys()], ["again"]);
  const replaced = (ago) => [fish("f", "replaced", { settled_at: NOW - ago })];
  const photo = { entry_id: "f", taken_at: NOW };
  assert.deepEqual([sortedOut([photo], replaced(1000), NOW).over, sortedOut([photo], replaced(2 * DAY_MS), NOW).over], [[], [photo]]);
  const old = { entry_id: "g", taken_at: NOW - 61 * DAY_MS };
  assert.deepEqual(sortedOut([old], [], NOW).over, [old]);
});

test("whoever is on the phone hears of a photo that is given up", async () => {
  const { photos, kept, said } = phone();
  await photos.keep(fish("f"), bytes);
  kept.get("f").taken_at -= 61 * DAY_MS;
  await photos.send([], people);
  assert.deepEqual([kept.size, said.length], [0, 1]);
  assert.match(said[0], /60 days/);
});

test("a closed store is no trouble for facts", async () => {
  const photos = makePhotos({ store: { allPhotos: () => Promise.reject(new Error("closed")) }, fetch: undefined, address: "", now: () => new Date(NOW), said: () => {} });
  await photos.send([fish("f", "taken")], people);
  assert.equal(await photos.makeRoom(), false);
  assert.deepEqual(await photos.waiting(), []);
});

test("a person whose photo waits stays on the phone, with the token it goes under", async () => {
  const { photos, kept } = phone();
  const gone = [];
  const app = { stored: [], people: [{ key: "7" }, { key: "8" }], person: { key: "8" }, photos, store: { inHand: async () => undefined, dropPerson: async (key) => gone.push(key) }, forgetTold: async () => {}, now: () => new Date(NOW) };
  await photos.keep(fish("f"), bytes);
  await letGoOfOld(app);
  assert.deepEqual(gone, []);
  kept.clear();
  await letGoOfOld(app);
  assert.deepEqual(gone, ["7"]);
});

test("the photo of a half typed fish is opened again, never sent, and goes with its form", async () => {
  const { photos, kept, sent, said } = phone();
  const name = await photos.keepHalfTyped(bytes);
  const other = await photos.keepHalfTyped(new Uint8Array([255, 216, 255, 2]).buffer);
  await photos.send([fish("f", "taken")], people);
  assert.deepEqual([sent, said, await photos.waiting()], [[], [], []]);
  assert.deepEqual(await photos.halfTyped(name), bytes);

  await photos.dropOtherHalfTyped([name, undefined]);
  assert.deepEqual([await photos.halfTyped(name), await photos.halfTyped(other)], [bytes, undefined]);
  await photos.dropHalfTyped(name);
  assert.equal(kept.size, 0);
});

test("a photo that its form has not named yet stays, and one that none names for long goes", async () => {
  const { photos, kept } = phone();
  const app = { stored: [], people: [], photos, now: () => new Date(NOW), forgetTold: async () => {}, store: { inHand: async () => undefined, forgetEntries: async () => {}, dropPerson: async () => {} } };
  const name = await photos.keepHalfTyped(bytes);
  await letGoOfOld(app);
  assert.deepEqual(await photos.halfTyped(name), bytes);

  for (const photo of kept.values()) photo.taken_at -= 11 * 60 * 1000;
  await letGoOfOld(app);
  assert.equal(kept.size, 0);
});

test("a full phone keeps no photo of a half typed fish, and one makes room for facts", async () => {
  assert.equal(await phone({ isFull: true }).photos.keepHalfTyped(bytes), undefined);
  const { photos, kept } = phone();
  await photos.keepHalfTyped(bytes);
  assert.equal(await photos.makeRoom(), true);
  assert.equal(kept.size, 0);
});
