// The head of the page: signal, what waits, the party in hand; and what the page has to say.

import { byId, make } from "./dom.js";
import * as outbox from "./outbox.js";
import { dayText } from "./rules.js";
import { heardOf, statusOf } from "./status.js";
import { StoreFull } from "./store.js";

// ---------- The head of the page ----------

let head; // as it was last

export function showHead(app, install) {
  const { signal, linkNeeded, updateNeeded } = app.sender.state;
  const today = new Date(app.now());
  today.setHours(0, 0, 0, 0);
  const person = app.person?.key;
  const counts = outbox.counts(app.records, person, today, app.party?.party_id);
  byId("count-here").textContent = counts.onPhone;
  byId("count-sent").textContent = counts.sent;
  byId("count-look").replaceChildren(counts.needLook > 0 ? make("a", { href: "#look" }, String(counts.needLook)) : "0");
  byId("count-look").parentElement.classList.toggle("to-fix", counts.needLook > 0);
  const sending = outbox.sendable(app.records, person);
  const [words, more, amiss] = statusOf({ ...counts, sending, signal, signedIn: Boolean(app.person), linkNeeded: linkNeeded.has(person), online: navigator.onLine });
  byId("signal").textContent = words;
  byId("signal-more").textContent = more;
  byId("state").classList.toggle("state-off", amiss);
  const before = head;
  head = { words, more, amiss, sending, person, needLook: counts.needLook, onPhone: counts.onPhone };
  const heard = heardOf(before?.person === person ? before : undefined, head);
  if (heard) byId("heard").textContent = heard;
  showLinkNeeded(app, [...linkNeeded]);
  if (updateNeeded) {
    install.checkNow();
    showNotice("old", make("p", {}, "This version of Earstone is too old. Your fish were sent. Open it once with signal to update."));
  }
}

function showLinkNeeded(app, keys) {
  const names = keys.map((key) => app.people.find((person) => person.key === key)?.name ?? "the other person");
  if (names.length === 0) {
    showNotice("link");
    return;
  }
  showNotice(
    "link",
    make("p", {}, make("strong", {}, `The personal link of ${names.join(" and ")} is needed again.`)),
    make("p", {}, "Open it on this phone, or paste it. All fish are still here and are sent then. You can go on logging."),
    make("div", { className: "buttons" }, make("a", { className: "button", href: "#me" }, "Paste the link")),
  );
}

export function showParty(app) {
  const { party } = app;
  byId("party-bar").hidden = !party || byId("panel-fish").hidden;
  for (const node of document.querySelectorAll("[data-with-party]")) node.hidden = !party;
  for (const node of document.querySelectorAll("[data-with-person]")) node.hidden = !app.person;
  byId("foot").hidden = !app.person;
  if (!party) return;
  const named = (options, code) => options.find((option) => option.code === code)?.name ?? code;
  byId("party-arm").textContent = party.arm;
  const day = dayText(party.caught_on).replace(/,? \d{4}$/, "");
  byId("party-day").textContent = [party.reach && `, ${party.reach}`, `, ${day}`].filter(Boolean).join("");
  const chosenHow = named(app.person.lists.how_chosen, party.how_chosen).toLowerCase();
  const key = party.interview_key ? `, ${party.interview_key}` : "";
  byId("party-how").textContent = `${named(app.person.lists.methods, party.method)}, ${chosenHow}${key}`;
  for (const node of document.querySelectorAll("#panel-fish [data-for-others]")) node.hidden = !app.lake().for_others;
}

// ---------- Notices ----------

// One notice a key: shown anew, or taken away where nothing is said.
export function showNotice(key, ...said) {
  const id = `notice-${key}`;
  const before = byId(id);
  if (said.length === 0) {
    before?.remove();
    return;
  }
  const node = make("div", { className: "notice", id, attributes: { role: key === "trouble" ? "alert" : "status" } }, ...said);
  if (before?.textContent === node.textContent) return;
  before?.remove();
  byId("notices").append(node);
}

export function showTrouble(problem) {
  const full = problem instanceof StoreFull;
  showNotice(
    "trouble",
    make("p", {}, make("strong", {}, full ? "Not saved: this phone has no room left." : "Not saved.")),
    make(
      "p",
      {},
      full
        ? "What you typed stands below, and all that was saved before is kept. Free some room on the phone and save again, or write this fish on paper. What waits can go to the office as text."
        : `${problem.message || problem.name} What you typed stands below. Try again, or write this fish on paper.`,
    ),
    make("div", { className: "buttons" }, make("a", { className: "button", href: "#waiting" }, "What is on this phone")),
  );
  byId("notices").scrollIntoView({ block: "center" });
}
