// One fish after another: what is typed, what is asked, and what is written down.

import { makeAsking } from "./asking.js";
import { byId, choose, chosen, clearSaid, fillChoices, make, showErrors, valuesOf } from "./dom.js";
import { fieldsOf } from "./fields.js";
import { readFish, vialMeant } from "./fish_facts.js";
import { inShort, makeLastFish } from "./last_fish.js";
import { makeLengthBox } from "./length_box.js";
import { seasonOf, speciesOf, vialsOf } from "./lists.js";
import { makeMoreFacts } from "./more_facts.js";
import { makePhotoBox } from "./photo_box.js";
import { REFUSED, REPLACED, digitsOf, fishOf } from "./outbox.js";
import { reveal } from "./reveal.js";
import * as rules from "./rules.js";
import { makeSpinesHelp } from "./spines.js";
import { isSecondTap, pageChanged } from "./taps.js";
import { leftInShort, wereGiven } from "./vials_left.js";

const VIAL_CODES = ["wrong_check_digit", "vial_used", "vial_elsewhere", "vial_other_year"];
const LENGTH_CODES = ["missing_point", "length_out_of_range", "millimetres_meant", "inches_meant", "centimetres_meant"];
const WITH_VIAL = [{ code: "yes", name: "In a vial" }, { code: "no", name: "No vial" }];

export function makeFishForm(app) {
  const form = byId("form-fish");
  const more = makeMoreFacts(form);
  const photo = makePhotoBox(app, { changed: keepDraft });
  const field = { vial: form.elements.namedItem("vial"), length: form.elements.namedItem("length"), ...more.field };
  const species = byId("fish-species");
  const sex = byId("fish-sex");
  const withVial = byId("fish-with-vial");
  const save = byId("fish-save");
  const length = makeLengthBox(field.length, () => unit());
  const spines = makeSpinesHelp({ lake: () => lake(), field, species, changed: () => form.dispatchEvent(new Event("input", { bubbles: true })) });
  const last = makeLastFish(app, { fishHere: () => fishHere(), correct: startCorrecting, deleted: afterDelete });
  const asking = makeAsking(form, { unit: () => unit(), take: takeOffer, confirm: (code) => (confirmed.add(code), submit()) });
  let correcting; // {entry_id, words, record}: a fish that stands, or an entry that was refused
  let confirmed = new Set();
  let filledFor = "";
  let busy = false;
  let savedAt = 0;
  let suggested = ""; // the vial that was offered, as long as nobody typed another

  const lake = () => app.lake();
  const unit = () => lake().length_unit;

  // ---------- Filling in ----------

  function fill() {
    const key = JSON.stringify([app.person.key, lake(), app.person.lists.sexes, app.person.lists.takes]);
    if (key === filledFor) return;
    filledFor = key;
    fillChoices(species, "species", lake().species);
    fillChoices(sex, "sex", app.person.lists.sexes);
    byId("fish-unit").textContent = unit();
    fillChoices(withVial, "with_vial", WITH_VIAL, chosen(withVial) || "yes");
    byId("fish-with-vial-row").hidden = !lake().for_others;
    more.fill(app.person.lists, lake());
    photo.show(app.person.lists.takes?.includes("photo"));
    spines.fill();
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

  function startNext() {
    correcting = undefined;
    confirmed = new Set();
    clearSaid(form);
    suggested = rules.grouped(nextNumber() ?? "");
    field.vial.value = suggested;
    length.put("");
    more.clear();
    photo.turnTo(`${app.person.key} ${app.party?.party_id}`);
    choose(sex, "");
    showMode();
  }

  // A fish that is only measured takes no number; what was set stays for the next one.
  const isWithoutVial = () => lake().for_others && chosen(withVial) === "no";

  function setWithVial(yes) {
    choose(withVial, yes ? "yes" : "no");
    showVial();
  }

  function showVial() {
    showLeft();
    byId("fish-vial-field").hidden = isWithoutVial();
  }

  function showLeft() {
    const [words, warning] = leftInShort(vialsOf(app.person, app.records, undefined, app.party).left, wereGiven(app.person.lists));
    byId("fish-vials-left").replaceChildren(warning ? make("strong", {}, words) : words);
  }

  function showMode() {
    byId("correcting").hidden = !correcting;
    save.textContent = correcting ? "Save correction" : "Save fish";
    save.className = "button button-next button-main";
    save.removeAttribute("aria-disabled");
    if (correcting) byId("correcting-words").textContent = correctingWords(correcting);
    showNow();
  }

  function correctingWords({ words, record }) {
    const number = words.vial ? rules.grouped(digitsOf(words.vial)) : "fish without a vial";
    return record ? `Fix ${number}: the office could not take it` : `Correcting ${number}, ${nameOf(words.species)} ${words.length} ${words.unit}`;
  }

  const nameOf = (code) => speciesOf(lake(), code)?.name ?? "";

  // What stays from fish to fish, in one line, where the keyboard leaves no room for its fields.
  function showNow() {
    showVial();
    spines.showCount();
    byId("now-vial").textContent = isWithoutVial() ? "No vial" : field.vial.value || "Vial?";
    byId("now-more").textContent = [speciesOf(lake(), chosen(species))?.name ?? "Species?", app.party?.arm].filter(Boolean).join(", ");
  }

  function correct(fish) {
    fill();
    correcting = fish;
    confirmed = new Set(fish.words.confirmed ?? []);
    clearSaid(form);
    const { words } = fish;
    if (lake().for_others) setWithVial(Boolean(words.vial));
    field.vial.value = words.vial ? rules.grouped(digitsOf(words.vial)) : "";
    length.put(words.unit === unit() ? words.length : `${words.length} ${words.unit}`);
    more.put(words);
    photo.turnTo(fish.entry_id);
    choose(species, words.species);
    choose(sex, words.sex);
    showMode();
    if (fish.record) showErrors(form, fish.record.errors);
    app.typing(true);
  }

  // ---------- While typing ----------

  field.length.addEventListener("input", () => forget(LENGTH_CODES));
  field.length.addEventListener("focus", () => correcting && field.length.select());
  field.vial.addEventListener("focus", () => field.vial.select());
  field.vial.addEventListener("input", () => forget(VIAL_CODES));
  field.vial.addEventListener("change", () => {
    completeVial();
    showNow();
  });
  byId("now").addEventListener("click", () => (isWithoutVial() ? byId("fish-with-vial-row") : field.vial).scrollIntoView({ block: "center" }));
  withVial.addEventListener("change", () => {
    forget(VIAL_CODES);
    if (!field.vial.value && !isWithoutVial()) field.vial.value = rules.grouped(nextNumber());
  });
  species.addEventListener("change", () => forget([...LENGTH_CODES, "spines_do_not_fit"]));
  window.addEventListener("resize", () => form.contains(document.activeElement) && document.activeElement === field.length && showFields());
  form.addEventListener("input", () => {
    if (form.querySelector("[data-said]")) {
      clearSaid(form);
      app.say("");
      showMode();
    }
    showNow();
    keepDraft();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    submit();
  });
  byId("correct-not").addEventListener("click", () => endCorrecting({ leaves: Boolean(correcting?.record) || app.isElsewhere() }));

  function forget(codes) {
    for (const code of codes) confirmed.delete(code);
  }

  // The fish that a correction is about keeps its vial, whatever id the correction has.
  const correctedId = () => correcting?.words.about_entry_id ?? correcting?.entry_id;

  function completeVial() {
    const number = vialMeant(field.vial.value, knownVials());
    if (number) field.vial.value = rules.grouped(number);
  }

  const knownVials = () => vialsOf(app.person, app.records, correctedId(), app.party);

  const isHalfTyped = () => Boolean(field.length.value || chosen(sex) || correcting || photo.has() || more.isBegun());

  const typedWords = () => ({ ...valuesOf(form), weight_g: field.weight_g.value, species: chosen(species), sex: chosen(sex) });

  // The next fish and a correction are kept apart: neither is written over the other.
  function keepDraft() {
    const words = typedWords();
    const kept = { person: app.person.key, party: app.party?.party_id, words, suggested, typed: length.typed(), confirmed: [...confirmed], photo: photo.kept() };
    const about = correcting && { entry_id: correcting.entry_id, refused: Boolean(correcting.record) };
    if (about) app.keep("correction", { ...kept, about });
    else app.keep("draft", kept);
    app.typing(isHalfTyped());
  }

  // What was half typed when the phone went away, or before a correction, stands there again.
  // An older version kept a correction in the place of the next fish: that one is let go.
  function restore(draft) {
    if (draft?.person !== app.person.key) return;
    if (lake().for_others) setWithVial(draft.words.with_vial !== "no");
    if (draft.party !== app.party.party_id || draft.about) return;
    const { words } = draft;
    const begun = Boolean(words.length || words.sex || draft.photo);
    if (words.vial !== draft.suggested || (begun && isFree(words.vial))) field.vial.value = words.vial ?? "";
    restoreWords(draft);
  }

  function restoreWords({ words, typed, confirmed: codes, photo: keptPhoto }) {
    field.length.value = words.length ?? "";
    more.put(words);
    length.restore(field.length.value, typed);
    choose(species, words.species);
    choose(sex, words.sex);
    confirmed = new Set(codes);
    photo.restore(keptPhoto);
    showNow();
    app.typing(isHalfTyped());
  }

  const isFree = (vial) => !knownVials().usedHere.has(digitsOf(vial));

  function restoreCorrecting(kept) {
    if (kept?.person !== app.person.key || kept.party !== app.party.party_id) return false;
    const { entry_id: id, refused } = kept.about;
    const record = app.records.find((one) => one.entry_id === id);
    const fish = refused ? record?.state === REFUSED && { entry_id: id, words: record.words, record } : fishHere().find((one) => one.entry_id === id && !one.withdrawn);
    if (!fish) return false;
    correct(fish);
    field.vial.value = kept.words.vial ?? "";
    restoreWords(kept);
    return true;
  }

  // ---------- Reading and asking ----------

  function read() {
    completeVial();
    const values = { ...typedWords(), noVial: isWithoutVial() };
    const said = readFish(values, { lake: lake(), vials: knownVials(), placedFrom: length.placedFrom(), fields: fieldsOf("fish") });
    return { ...said, questions: said.questions.filter(({ code }) => !confirmed.has(code)) };
  }

  // A second tap is no second fish, and no form with nothing in it.
  async function submit() {
    if (busy || (!isHalfTyped() && isSecondTap(savedAt))) return;
    busy = true;
    try {
      await app.refresh().catch(() => {}); // another tab may have used this vial meanwhile
      await check();
    } finally {
      busy = false;
    }
  }

  async function check() {
    clearSaid(form);
    const { errors, facts, kind, questions } = read();
    const wrong = Object.keys(errors);
    showMode();
    if (wrong.length + questions.length > 0) app.say("Not saved yet", { more: "Check the field below", passing: true });
    more.openFor(wrong);
    if (wrong.length > 0) showErrors(form, errors);
    const offered = questions.filter(({ stands }) => stands === false);
    if (wrong.length > offered.length) asking.offer(offered, kind);
    else if (questions.length > 0) asking.ask(questions, kind);
    else await write({ ...facts, confirmed: confirmed.size > 0 ? [...confirmed].sort() : "" });
  }

  function takeOffer(about, text) {
    if (about === "length") length.put(text);
    else field.vial.value = text;
    forget(about === "length" ? LENGTH_CODES : VIAL_CODES);
    submit();
  }

  async function write(facts) {
    const { kind, about, replaced } = howToWrite();
    const keepPhoto = photo.handOver();
    const entry = await app.save(kind, { ...facts, about_entry_id: about }, { replaced });
    if (!entry) return;
    keepPhoto({ ...entry, entry_id: about ?? entry.entry_id }, replaced);
    photo.clear();
    const of = facts.vial || "(no vial)";
    const short = inShort(app, facts);
    navigator.vibrate?.(40);
    savedAt = Date.now();
    const lastOne = facts.vial && wereGiven(app.person.lists) && knownVials().left.length === 0 ? "Last vial used. " : "";
    if (kind === "fish") last.saySaved(entry, `Saved ${of}`, `${lastOne}${short}`);
    else app.say(`Corrected ${of}`, { more: short });
    if (correcting) await endCorrecting({ leaves: app.isElsewhere() });
    else startNext();
    if (app.isElsewhere()) return;
    keepDraft();
    (field.vial.value || isWithoutVial() ? field.length : field.vial).focus({ preventScroll: true });
    showFields();
  }

  // What comes next is in view: the length, and the sex below it where there is room.
  const showFields = () => reveal(document.activeElement === field.vial ? byId("fish-vial-field") : byId("fish-length-field"), byId("fish-sex-field"));

  // A fish that stands gets a correction of its own; an entry that was refused is written anew.
  function howToWrite() {
    if (!correcting) return { kind: "fish" };
    const { record, entry_id: id } = correcting;
    if (!record) return { kind: "correction", about: id };
    const replaced = { ...record, state: REPLACED, settled_at: Date.now() };
    return { kind: record.words.kind, about: record.words.about_entry_id, replaced };
  }

  // ---------- Corrected, and back to the next fish ----------

  function startCorrecting(fish) {
    pageChanged();
    correct(fish);
    field.length.focus({ preventScroll: true });
    field.length.select();
    showFields();
  }

  // `leaves`: it was put right for a trip that is over, or for the list of its trip.
  async function endCorrecting({ leaves }) {
    // Fetched first: what is typed once the next fish is seen stays.
    const draft = leaves ? undefined : await app.store.inHand("draft");
    letGo();
    if (leaves) return app.leave();
    pageChanged();
    startNext();
    restore(draft);
    app.typing(isHalfTyped());
  }

  function letGo() {
    if (correcting) photo.clear();
    correcting = undefined;
    app.keep("correction", undefined);
  }

  async function afterDelete(fish) {
    if (correcting?.entry_id === fish.entry_id) await endCorrecting({ leaves: false });
    else if (!isHalfTyped()) startNext();
    if (!correcting) keepDraft();
  }

  return {
    show({ draft, correction, vial }) {
      last.forget();
      fill();
      if (!correcting && !restoreCorrecting(correction)) {
        startNext();
        restore(draft);
      }
      if (vial) {
        setWithVial(true);
        field.vial.value = rules.grouped(vial);
      }
      showNow();
      last.show();
    },
    refresh() {
      if (!app.party) return;
      fill();
      last.show();
    },
    correct,
    isCorrecting: () => Boolean(correcting),
    // Left for another part of the page, a correction is over: no next fish is typed over it.
    leave(kept) {
      if (correcting || kept) letGo();
    },
    isHalfTyped,
    takeVial(number) {
      setWithVial(true);
      field.vial.value = rules.grouped(number);
      forget(VIAL_CODES);
      showNow();
      keepDraft();
      field.length.focus();
    },
  };
}
