// A trip, an interview or a net set: started once; changed when it was written down wrongly or
// when the boat moved on.

import { ask, byId, choose, chosen, clearSaid, fillChoices, fillSelect, showErrors, valuesOf } from "./dom.js";
import { errorIn, fieldsOf, valueOf } from "./fields.js";
import { lakeOf, lakesOf, seasonOf } from "./lists.js";
import { mayBeReopened } from "./outbox.js";
import { dateQuestions, dayText, localDay } from "./rules.js";

const PLAIN = ["fish_in_box", "every_nth", "interview_key", "donor_name", "net_nights", "net_mesh_mm"];
const STAYS = ["lake", "arm", "reach", "method", "how_chosen", "every_nth", "kept", "net_nights", "net_mesh_mm"];

// A trip by its interview, or by its place and day.
export function nameOf(party) {
  return party.interview_key ? `Interview ${party.interview_key}` : `The trip ${party.arm}, ${dayText(party.caught_on)}`;
}

export function makePartyForm(app) {
  const form = byId("form-party");
  const save = byId("party-save");
  const field = (name) => form.elements[name];
  const kept = byId("party-kept");
  let confirmed = new Set();
  let armChange = "";
  let changing = false;

  const lake = () => lakeOf(app.person, field("lake").value);

  function fill(words) {
    const { lists } = app.person;
    fillSelect(field("lake"), lakesOf(app.person).map(({ lake: code, name }) => ({ code, name })), { value: words.lake });
    fillSelect(field("method"), lists.methods, { value: words.method ?? (lake().for_others ? "creel" : "angler_kept") });
    fillSelect(field("how_chosen"), lists.how_chosen, { value: words.how_chosen });
    fillChoices(kept, "kept", lists.kept, words.kept ?? "fresh");
    fillPlaces(words.arm, words.reach);
    for (const name of PLAIN) field(name).value = words[name] ?? "";
    byId("party-nets").open = Boolean(words.net_nights || words.net_mesh_mm);
    field("caught_on").value = words.caught_on;
    showWhatFits();
  }

  function fillPlaces(arm, reach) {
    const arms = lake().arms.map(({ name }) => ({ code: name, name }));
    fillSelect(field("arm"), arms, { first: arms.length === 1 ? undefined : "Choose", value: arm ?? "" });
    fillReaches(reach);
  }

  function fillReaches(reach) {
    const reaches = lake().arms.find(({ name }) => name === field("arm").value)?.reaches ?? [];
    fillSelect(field("reach"), reaches.map((name) => ({ code: name, name })), { first: "Not recorded", value: reach ?? "" });
    field("reach").closest(".field").hidden = reaches.length === 0;
  }

  function showWhatFits() {
    field("lake").closest(".field").hidden = changing || lakesOf(app.person).length < 2;
    byId("party-nth-field").hidden = field("how_chosen").value !== "every_nth";
    for (const node of form.querySelectorAll("[data-for-others]")) node.hidden = !lake().for_others;
    for (const name of ["interview_key", "donor_name"]) field(name).closest(".field").hidden = changing;
    byId("party-earlier").hidden = changing;
    showNoun();
    showAround();
  }

  // What the season asks of them, and what is still needed from the arm.
  function showAround() {
    const { caught_on: day, arm } = valuesOf(form);
    app.help.remind(byId("party-rules"), changing ? undefined : lake(), day);
    if (changing) byId("party-needed").hidden = true;
    else app.needed.showBelow(byId("party-needed"), arm, lake().lake);
  }

  // The trip of a boat, an interview or a net set, by its method.
  function noun() {
    const { method } = valuesOf(form);
    return method === "creel" ? "interview" : method === "trap_net" ? "net set" : "trip";
  }

  function showNoun() {
    const name = noun();
    byId("party-head").textContent = changing ? `Change the ${name}` : `Start ${name === "interview" ? "an" : "a"} ${name}`;
    byId("party-lead").textContent = changing ? `The change applies to the fish of this ${name} too.` : `Fill in once per ${name}.${endsBefore()}`;
    save.textContent = changing ? "Save the change" : `Start ${name}`;
  }

  const endsBefore = () => (app.party && !app.takeReplaced("party_opened") ? ` ${nameOf(app.party)} (${app.fishCount()} fish) ends when you start.` : "");

  form.addEventListener("input", (event) => {
    clear();
    if (event.target === field("caught_on")) confirmed = new Set();
    armChange = "";
  });
  field("lake").addEventListener("change", () => {
    fillPlaces();
    showWhatFits();
  });
  field("arm").addEventListener("change", () => {
    fillReaches();
    showAround();
  });
  field("how_chosen").addEventListener("change", showWhatFits);
  field("method").addEventListener("change", showNoun);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    submit();
  });

  function read() {
    const values = { ...valuesOf(form), lake: lake().lake, kept: chosen(kept) };
    const errors = {};
    if (values.how_chosen !== "every_nth") values.every_nth = "";
    else if (!values.every_nth) errors.every_nth = "Enter the sampling interval, such as 2 for every second fish.";
    for (const [name, one] of Object.entries(fieldsOf("party_opened"))) {
      const sentence = errorIn(one, values[name]);
      if (sentence) errors[name] = sentence;
      if (values[name]) values[name] = valueOf(one, values[name]);
    }
    return { errors, values };
  }

  function clear(asked = false) {
    clearSaid(form);
    save.classList.toggle("button-next", !asked);
  }

  async function submit() {
    clear();
    const { errors, values } = read();
    if (Object.keys(errors).length > 0) {
      showErrors(form, errors);
      return;
    }
    const today = localDay(app.now(), lake().time_zone);
    const dates = dateQuestions(values.caught_on, today, seasonOf(lake(), values.caught_on));
    const [question] = dates.filter(({ code }) => !confirmed.has(code));
    if (question) {
      askAboutDate(question, values.caught_on);
      return;
    }
    await (changing ? change(values) : open(values));
  }

  function askAboutDate(question, day) {
    const stays = [`${dayText(day)} is right`, () => (confirmed.add(question.code), submit()), false];
    const take = () => {
      field("caught_on").value = question.suggestion;
      submit();
    };
    clear(true);
    ask(form, question, question.suggestion ? [[dayText(question.suggestion), take, true], stays] : [stays]).focus();
  }

  const answers = () => (confirmed.size > 0 ? [...confirmed].sort() : "");

  async function open(values) {
    const facts = { ...values, confirmed: answers() };
    const replaced = app.takeReplaced("party_opened");
    // The next trip ends the one before it; its vials were not counted.
    const before = replaced ? undefined : app.party;
    const more = before ? `${nameOf(app.party)} ended with ${app.fishCount()} fish.` : "";
    if (before && !(await app.save("party_closed", {}))) return;
    const written = await app.save("party_opened", facts, { partyId: replaced?.words.party_id ?? null, replaced });
    if (!written) return;
    await takeHalfTypedAlong(before, written.words);
    await app.keep("last_party", { person: app.person.key, words: Object.fromEntries(STAYS.map((name) => [name, values[name]])) });
    app.say(`${values.arm}: the ${noun()} is open.`, { more });
    app.logNext();
  }

  // A fish that was half typed before its trip was started belongs to the new one.
  async function takeHalfTypedAlong(before, opened) {
    const draft = await app.store.inHand("draft");
    if (!before || draft?.party !== before.party_id || before.lake !== opened.lake) return;
    if (draft.words.length || draft.words.sex || draft.photo) await app.keep("draft", { ...draft, party: opened.party_id });
  }

  async function change(values) {
    const { lake: _lake, interview_key: _key, donor_name: _donor, ...facts } = values;
    if (values.arm !== app.party.arm && app.hasFish() && !armChange) {
      askAboutArm(values.arm);
      return;
    }
    const replaced = app.takeReplaced("party_changed");
    // A reopening that was not accepted stays one when it is put right.
    const reopen = mayBeReopened(app.records, app.person.key, app.party.party_id) ? replaced?.words.reopen : "";
    const written = await app.save("party_changed", { ...facts, arm_change: armChange || "wrong", confirmed: answers(), reopen }, { replaced });
    if (!written) return;
    app.say(`The ${noun()} is changed.`);
    app.go("fish");
  }

  function askAboutArm(arm) {
    const answer = (code) => () => {
      armChange = code;
      submit();
    };
    const question = {
      field: "arm",
      code: "arm",
      sentence: `${arm} instead of ${app.party.arm}? Were the fish so far from ${arm} too, or did you move there after them?`,
    };
    clear(true);
    ask(form, question, [["Wrong arm for these fish", answer("wrong"), false], ["We moved on", answer("moved"), false]]).focus();
  }

  return {
    // `words`: what the form starts from. A change starts from the party as it reads by now.
    show({ change: changes = false, words = {} } = {}) {
      changing = changes;
      confirmed = new Set();
      armChange = "";
      clear();
      const known = words.lake ? words : { ...words, lake: lakesOf(app.person)[0].lake };
      const today = localDay(app.now(), lakeOf(app.person, known.lake).time_zone);
      fill({ caught_on: today, ...known });
      choose(kept, known.kept ?? "fresh");
    },
    // What the office sent back: its question about the date gets a button to answer it.
    showRefused({ reason, errors }) {
      const { caught_on: [sentence] = [], ...others } = errors;
      if (reason !== "needs_answer" || !sentence) {
        showErrors(form, errors);
        return;
      }
      showErrors(form, others);
      askAboutDate({ field: "caught_on", code: "date_out_of_season", sentence }, field("caught_on").value);
    },
  };
}
