// What was counted and not measured on a trip, each with the way to take it back.

import { make, refill } from "./dom.js";
import { speciesOf } from "./lists.js";
import { countsOf } from "./outbox.js";
import { pageChanged } from "./taps.js";

// `changed`: what shows the list again once one was taken back.
export function makeCounted(app, list, changed) {
  function show() {
    const own = app.records.filter((record) => record.person === app.person.key);
    const counts = countsOf(own, app.party.party_id);
    list.hidden = counts.length === 0;
    refill(list, counts.map(({ entry_id: id, words }) => [id, words]), () => counts.map(row));
  }

  function row(record) {
    const { count } = record.words;
    const name = nameOf(record);
    const undo = make("button", { type: "button", className: "button", onclick: () => takeBack(record) }, "Undo", make("span", { className: "unseen" }, ` ${count} ${name}`));
    return make("li", {}, make("span", {}, make("strong", {}, String(count)), ` ${name}, not measured`), undo);
  }

  const nameOf = ({ words }) => speciesOf(app.lake(), words.species)?.name ?? words.species;

  async function takeBack(record) {
    if (!(await app.save("withdrawal", { about_entry_id: record.entry_id }))) return;
    app.say(`${record.words.count} ${nameOf(record)} no longer counted.`);
    pageChanged();
    changed();
  }

  return { show };
}
