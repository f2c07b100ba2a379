// A fish that was just saved can be deleted, and one that was just deleted put back: once each,
// however often a thumb taps.

import { make } from "./dom.js";
import { fieldsOf } from "./fields.js";
import { vialsOf } from "./lists.js";
import { REFUSED, digitsOf } from "./outbox.js";
import { grouped } from "./rules.js";
import { isSecondTap, pageChanged } from "./taps.js";

const named = ({ words }) => (words.vial ? grouped(digitsOf(words.vial)) : "(no vial)");

// Write a deleted fish down as a fish of its own: the one that was deleted stays so, on record.
// Return its entry, or nothing where its vial holds another fish by now.
export async function putBackFish(app, { entry_id: id, words }) {
  if (words.vial && vialsOf(app.person, app.records).usedHere.has(digitsOf(words.vial))) {
    app.say(`${named({ words })} holds another fish now`, { more: "Enter this fish with its own vial" });
    return undefined;
  }
  const names = [...Object.keys(fieldsOf("fish")), "unit"];
  const facts = names.filter((name) => words[name] !== undefined).map((name) => [name, words[name]]);
  const entry = await app.save("fish", Object.fromEntries(facts), { partyId: words.party_id });
  if (entry) await app.photos.move(id, entry.entry_id).catch(() => {});
  return entry;
}

// Say that a fish is deleted; `action` is a button that puts it back.
export function sayDeleted(app, fish, action) {
  app.say(`Deleted ${named(fish)}`, { more: fish.words.vial ? "Vial can be reused" : "It no longer counts", action });
}

export const sayPutBack = (app, fish, action) => app.say(`Put back ${named(fish)}`, { action });

export function makeUndo(app, { deleted }) {
  let justDeleted = new Set(); // their rows stay where they were, until the next fish is saved
  let answeredAt = 0;

  // After one tap another may lie under the same thumb: a moment passes before any is answered.
  const once = (work) => (fish) => {
    if (isSecondTap(answeredAt)) return undefined;
    answeredAt = Date.now();
    return work(fish);
  };

  // The form loses what was wrong with it, and what stood below moves up under the thumb.
  function showDeleted(fish) {
    pageChanged();
    deleted(fish);
  }

  const isRefused = ({ entry_id: id }) => app.records.some((record) => record.entry_id === id && record.state === REFUSED);

  const remove = once(async (fish) => {
    if (isRefused(fish)) return app.go("look");
    justDeleted.add(fish.entry_id);
    if (!(await app.save("withdrawal", { about_entry_id: fish.entry_id }))) {
      justDeleted.delete(fish.entry_id);
      return;
    }
    sayDeleted(app, fish, ["Put back", named(fish), () => putBack(fish)]);
    showDeleted(fish);
  });

  const putBack = once(async (fish) => {
    const entry = await putBackFish(app, fish);
    if (!entry) return;
    justDeleted.delete(fish.entry_id);
    justDeleted = new Set();
    sayPutBack(app, entry, undoing(entry));
    showDeleted(fish);
    await app.refresh();
  });

  function saySaved(entry, words, more) {
    justDeleted = new Set();
    app.say(words, { more, action: undoing(entry) });
  }

  const undoing = (entry) => ["Undo", named(entry), () => remove(entry)];

  return {
    saySaved,
    isJustDeleted: (fish) => justDeleted.has(fish.entry_id),
    forget: () => (justDeleted = new Set()),
    button(fish, number) {
      const unseen = make("span", { className: "unseen" }, ` ${fish.words.vial ? number : fish.words.length}`);
      const [words, work] = fish.withdrawn ? ["Put back", putBack] : ["Undo", remove];
      return make("button", { type: "button", className: "button", onclick: () => work(fish) }, words, unseen);
    },
  };
}
