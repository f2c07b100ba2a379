// A whole trip as a list: every fish with its state, corrected or deleted until the office has its
// vial; a trip that was ended, opened again on its day; and what a new day asks.

import { fishInHand } from "./closing.js";
import { makeCounted } from "./counted.js";
import { byId, make, refill } from "./dom.js";
import { namesFor, sexInWords, speciesOf, vialsOf } from "./lists.js";
import { HELD, REFUSED, REPLACED, TAKEN, closingOf, digitsOf, isMovable, mayBeReopened, openParty } from "./outbox.js";
import { nameOf } from "./party.js";
import { dayText, grouped, localDay, weightText } from "./rules.js";
import { sayIdle } from "./saved.js";
import { pageChanged } from "./taps.js";
import { isOfAnotherDay } from "./trip_rules.js";
import { rowsOf, tripsOf } from "./trips.js";
import { askForMore, wereGiven } from "./vials_left.js";
import { putBackFish, sayDeleted, sayPutBack } from "./undo.js";

const EARLIER_SHOWN = 10;

export function makeTrip(app) {
  const list = byId("trip-fish");
  const counted = makeCounted(app, byId("trip-counted"), show);
  const opened = new Set(); // rows that are open stay so while their state changes
  const deleted = new Map(); // fish deleted since the list was opened, which may be put back
  const moved = new Map(); // the places of those put back, by their new ids
  let shownId;
  let changing = false;

  const own = () => app.records.filter((record) => record.person === app.person.key);
  const zone = () => app.lake().time_zone;

  // ---------- The list ----------

  function show() {
    if (!app.party || changing) return;
    if (shownId !== app.party.party_id) {
      opened.clear();
      deleted.clear();
      moved.clear();
    }
    shownId = app.party.party_id;
    const rows = rowsOf(own(), shownId);
    const toFix = rows.filter((row) => row.fix).length;
    byId("trip-head").textContent = app.party.interview_key ? `Interview ${app.party.interview_key}, ${day()}` : `${app.party.arm}, ${day()}`;
    byId("trip-count").textContent = rows.length;
    showVialsLeft();
    byId("trip-to-fix").textContent = toFix;
    const closing = closingOf(own(), shownId);
    showEnd(closing);
    byId("trip-shift").hidden = Boolean(closing) || !fishInHand(app).some(isMovable);
    sayIdle(rows.length > 0 ? "Tap a fish to correct or delete it." : "");
    const places = inPlace(rows);
    refill(list, [rows, [...deleted.keys()]], () => places.map(({ fish, n, isDeleted }) => (isDeleted ? deletedRow(fish) : row(fish, n))));
    counted.show();
    byId("trip-none").hidden = places.length > 0 || !byId("trip-counted").hidden;
  }

  function showVialsLeft() {
    const { left } = vialsOf(app.person, app.records, undefined, app.party);
    const few = closingOf(own(), shownId) ? "" : askForMore(left, wereGiven(app.person.lists));
    byId("trip-left").textContent = left.length;
    byId("trip-few").hidden = !few;
    byId("trip-few").firstElementChild.textContent = few;
  }

  // The last fish first. A fish that is deleted or put back stays where it was.
  function inPlace(rows) {
    const placeOf = ({ entry_id: id, seq }) => moved.get(id) ?? seq;
    const all = [...rows.map((fish) => ({ fish })), ...[...deleted.values()].map((fish) => ({ fish, isDeleted: true }))];
    let n = 0;
    all.sort((one, other) => placeOf(one.fish) - placeOf(other.fish));
    return all.map((one) => (one.isDeleted ? one : { ...one, n: (n += 1) })).reverse();
  }

  const day = () => dayText(app.party.caught_on).replace(/,? \d{4}$/, "");

  function showEnd(closing) {
    const endedAt = closing && new Date(closing.words.written_at);
    const today = closing && !isOfAnotherDay(endedAt, app.now(), zone());
    for (const node of document.querySelectorAll("#panel-trip [data-open]")) node.hidden = Boolean(closing);
    byId("trip-ended").hidden = !closing;
    const may = mayBeReopened(app.records, app.person.key, shownId);
    byId("trip-reopen").hidden = !(today && may);
    if (!closing) return;
    const at = endedAt.toLocaleTimeString("en-US", { timeZone: zone(), hour: "numeric", minute: "2-digit" });
    const whyNot = today ? "A later trip has fish, so this one can't be reopened." : "A trip can be reopened only on the day it ended.";
    const when = today ? `today, ${at}` : dayText(localDay(endedAt, zone()));
    byId("trip-ended-words").textContent = [`Ended ${when}.`, today && may ? "" : whyNot].join(" ").trim();
  }

  function stateOf({ state, received, fix }) {
    if (fix || state === REFUSED) return "To fix";
    if (received) return "With office";
    if (state === HELD) return "Office is checking";
    return state === TAKEN ? "Sent" : "On phone";
  }

  function row(fish, n) {
    const state = stateOf(fish);
    const number = numberOf(fish);
    const errors = fish.fix ? Object.values(fish.fix.errors ?? {}).flat() : [];
    const details = make(
      "details",
      { open: opened.has(fish.entry_id) || Boolean(fish.fix), ontoggle: ({ target }) => (target.open ? opened.add(fish.entry_id) : opened.delete(fish.entry_id)) },
      make("summary", {}, make("span", { className: "fish-n" }, String(n)), make("span", { className: "fish-what" }, make("span", { className: "fish-line" }, make("span", { className: "vial" }, number), make("span", { className: "fish-state", dataset: { state } }, state)), make("span", {}, what(fish.words)))),
      ...errors.map((sentence) => make("p", { className: "fix-words" }, sentence)),
      slipOf(fish.words),
      fish.received ? make("p", {}, "The office has this vial. Ask the office to correct it.") : actions(fish, number),
    );
    return make("li", fish.fix ? { className: "to-fix" } : {}, details);
  }

  // For whoever gave the fish at a clerk's table, to write on a slip.
  function slipOf({ vial }) {
    const word = app.lake().for_others && vial && app.person.lists.slips?.[digitsOf(vial)];
    if (!word) return null;
    const place = `${location.host}${app.addresses.howOld}`;
    return make("p", { className: "slip" }, "Slip for the angler: ", make("strong", {}, `${grouped(digitsOf(vial))} ${word}`), make("br"), `How old was my fish? ${place}`);
  }

  function actions(fish, number) {
    const unseen = () => make("span", { className: "unseen" }, ` ${number}`);
    const correct = () => (fish.fix ? app.mend(fish.fix, "fish") : app.correctFish(fish));
    return make(
      "div",
      { className: "buttons" },
      make("button", { type: "button", className: "button", onclick: correct }, fish.fix ? "Fix" : "Correct", unseen()),
      make("button", { type: "button", className: "button", onclick: () => remove(fish) }, "Delete", unseen()),
    );
  }

  const numberOf = ({ words }) => (words.vial ? grouped(digitsOf(words.vial)) : "No vial");

  function what(words) {
    const sex = sexInWords(words.sex, namesFor([app.person]).sexes);
    const weight = words.weight_g && weightText(words.weight_g, app.lake().weight_unit ?? "g");
    const tag = words.tag_number && `tag ${words.tag_number}`;
    return [`${speciesOf(app.lake(), words.species)?.name ?? words.species}`, `${words.length} ${words.unit}`, sex, weight, tag, words.note].filter(Boolean).join(", ");
  }

  // ---------- Deleted, and put back ----------

  // One at a time, and the list is shown once it is done: no row comes and goes under a thumb.
  async function change(work) {
    if (changing) return;
    changing = true;
    try {
      await work();
      await app.refresh();
    } finally {
      changing = false;
    }
    pageChanged();
    show();
  }

  // A fish that was refused was never counted: it stays on the phone, marked.
  const remove = (fish) =>
    change(async () => {
      if (fish.fix) await app.store.putEntries([{ ...fish.fix, state: REPLACED, settled_at: Date.now() }]);
      if (fish.state !== REFUSED && !(await app.save("withdrawal", { about_entry_id: fish.entry_id }))) return;
      deleted.set(fish.entry_id, fish);
      sayDeleted(app, fish, ["Put back", numberOf(fish), () => putBack(fish)]);
    });

  function deletedRow(fish) {
    const back = make("button", { type: "button", className: "button", onclick: () => putBack(fish) }, "Put back", make("span", { className: "unseen" }, ` ${numberOf(fish)}`));
    return make("li", { className: "fish-deleted" }, make("p", {}, make("span", { className: "vial" }, numberOf(fish)), ` deleted: ${what(fish.words)}`), back);
  }

  const putBack = (fish) =>
    change(async () => {
      const entry = deleted.has(fish.entry_id) && (await putBackFish(app, fish));
      if (!entry) return;
      moved.set(entry.entry_id, moved.get(fish.entry_id) ?? fish.seq);
      deleted.delete(fish.entry_id);
      sayPutBack(app, fish);
    });

  byId("trip-reopen").addEventListener("click", async () => {
    const { kind: _kind, schema: _schema, entry_id: _id, party_id: _party, written_at: _at, zone: _zone, signed_in: _who, app: _app, lake: _lake, interview_key: _key, donor_name: _donor, confirmed: _codes, ...facts } = app.party;
    // A later trip is empty here, and ends: one trip is open at a time.
    const later = openParty(app.records, app.person.key);
    if (later && !(await app.save("party_closed", {}, { partyId: later.party_id }))) return;
    if (!(await app.save("party_changed", { ...facts, reopen: "yes" }))) return;
    app.say(`${app.party.arm}: the trip is open again.`);
    app.logNext();
  });

  // ---------- Trips before this one ----------

  function showEarlier() {
    const openId = app.party?.party_id;
    const trips = tripsOf(app.records, app.person.key).filter(({ party }) => party && party.party_id !== openId).slice(0, EARLIER_SHOWN);
    byId("party-earlier").hidden ||= trips.length === 0;
    byId("earlier").replaceChildren(...trips.map(earlierRow));
  }

  function earlierRow({ party, closing, fish, counted: count }) {
    const name = party.interview_key ? nameOf(party) : `${party.arm}, ${dayText(party.caught_on)}`;
    const words = [`${fish} fish`, count > 0 && `${count} counted`, !closing && "not ended"].filter(Boolean).join(", ");
    return make("li", {}, make("button", { type: "button", className: "button", onclick: () => app.openTrip(party.party_id) }, make("strong", {}, name), ` ${words}`));
  }

  return { show, showEarlier };
}

// ---------- A new day ----------

export function makeDay(app) {
  byId("day-carry").addEventListener("click", () => app.carryOn());

  return {
    show({ fish, goesOn }) {
      const { party } = app;
      const day = dayText(party.caught_on).replace(/,? \d{4}$/, "");
      const which = party.interview_key ? nameOf(party) : `The trip of ${dayText(party.caught_on)}`;
      byId("day-head").textContent = `${which} is still open`;
      byId("day-lead").textContent = `${party.arm}, ${fish} fish. Today is ${dayText(localDay(app.now(), app.lake().time_zone))}. Which trip is the next fish from?`;
      byId("day-carry").textContent = `Carry on with ${day}`;
      byId("day-end").textContent = `End the trip of ${day}`;
      byId("day-start").classList.toggle("button-next", !goesOn);
      byId("day-carry").classList.toggle("button-next", goesOn);
    },
  };
}
