// What is on this phone: what waits, as a list and as text; and what needs a look.

import { byId, make, refill } from "./dom.js";
import { asText, inWords } from "./export.js";
import { namesFor } from "./lists.js";
import { REFUSED, REPLACED, SENDING, WAITING } from "./outbox.js";
import { dayText, localDay } from "./rules.js";
import { pageChanged } from "./taps.js";

const MENDED_ON = { fish: "fish", correction: "fish", party_opened: "party", party_changed: "party", shift: "shift", unmeasured_count: "count" };

export function makeWaiting(app) {
  // The words of the entry that another one is about, as this phone or the office has it.
  const about = (id) => app.records.findLast((record) => record.entry_id === id)?.words;
  const waiting = () => app.records.filter(({ state }) => state === WAITING || state === SENDING || state === REFUSED);

  function show() {
    const records = waiting();
    const names = namesFor(app.people);
    const others = [...new Set(records.map((record) => record.person))].filter((key) => key !== app.person?.key);
    const whose = others.map((key) => names.people[key] ?? "another person");
    showLead(records, whose);
    byId("send-now").hidden = records.length === 0;
    byId("waiting").replaceChildren(...records.map((record) => row(record, names)));
    byId("as-text").hidden = records.length === 0;
    byId("text").value = records.length === 0 ? "" : asText(records, names, dayText(localDay(app.now(), Intl.DateTimeFormat().resolvedOptions().timeZone)), about);
    byId("text-share").hidden = !navigator.share;
    byId("text-said").textContent = "";
  }

  async function showLead(records, whose) {
    const { length: photos } = await app.photos.waiting();
    const kept = photos === 1 ? "1 photo waits" : `${photos} photos wait`;
    byId("waiting-lead").textContent = [lead(records, whose, photos), photos > 0 && `${kept} to be sent after the fish.`].filter(Boolean).join(" ");
  }

  function lead(records, whose, photos) {
    if (records.length === 0) return photos > 0 ? "All fish are sent." : "All sent. Nothing is waiting on this phone.";
    const count = records.length === 1 ? "1 entry waits" : `${records.length} entries wait`;
    const others = whose.length > 0 ? ` Some belong to ${whose.join(" and ")} and are sent under that name.` : "";
    return `${count} on this phone, oldest first.${others}`;
  }

  function row(record, names) {
    const notes = [];
    if (record.person !== app.person?.key) notes.push(names.people[record.person] ?? "another person");
    if (record.maybe_there && record.state === WAITING) notes.push("tried, no answer yet");
    if (record.state === REFUSED) notes.push("to fix");
    const said = notes.length > 0 ? make("span", { className: "soft" }, ` (${notes.join("; ")})`) : null;
    return make("li", {}, make("p", { className: "last-what" }, inWords(record.words, names, about), said));
  }

  byId("send-now").addEventListener("click", () => app.sender.send({ again: true }));
  byId("text-copy").addEventListener("click", async () => {
    byId("text").select();
    try {
      await navigator.clipboard.writeText(byId("text").value);
      byId("text-said").textContent = "Copied. Paste it into a message to the office.";
    } catch {
      byId("text-said").textContent = "The text is selected. Copy it with your phone's copy command.";
    }
  });
  byId("text-share").addEventListener("click", async () => {
    try {
      await navigator.share({ text: byId("text").value });
      byId("text-said").textContent = "Shared. It stays on this phone until it is sent.";
    } catch {
      byId("text-said").textContent = "Not shared. Everything is still on this phone.";
    }
  });

  // ---------- Refused by the office ----------

  function showLooks() {
    const names = namesFor(app.people);
    const refused = app.records.filter((record) => record.state === REFUSED && record.person === app.person?.key);
    byId("look-lead").hidden = refused.length === 0;
    const none = () => [make("li", {}, "Nothing to fix.")];
    refill(byId("looks"), refused, () => (refused.length > 0 ? refused.map((record) => look(record, names)) : none()));
  }

  function look(record, names) {
    const sentences = Object.values(record.errors ?? {}).flat();
    const mend = make("button", { type: "button", className: "button button-next", onclick: () => app.mend(record, MENDED_ON[record.words.kind]) }, "Fix");
    const drop = make("button", { type: "button", className: "button", onclick: () => setAside(record) }, "Delete this entry");
    return make(
      "li",
      { className: "notice" },
      make("p", {}, make("strong", {}, inWords(record.words, names, about))),
      ...(sentences.length > 0 ? sentences : ["The office could not read this entry. Fix it or delete it."]).map((sentence) => make("p", {}, sentence)),
      make("div", { className: "buttons" }, MENDED_ON[record.words.kind] ? mend : null, drop),
    );
  }

  // It was never taken in, so nothing is to be taken back: it stays on the phone, marked.
  async function setAside(record) {
    await app.store.putEntries([{ ...record, state: REPLACED, settled_at: Date.now() }]);
    app.say("Deleted. It was never counted.");
    await app.refresh();
    pageChanged();
    showLooks();
  }

  return { show, showLooks };
}
