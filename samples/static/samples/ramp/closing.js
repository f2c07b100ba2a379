// The end of a party: the count in hand, vials off by one, fish that were only counted.

import { ask, byId, chosen, clearSaid, fillChoices, fillSelect, make, showErrors, valuesOf } from "./dom.js";
import { speciesOf } from "./lists.js";
import { digitsOf, fishOf } from "./outbox.js";
import { endsWith, grouped, step } from "./rules.js";

const MOST_IN_A_COUNT = 10_000;
const isWhole = (text, least, most) => /^[0-9]+$/.test(text) && Number(text) >= least && Number(text) <= most;

export function fishInHand(app) {
  const own = app.records.filter((record) => record.person === app.person.key);
  return fishOf(own, app.party.party_id, step).filter((fish) => !fish.withdrawn);
}

// Numbers that were skipped between the first and the last vial of a party.
export function gapsIn(numbers) {
  const sorted = [...numbers].sort();
  const used = new Set(sorted);
  const gaps = [];
  for (let number = sorted[0]; number && number < sorted.at(-1) && gaps.length < 10; number = step(number, 1)) {
    if (!used.has(number)) gaps.push(number);
  }
  return gaps;
}

function onSubmit(form, work) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    work();
  });
}

export function makeCloseForm(app) {
  const form = byId("form-close");
  let confirmed = new Set();

  onSubmit(form, submit);
  form.addEventListener("input", () => {
    clearSaid(form);
    confirmed = new Set();
  });

  async function submit() {
    clearSaid(form);
    const { count_in_hand: count, last_number: last } = valuesOf(form);
    if (!isWhole(count, 0, 9_999)) {
      showErrors(form, { count_in_hand: "How many vials with otoliths are in your hand? Count them." });
      return;
    }
    const questions = questionsAbout(Number(count), digitsOf(last)).filter(({ code }) => !confirmed.has(code));
    if (questions.length > 0) {
      const close = (code) => [["Close it with this", () => (confirmed.add(code), submit()), false], ["Shift vials by one", () => app.go("shift"), false]];
      questions.map((question) => ask(form, question, close(question.code)))[0].focus();
      return;
    }
    const fish = fishInHand(app).length;
    if (!(await app.save("party_closed", { count_in_hand: Number(count), last_number: last }))) return;
    form.reset();
    app.say(`The party is closed with ${fish} fish.`);
    app.endParty();
  }

  function questionsAbout(count, last) {
    const numbers = fishInHand(app).map((fish) => digitsOf(fish.words.vial)).filter(Boolean).sort();
    const asked = [];
    if (count !== numbers.length) {
      const gaps = gapsIn(numbers);
      const skipped = gaps.length > 0 ? ` Skipped in between: ${gaps.map(grouped).join(", ")}.` : "";
      asked.push({ code: "count_differs", field: "count_in_hand", sentence: `${count} in hand, but ${numbers.length} logged with a vial. Was one skipped or logged twice?${skipped}` });
    }
    if (last && numbers.length > 0 && !endsWith(numbers.at(-1), last)) {
      asked.push({ code: "last_number_differs", field: "last_number", sentence: `The last number logged is ${grouped(numbers.at(-1))}. If every number after one vial is off by one, shift them first.` });
    }
    return asked;
  }

  return {
    show() {
      clearSaid(form);
      confirmed = new Set();
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
      showErrors(form, { by: "Which way? Choose the next vial or the one before." });
      return;
    }
    if (!(await app.save("shift", { from_vial: from, by: Number(by) }, { replaced: app.takeReplaced("shift") }))) return;
    app.say("The vials are shifted. What stood there is kept.");
    app.restart();
  });

  return {
    show() {
      clearSaid(form);
      const fish = fishInHand(app).filter((one) => one.words.vial).sort((one, other) => digitsOf(one.words.vial).localeCompare(digitsOf(other.words.vial)));
      fillSelect(form.elements.from_vial, fish.map(({ words }) => ({ code: digitsOf(words.vial), name: `${grouped(digitsOf(words.vial))}, ${speciesOf(app.lake(), words.species)?.short_name} ${words.length} ${words.unit}` })));
      fillChoices(way, "by", [{ code: "1", name: "The next vial" }, { code: "-1", name: "The vial before" }], "");
    },
  };
}

export function makeCountForm(app) {
  const form = byId("form-count");
  const species = byId("count-species");

  onSubmit(form, async () => {
    clearSaid(form);
    const { count } = valuesOf(form);
    const errors = {};
    if (!chosen(species)) errors.species = "Which species? Choose one.";
    if (!count) errors.count = "How many were counted? Give a number.";
    else if (!isWhole(count, 1, MOST_IN_A_COUNT)) errors.count = "Give a whole number from 1 to 10,000.";
    if (Object.keys(errors).length > 0) {
      showErrors(form, errors);
      return;
    }
    if (!(await app.save("unmeasured_count", { species: chosen(species), count: Number(count) }, { replaced: app.takeReplaced("unmeasured_count") }))) return;
    app.say(`${count} ${speciesOf(app.lake(), chosen(species)).short_name} counted.`);
    form.reset();
    show();
  });

  function show() {
    clearSaid(form);
    fillChoices(species, "species", app.lake().species);
    const counts = app.records.filter(({ words }) => words.kind === "unmeasured_count" && words.party_id === app.party.party_id);
    byId("counted").replaceChildren(
      ...counts.map(({ words }) => make("li", {}, make("strong", {}, String(words.count)), ` ${speciesOf(app.lake(), words.species)?.name ?? words.species}`)),
    );
  }

  return { show };
}
