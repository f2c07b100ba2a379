// The last fish of a trip below the form, each deleted, put back or corrected there.

import { byId, make, refill } from "./dom.js";
import { namesFor, sexInWords, speciesOf } from "./lists.js";
import { digitsOf, isMovable } from "./outbox.js";
import { grouped } from "./rules.js";
import { sayIdle } from "./saved.js";
import { makeUndo } from "./undo.js";

const LAST_SHOWN = 3;

export function inShort(app, { length, unit, species, sex }) {
  const { sexes } = namesFor([app.person]);
  return `${length} ${unit}, ${sexInWords(sex, sexes)}, ${speciesOf(app.lake(), species)?.name ?? species}`;
}

// `fishHere`: the fish of the trip. `correct` and `deleted`: what the form does with one of them.
export function makeLastFish(app, { fishHere, correct, deleted }) {
  const undo = makeUndo(app, { deleted });

  function show() {
    const all = fishHere();
    const fish = all.filter((one) => !one.withdrawn);
    sayIdle(fish.length > 0 ? `${fish.length} fish on this trip` : "No fish on this trip yet");
    const shown = all.filter((one) => !one.withdrawn || undo.isJustDeleted(one)).slice(-LAST_SHOWN).reverse();
    refill(byId("last"), shown, () => shown.map(row));
    byId("last-none").hidden = shown.length > 0;
    for (const node of document.querySelectorAll("[data-with-fish]")) node.hidden = !fish.some(isMovable);
  }

  function row(fish) {
    const { words } = fish;
    const number = words.vial ? grouped(digitsOf(words.vial)) : "No vial";
    const unseen = () => make("span", { className: "unseen" }, ` ${words.vial ? number : words.length}`);
    const held = fish.state === "held" ? [make("br"), "kept for the office to sort out"] : [];
    const correctIt = make("button", { type: "button", className: "button", disabled: fish.withdrawn, onclick: () => correct(fish) }, "Correct", unseen());
    return make(
      "li",
      {},
      make("p", { className: "last-what" }, make("span", { className: "vial" }, number), inShort(app, words), ...held),
      make("div", { className: "buttons" }, undo.button(fish, number), correctIt),
    );
  }

  return { show, forget: undo.forget, saySaved: undo.saySaved };
}
