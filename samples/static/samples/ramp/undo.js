// A fish that was just saved can be deleted, and one that was just deleted put back: once each,
// however often a thumb taps.

import { make } from "./dom.js";
import { vialsOf } from "./lists.js";
import { REFUSED, digitsOf } from "./outbox.js";
import { grouped } from "./rules.js";
import { isSecondTap } from "./saved.js";

// What an entry says of itself, and not of the fish.
const OF_THE_ENTRY = new Set(["kind", "schema", "entry_id", "party_id", "written_at", "zone", "signed_in", "app", "about_entry_id"]);

export function makeUndo(app, { deleted }) {
  let justDeleted = new Set(); // their rows stay where they were, until the next fish is saved
  let answeredAt = 0;

  // After one tap another may lie under the same thumb: a moment passes before any is answered.
  const once = (work) => (fish) => {
    if (isSecondTap(answeredAt)) return undefined;
    answeredAt = Date.now();
    return work(fish);
  };

  const isRefused = ({ entry_id: id }) => app.records.some((record) => record.entry_id === id && record.state === REFUSED);

  const remove = once(async (fish) => {
    if (isRefused(fish)) return app.go("look");
    justDeleted.add(fish.entry_id);
    if (!(await app.save("withdrawal", { about_entry_id: fish.entry_id }))) {
      justDeleted.delete(fish.entry_id);
      return;
    }
    const more = fish.words.vial ? "Vial can be reused" : "It no longer counts";
    app.say(`Deleted ${named(fish)}`, { more, action: ["Put back", named(fish), () => putBack(fish)] });
    deleted(fish);
  });

  // It is written down as a fish of its own: the one that was deleted stays so, on record.
  const putBack = once(async (fish) => {
    const { vial } = fish.words;
    if (vial && vialsOf(app.person, app.records).usedHere.has(digitsOf(vial))) {
      app.say(`${named(fish)} holds another fish now`, { more: "Enter this fish with its own vial" });
      return;
    }
    const facts = Object.fromEntries(Object.entries(fish.words).filter(([name]) => !OF_THE_ENTRY.has(name)));
    const entry = await app.save("fish", facts);
    if (!entry) return;
    justDeleted.delete(fish.entry_id);
    saySaved(entry, `Put back ${named(fish)}`);
    deleted(fish);
    await app.refresh();
  });

  function saySaved(entry, words, more) {
    justDeleted = new Set();
    app.say(words, { more, action: ["Undo", named(entry), () => remove(entry)] });
  }

  const named = ({ words }) => (words.vial ? grouped(digitsOf(words.vial)) : "no vial");

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
