// One fish after another: what is typed, what is asked, and what is written down.

import { board } from "./board.js";
import { ask, byId, choose, chosen, clearSaid, fillChoices, fillSelect, make, refill, showErrors, valuesOf } from "./dom.js";
import { seasonOf, speciesOf, vialsOf } from "./lists.js";
import { REFUSED, REPLACED, digitsOf, fishOf } from "./outbox.js";
import * as rules from "./rules.js";

const LAST_SHOWN = 3;
const LAST_DIGITS = 5;
const HELPED = new Set(["spines", "told_by", "weight_g"]);
const VIAL_CODES = ["wrong_check_digit", "vial_used", "vial_elsewhere", "vial_other_year"];
const LENGTH_CODES = ["missing_point", "length_out_of_range", "millimetres_meant", "inches_meant", "centimetres_meant"];
const VIAL_ANSWERS = {
  wrong_check_digit: "The label really says so",
  vial_elsewhere: "The label says so",
  vial_other_year: "The label says so",
  vial_used: "Send it to the office",
};
const WHOLE = { spines: [1, 30], weight_g: [1, 60_000] };

export function makeFishForm(app) {
  const form = byId("form-fish");
  const field = Object.fromEntries(["vial", "length", "spines", "told_by", "weight_g"].map((name) => [name, form.elements.namedItem(name)]));
  const species = byId("fish-species");
  const sex = byId("fish-sex");
  const save = byId("fish-save");
  let correcting; // {entry_id, words, record}: a fish that stands, or an entry that was refused
  let confirmed = new Set();
  let placedFrom = ""; // the digits as typed, where the point was placed by itself
  let filledFor = "";

  const lake = () => app.lake();
  const unit = () => lake().length_unit;

  // ---------- Filling in ----------

  function fill() {
    const key = `${app.person.key} ${lake().lake} ${app.person.listsAt ?? ""}`;
    if (key === filledFor) return;
    filledFor = key;
    fillChoices(species, "species", lake().species);
    fillChoices(sex, "sex", app.person.lists.sexes);
    fillSelect(field.told_by, app.person.lists.told_by);
    byId("fish-unit").textContent = unit() === "in" ? "inches" : "mm";
    byId("fish-vial-hint").textContent = lake().for_others ? "empty if only measured" : "as on the label in your hand";
    fillHelpers();
  }

  function fillHelpers() {
    const groups = lake().groups.filter((group) => lake().species.filter((one) => one.group === group.name).length > 1);
    byId("helpers").replaceChildren(...groups.map(helper));
    for (const [place, group] of groups.entries()) {
      const words = groups.length === 1 ? "Spines?" : `${group.name}?`;
      species.append(make("button", { type: "button", className: "button button-quiet", attributes: { popovertarget: `helper-${place}`, "aria-haspopup": "dialog" } }, words));
    }
  }

  function helper(group, place) {
    const kinds = lake().species.filter((one) => one.group === group.name && one.kind === "species");
    const option = (one) => {
      const lines = [make("strong", {}, one.name)];
      if (one.spines_most) lines.push(make("br"), `${one.spines_least} to ${one.spines_most} spines`);
      if (one.marks) lines.push(make("br"), one.marks);
      return make("li", { className: "option" }, make("p", {}, ...lines));
    };
    const id = `helper-${place}`;
    const back = make("button", { type: "button", className: "button", attributes: { popovertarget: id, popovertargetaction: "hide" } }, "Back to the form");
    return make(
      "div",
      { className: "rise", id, attributes: { popover: "", role: "dialog", "aria-labelledby": `${id}-head` } },
      make("h2", { id: `${id}-head` }, group.heading),
      make("p", {}, group.words),
      make("ul", { className: "two" }, ...kinds.map(option)),
      group.caution ? make("p", { className: "soft" }, group.caution) : null,
      make("p", { className: "soft" }, "It suggests and does not decide. Not sure is an answer too."),
      make("div", { className: "buttons" }, back),
    );
  }

  // ---------- The next number ----------

  function nextNumber() {
    const { inHand, usedHere, usedBefore } = vialsOf(app.person, app.records);
    const last = fishHere().filter((fish) => fish.words.vial && !fish.withdrawn).at(-1);
    const season = seasonOf(lake(), app.party.caught_on);
    return rules.nextNumber({
      lastInParty: digitsOf(last?.words.vial),
      inHand,
      used: [...usedHere.keys(), ...usedBefore],
      year: season?.number_year,
    });
  }

  const fishHere = () => fishOf(app.records.filter((record) => record.person === app.person.key), app.party.party_id, rules.step);

  function startNext({ vial } = {}) {
    correcting = undefined;
    confirmed = new Set();
    placedFrom = "";
    clearSaid(form);
    const number = vial ?? nextNumber();
    field.vial.value = number ? rules.grouped(number) : "";
    for (const name of ["length", "spines", "told_by", "weight_g"]) field[name].value = "";
    byId("fish-more").open = false;
    choose(sex, "");
    showMode();
  }

  function showMode() {
    byId("correcting").hidden = !correcting;
    save.textContent = correcting ? "Save the correction" : "Save and next";
    save.className = "button button-next button-main";
    save.removeAttribute("aria-disabled");
    if (!correcting) return;
    const number = correcting.words.vial ? rules.grouped(digitsOf(correcting.words.vial)) : "The fish";
    byId("correcting-words").textContent = correcting.record ? `${number} was not taken by the office.` : `Correcting ${number}.`;
  }

  function correct(fish) {
    fill();
    correcting = fish;
    confirmed = new Set(fish.words.confirmed ?? []);
    placedFrom = "";
    clearSaid(form);
    const { words } = fish;
    field.vial.value = words.vial ? rules.grouped(digitsOf(words.vial)) : "";
    field.length.value = words.unit === unit() ? words.length : `${words.length} ${words.unit}`;
    for (const name of HELPED) field[name].value = words[name] ?? "";
    byId("fish-more").open = [...HELPED].some((name) => words[name]);
    choose(species, words.species);
    choose(sex, words.sex);
    showMode();
    if (fish.record) showErrors(form, fish.record.errors);
    keepDraft();
  }

  // ---------- While typing ----------

  // Digits alone get their point by themselves: 94 reads 9.4 at once, large, before it is saved.
  field.length.addEventListener("input", (event) => {
    forget(LENGTH_CODES);
    const typed = field.length.value;
    if (event.inputType === "insertText" && /[.,]/.test(event.data ?? "")) placedFrom = undefined;
    if (typed === "") placedFrom = "";
    if (placedFrom === undefined || !/^[0-9.]*$/.test(typed)) return;
    placedFrom = typed.replaceAll(".", "").replace(/^0+(?=[0-9])/, "");
    field.length.value = rules.placePoint(placedFrom, unit());
  });
  field.vial.addEventListener("focus", () => field.vial.select());
  field.vial.addEventListener("input", () => forget(VIAL_CODES));
  field.vial.addEventListener("change", completeVial);
  species.addEventListener("change", () => forget([...LENGTH_CODES, "spines_do_not_fit"]));
  form.addEventListener("input", () => {
    if (form.querySelector("[data-said]")) {
      clearSaid(form);
      showMode();
    }
    keepDraft();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    submit();
  });
  byId("correct-not").addEventListener("click", () => {
    const leaves = Boolean(correcting?.record) || app.isElsewhere();
    if (app.party) startNext();
    keepDraft();
    if (leaves) app.leave();
  });

  function forget(codes) {
    for (const code of codes) confirmed.delete(code);
  }

  // The fish that a correction is about keeps its vial, whatever id the correction has.
  const correctedId = () => correcting?.words.about_entry_id ?? correcting?.entry_id;

  function completeVial() {
    const typed = digitsOf(field.vial.value);
    if (!/^[0-9]+$/.test(typed) || typed.length > LAST_DIGITS) return [];
    const fitting = rules.vialsEnding(vialsOf(app.person, app.records, correctedId()).free, typed);
    if (fitting.length === 1) field.vial.value = rules.grouped(fitting[0]);
    return fitting;
  }

  const isHalfTyped = () => Boolean(field.length.value || chosen(sex) || correcting);

  function keepDraft() {
    const words = { ...valuesOf(form), species: chosen(species), sex: chosen(sex) };
    const about = correcting && { entry_id: correcting.entry_id, refused: Boolean(correcting.record) };
    app.keep("draft", { person: app.person.key, party: app.party?.party_id, words, about, placedFrom, confirmed: [...confirmed] });
    app.typing(isHalfTyped());
  }

  // What was half typed when the phone went away stands there again.
  function restore(draft) {
    if (draft?.person !== app.person.key || draft.party !== app.party.party_id) return;
    if (draft.about && !restoreCorrecting(draft.about)) return;
    for (const name of Object.keys(field)) field[name].value = draft.words[name] ?? "";
    choose(species, draft.words.species);
    choose(sex, draft.words.sex);
    placedFrom = draft.placedFrom;
    confirmed = new Set(draft.confirmed);
    app.typing(isHalfTyped());
  }

  function restoreCorrecting({ entry_id: id, refused }) {
    const record = app.records.find((one) => one.entry_id === id);
    const fish = refused ? record?.state === REFUSED && { entry_id: id, words: record.words, record } : fishHere().find((one) => one.entry_id === id);
    if (fish) correct(fish);
    return Boolean(fish);
  }

  // ---------- Reading and asking ----------

  function read() {
    const errors = {};
    const asked = [];
    const values = valuesOf(form);
    const vial = readVial(errors, asked);
    const kind = speciesOf(lake(), chosen(species));
    if (!kind) errors.species = "Which species? Choose one.";
    const measured = rules.parseLength(values.length, unit());
    if (!values.length) errors.length = "How long was it? Give the total length.";
    else if (measured.code) errors.length = measured.sentence;
    else if (kind) asked.push(...rules.lengthQuestions(measured, kind, { placedFrom: placedFrom ?? "" }));
    if (!chosen(sex)) errors.sex = "Which sex? Choose one; not known is an answer.";
    for (const [name, [least, most]] of Object.entries(WHOLE)) {
      if (values[name] && !isWhole(values[name], least, most)) errors[name] = `Give a whole number from ${least} to ${most.toLocaleString("en")}.`;
    }
    const spines = kind && values.spines && !errors.spines ? rules.spineQuestion(Number(values.spines), kind) : null;
    if (spines) asked.push(spines);
    const facts = {
      vial,
      species: kind?.code,
      length: measured.asMeasured,
      unit: measured.unit,
      sex: chosen(sex),
      spines: values.spines && Number(values.spines),
      told_by: values.told_by,
      weight_g: values.weight_g && Number(values.weight_g),
    };
    return { errors, facts, kind, questions: asked.filter(({ code }) => !confirmed.has(code)) };
  }

  const isWhole = (text, least, most) => /^[0-9]+$/.test(text) && Number(text) >= least && Number(text) <= most;

  function readVial(errors, asked) {
    const fitting = completeVial();
    const typed = field.vial.value.trim();
    if (!typed) {
      if (!lake().for_others) errors.vial = "Which vial? Type the number on its label.";
      return "";
    }
    if (fitting.length > 1) {
      errors.vial = `More than one vial in your hands ends so: ${fitting.map(rules.grouped).join(", ")}. Type the whole number.`;
      return typed;
    }
    const parsed = rules.parseVial(typed);
    if (parsed.code === "wrong_check_digit") asked.push({ ...parsed, field: "vial", suggestion: null });
    else if (parsed.code) errors.vial = parsed.sentence;
    else asked.push(...rules.vialQuestions(parsed.number, vialsOf(app.person, app.records, correctedId(), app.party)));
    return parsed.number ? rules.grouped(parsed.number) : typed;
  }

  async function submit() {
    await app.refresh().catch(() => {}); // another tab may have used this vial meanwhile
    clearSaid(form);
    const { errors, facts, kind, questions } = read();
    if (Object.keys(errors).length > 0) {
      showMode();
      for (const name of Object.keys(errors)) if (HELPED.has(name)) byId("fish-more").open = true;
      showErrors(form, errors);
      return;
    }
    if (questions.length > 0) {
      showQuestions(questions, kind);
      return;
    }
    await write({ ...facts, confirmed: confirmed.size > 0 ? [...confirmed].sort() : "" });
  }

  function showQuestions(questions, kind) {
    const notices = questions.map((question) => ask(form, question, answersTo(question), pictureOf(question, kind)));
    const about = questions[0].field === "vial" ? field.vial.value : questions[0].field === "length" ? field.length.value : kind.short_name;
    save.textContent = `Answer about ${about} first`;
    save.className = "button button-main";
    save.setAttribute("aria-disabled", "true");
    notices[0].focus();
    notices[0].scrollIntoView({ block: "center" });
  }

  function answersTo({ code, field: about, suggestion }) {
    const yes = about === "length" ? `No, it is ${field.length.value}` : (VIAL_ANSWERS[code] ?? "It is right");
    const stays = [yes, () => (confirmed.add(code), submit()), false];
    if (!suggestion) return [stays];
    const take = () => {
      field.length.value = suggestion;
      placedFrom = undefined;
      forget(LENGTH_CODES);
      submit();
    };
    return [[`Yes, ${suggestion}`, take, true], stays];
  }

  function pictureOf({ field: about, suggestion }, kind) {
    return about === "length" ? board(kind, unit(), [suggestion, field.length.value].filter((text) => /^[0-9.]+$/.test(text ?? ""))) : undefined;
  }

  async function write(facts) {
    const { kind, about, replaced } = howToWrite();
    const name = speciesOf(lake(), facts.species).short_name;
    const written = await app.save(kind, { ...facts, about_entry_id: about }, { replaced });
    if (!written) return;
    const sexName = app.person.lists.sexes.find(({ code }) => code === facts.sex).name.toLowerCase();
    const done = correcting ? "corrected" : "saved on this phone";
    app.say(`${facts.vial || "Fish"} ${done}: ${facts.length} ${facts.unit}, ${name} ${sexName}.`);
    navigator.vibrate?.(40);
    if (app.isElsewhere()) {
      correcting = undefined; // it was put right in a trip that is over, or in the list of its trip
      return app.leave();
    }
    startNext();
    keepDraft();
    (field.vial.value || lake().for_others ? field.length : field.vial).focus();
    window.scrollTo(0, 0);
  }

  // A fish that stands gets a correction of its own; an entry that was refused is written anew.
  function howToWrite() {
    if (!correcting) return { kind: "fish" };
    const { record, entry_id: id } = correcting;
    if (!record) return { kind: "correction", about: id };
    const replaced = { ...record, state: REPLACED, settled_at: Date.now() };
    return { kind: record.words.kind, about: record.words.about_entry_id, replaced };
  }

  // ---------- The last fish ----------

  function showLast() {
    const fish = fishHere().filter((one) => !one.withdrawn);
    const shown = fish.slice(-LAST_SHOWN).reverse();
    refill(byId("last"), shown, () => shown.map(lastRow));
    byId("last-none").hidden = shown.length > 0;
    for (const node of document.querySelectorAll("[data-with-fish]")) node.hidden = !fish.some((one) => one.words.vial);
  }

  function lastRow(fish) {
    const { words } = fish;
    const number = words.vial ? rules.grouped(digitsOf(words.vial)) : "No vial";
    const short = speciesOf(lake(), words.species)?.short_name ?? words.species;
    const sexName = app.person.lists.sexes.find(({ code }) => code === words.sex)?.name.toLowerCase();
    const unseen = () => make("span", { className: "unseen" }, ` ${words.vial ? number : words.length}`);
    return make(
      "li",
      {},
      make("p", { className: "last-what" }, make("span", { className: "vial" }, number), `${short} ${words.length} ${words.unit} ${sexName}`, fish.state === "held" ? make("br") : null, fish.state === "held" ? "kept for the office to sort out" : null),
      make(
        "div",
        { className: "buttons" },
        make("button", { type: "button", className: "button", onclick: () => undo(fish, number) }, "Undo", unseen()),
        make("button", { type: "button", className: "button", onclick: () => (correct(fish), field.length.focus()) }, "Correct", unseen()),
      ),
    );
  }

  async function undo(fish, number) {
    const written = await app.save("withdrawal", { about_entry_id: fish.entry_id });
    if (!written) return;
    if (correcting?.entry_id === fish.entry_id) startNext();
    app.say(`${number} is taken back. Its vial is free.`);
    if (!isHalfTyped()) startNext();
    keepDraft();
  }

  return {
    show(draft, vial) {
      fill();
      if (!correcting) startNext();
      restore(draft);
      if (vial) field.vial.value = rules.grouped(vial);
      showLast();
    },
    refresh() {
      if (!app.party) return;
      fill();
      showLast();
    },
    startNext,
    correct,
    isHalfTyped,
    takeVial(number) {
      field.vial.value = rules.grouped(number);
      forget(VIAL_CODES);
      keepDraft();
      field.length.focus();
    },
  };
}
