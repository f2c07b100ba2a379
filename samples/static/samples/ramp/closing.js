// The end of a trip: the count in hand, vials off by one, fish that were only counted.

import { makeCounted } from "./counted.js";
import { ask, byId, chosen, clearSaid, fillChoices, fillSelect, showErrors, valuesOf } from "./dom.js";
import { errorIn, fieldsOf } from "./fields.js";
import { speciesOf, vialsOf } from "./lists.js";
import { digitsOf, fishOf, isMovable } from "./outbox.js";
import { closingQuestions, grouped, step } from "./rules.js";
import { pageChanged } from "./taps.js";
import { doubledIn, skippedIn } from "./trip_rules.js";
import { rowsOf } from "./trips.js";


export function fishInHand(app) {
  const own = app.records.filter((record) => record.person === app.person.key);
  return fishOf(own, app.party.party_id, step).filter((fish) => !fish.withdrawn);
}

function onSubmit(form, work) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    work();
  });
}

const ANYWAY = "End trip anyway";

export function makeCloseForm(app) {
  const form = byId("form-close");
  const save = byId("close-save");
  let confirmed = new Set();

  onSubmit(form, submit);
  form.addEventListener("input", () => {
    clear();
    confirmed = new Set();
  });

  // One question at a time: while it stands, the button under the thumb is quiet.
  function clear(asked = false) {
    clearSaid(form);
    save.classList.toggle("button-next", !asked);
    save.textContent = asked ? "Answer first" : "End trip";
    save.toggleAttribute("aria-disabled", asked);
  }

  async function submit() {
    const { count_in_hand: count, last_number: last } = valuesOf(form);
    clear();
    const { count_in_hand: field } = fieldsOf("party_closed");
    if (!count || errorIn(field, count)) {
      showErrors(form, { count_in_hand: field.error });
      return;
    }
    const [question] = questionsAbout(Number(count), digitsOf(last)).filter(({ code }) => !confirmed.has(code));
    if (question) {
      clear(true);
      ask(form, question, answersTo(question)).focus();
      return;
    }
    const fish = fishInHand(app).length;
    if (!(await app.save("party_closed", { count_in_hand: Number(count), last_number: last }))) return;
    form.reset();
    app.say(`Trip ended with ${fish} fish.`);
    app.go("party");
  }

  function answersTo({ code }) {
    const confirm = () => (confirmed.add(code), submit());
    if (code === "vials_skipped") return [["Yes, empty", confirm, true], ["No, log a fish", () => app.go("fish"), false]];
    if (code === "vials_off_by_one") return [["Vials are off by one", () => app.go("shift"), true], [ANYWAY, confirm, false]];
    return [["Show the fish", () => app.go("trip"), true], [ANYWAY, confirm, false]];
  }

  function questionsAbout(count, last) {
    const all = fishInHand(app).map((fish) => digitsOf(fish.words.vial)).filter(Boolean).sort();
    const { usedHere, usedBefore, inHand } = vialsOf(app.person, app.records);
    const skipped = skippedIn(all, { used: new Set([...usedHere.keys(), ...usedBefore]), inHand });
    return closingQuestions(count, last, { numbers: [...new Set(all)], skipped, doubled: doubledIn(all) });
  }

  return {
    show() {
      clear();
      confirmed = new Set();
      const rows = rowsOf(app.records.filter((record) => record.person === app.person.key), app.party.party_id);
      const toFix = rows.filter((row) => row.fix).length;
      const left = toFix > 0 ? `, ${toFix} to fix` : "";
      byId("close-lead").textContent = `Count the vials with otoliths in your hand. ${rows.length - toFix} fish logged${left}.`;
    },
  };
}

export function makeShiftForm(app) {
  const form = byId("form-shift");
  const way = byId("shift-by");

  onSubmit(form, async () => {
    clearSaid(form);
    const { from_vial: from } = valuesOf(form);
    const by = chosen(way);
    if (!by) {
      showErrors(form, { by: fieldsOf("shift").by.error });
      return;
    }
    if (!(await app.save("shift", { from_vial: from, by: Number(by) }, { replaced: app.takeReplaced("shift") }))) return;
    app.say("Vials moved by one.", { more: heldFrom(digitsOf(from)) || "The old numbers stay on record." });
    app.logNext();
  });

  // Fish that the office is checking do not move: say which.
  function heldFrom(start) {
    const held = fishInHand(app).filter(({ words, held: isHeld }) => isHeld && digitsOf(words.vial) >= start);
    return held.length > 0 ? `Not ${held.map(({ words }) => grouped(digitsOf(words.vial))).join(", ")}: the office is checking` : "";
  }

  return {
    show() {
      clearSaid(form);
      const fish = fishInHand(app).filter(isMovable).sort((one, other) => digitsOf(one.words.vial).localeCompare(digitsOf(other.words.vial)));
      fillSelect(form.elements.from_vial, fish.map(({ words }) => ({ code: digitsOf(words.vial), name: `${grouped(digitsOf(words.vial))}, ${speciesOf(app.lake(), words.species)?.name} ${words.length} ${words.unit}` })));
      fillChoices(way, "by", [{ code: "1", name: "The next vial" }, { code: "-1", name: "The vial before" }], "");
    },
  };
}

export function makeCountForm(app) {
  const form = byId("form-count");
  const species = byId("count-species");
  const counted = makeCounted(app, byId("counted"), show);

  onSubmit(form, async () => {
    clearSaid(form);
    const { count } = valuesOf(form);
    const errors = {};
    if (!chosen(species)) errors.species = fieldsOf("fish").species.error;
    const sentence = errorIn(fieldsOf("unmeasured_count").count, count);
    if (sentence) errors.count = sentence;
    if (Object.keys(errors).length > 0) {
      showErrors(form, errors);
      return;
    }
    if (!(await app.save("unmeasured_count", { species: chosen(species), count: Number(count) }, { replaced: app.takeReplaced("unmeasured_count") }))) return;
    app.say(`${count} ${speciesOf(app.lake(), chosen(species)).name} counted.`);
    pageChanged();
    form.reset();
    show();
  });

  function show() {
    clearSaid(form);
    fillChoices(species, "species", app.lake().species);
    counted.show();
  }

  return { show };
}
