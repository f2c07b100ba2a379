// The ramp's app: who logs, which party is open, which part of the page is shown.

import { makeCloseForm, makeCountForm, makeShiftForm, fishInHand } from "./closing.js";
import { byId } from "./dom.js";
import { makeFishForm } from "./fish.js";
import { showHead, showNotice, showParty, showTrouble } from "./head.js";
import { makeInstall } from "./install.js";
import { lakeOf } from "./lists.js";
import * as outbox from "./outbox.js";
import { makePartyForm } from "./party.js";
import { grouped, parseVial } from "./rules.js";
import { say, stopSaying } from "./saved.js";
import { canScan, makeScanner } from "./scan.js";
import { makeSender } from "./sender.js";
import * as store from "./store.js";
import { makeWaiting } from "./waiting.js";
import { makeWhose } from "./whose.js";

const PANELS = {
  fish: "Log a fish",
  party: "Party",
  next: "Next interview",
  close: "Close this party",
  shift: "Shift vials by one",
  count: "Count unmeasured fish",
  look: "Need your look",
  waiting: "On this phone",
  me: "Whose phone is this",
  vial: "Vial",
};
const WITH_PARTY = new Set(["fish", "close", "shift", "count", "next"]);

const { shell, worker, outbox: outboxAddress, lists, phones } = byId("app").dataset;

const app = {
  store,
  addresses: { outbox: outboxAddress, lists, phones },
  people: [],
  records: [],
  person: undefined,
  party: undefined,
  now: () => new Date(),
  lake: () => lakeOf(app.person, app.party?.lake),
  hasFish: () => fishInHand(app).length > 0,
  keep,
  save,
  say,
  go,
  refresh,
  mend,
  leaveAsItIs: () => go("look"),
  become,
  signedIn,
  startParty: () => (parts.fish.startNext(), go("fish")),
  endParty: () => go("party"),
  restart: () => (parts.fish.startNext(), go("fish")),
  takeReplaced,
  typing: () => install.offer(),
};

let mending; // the refused entry that a form is putting right
let mendedOn; // and the part of the page with that form
let saving = false;
let scanned; // a vial read by the phone's camera, until a party is open

app.sender = makeSender({
  store,
  fetch: (...words) => fetch(...words),
  locks: navigator.locks,
  now: app.now,
  random: Math.random,
  later: (work, ms) => setTimeout(work, ms),
  told: () => refresh().catch(showTrouble),
  addresses: app.addresses,
});

const parts = {
  fish: makeFishForm(app),
  party: makePartyForm(app),
  close: makeCloseForm(app),
  shift: makeShiftForm(app),
  count: makeCountForm(app),
  waiting: makeWaiting(app),
  me: makeWhose(app),
};
const install = makeInstall({ worker, notice: showNotice, busy: () => !byId("panel-fish").hidden && parts.fish.isHalfTyped() });

// ---------- What is known ----------

async function refresh() {
  [app.people, app.records] = await Promise.all([store.allPeople(), store.allEntries()]);
  const current = await store.inHand("current");
  app.person = app.people.find((person) => person.key === current && person.lists) ?? undefined;
  app.party = app.person && partyInHand();
  showHead(app, install);
  showParty(app);
  if (!byId("panel-fish").hidden) parts.fish.refresh();
  if (!byId("panel-waiting").hidden) parts.waiting.show();
  if (!byId("panel-look").hidden) parts.waiting.showLooks();
}

// An entry that is put right belongs to its own party, which may be closed by now.
function partyInHand() {
  const own = app.records.filter((record) => record.person === app.person.key);
  return (mending && outbox.partyOf(own, mending.words.party_id)) ?? outbox.openParty(own, app.person.key);
}

async function keep(name, value) {
  try {
    await store.keepInHand(name, value);
  } catch (problem) {
    // A draft that could not be kept is still on the page.
    if (!(problem instanceof store.StoreFull)) showTrouble(problem);
  }
}

// Write one entry down. Return it only once it is on disk; else the page says so and nothing
// typed is lost. A thumb that taps twice says it once.
async function save(kind, facts, more) {
  if (saving) return undefined;
  saving = true;
  try {
    return await write(kind, facts, more);
  } finally {
    saving = false;
  }
}

async function write(kind, facts, { replaced, partyId = replaced?.words.party_id ?? app.party?.party_id } = {}) {
  const record = outbox.newEntry(kind, facts, {
    person: app.person.key,
    partyId,
    now: app.now(),
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
    newId: () => outbox.uuid7(Date.now(), crypto.getRandomValues(new Uint8Array(10))),
  });
  try {
    await addMakingRoom(record, replaced);
  } catch (problem) {
    showTrouble(problem);
    return undefined;
  }
  mending = undefined;
  showNotice("trouble");
  await refresh();
  app.sender.send();
  return record;
}

async function addMakingRoom(record, replaced) {
  try {
    await store.addEntry(record, replaced);
  } catch (problem) {
    if (!(problem instanceof store.StoreFull)) throw problem;
    await store.forgetEntries(settledAndDone());
    await store.addEntry(record, replaced);
  }
}

function settledAndDone() {
  const over = ({ state, words }) => [outbox.TAKEN, outbox.HELD, outbox.REPLACED].includes(state) && words.party_id !== app.party?.party_id;
  return app.records.filter(over).map((record) => record.seq);
}

// ---------- Which part is shown ----------

function go(panel) {
  if (location.hash === `#${panel}`) show(panel);
  else location.hash = panel;
}

function wanted() {
  const panel = location.hash.slice(1);
  if (panel === "vial" && scanned) return "vial";
  if (panel === "waiting") return panel;
  if (!app.person) return "me";
  if (!(panel in PANELS)) return app.party ? "fish" : "party";
  return WITH_PARTY.has(panel) && !app.party && panel !== "next" ? "party" : panel;
}

let shows = 0;

// What a form starts from is fetched first: once it is seen, nothing is put over what is typed.
async function show(panel = wanted(), { moved = true } = {}) {
  shows += 1;
  const turn = shows;
  if (mending && panel !== mendedOn) {
    mending = undefined;
    await refresh();
  }
  const [draft, last] = await Promise.all([store.inHand("draft"), store.inHand("last_party")]);
  if (turn !== shows) return;
  for (const name of Object.keys(PANELS)) if (byId(`panel-${name}`)) byId(`panel-${name}`).hidden = name !== panel && !(name === "party" && panel === "next");
  document.title = `${PANELS[panel]} - Earstone`;
  showParty(app);
  stopSaying();
  SHOW[panel]?.({ draft, last });
  if (moved) document.querySelector("main > section:not([hidden]) h1")?.focus({ preventScroll: true });
  window.scrollTo(0, 0);
}

const SHOW = {
  fish: showFish,
  party: showPartyForm,
  next: showNextInterview,
  close: () => parts.close.show(),
  shift: () => parts.shift.show(),
  count: () => parts.count.show(),
  look: () => parts.waiting.showLooks(),
  waiting: () => parts.waiting.show(),
  me: () => parts.me.show(),
  vial: () => {
    byId("vial-shown").textContent = grouped(scanned);
    byId("vial-online").href = `/V/${scanned}?here`;
  },
};

function showFish({ draft }) {
  if (mending) {
    parts.fish.correct({ entry_id: mending.entry_id, words: mending.words, record: mending });
    return;
  }
  const vial = scanned;
  scanned = undefined;
  parts.fish.show(draft, vial);
}

function showPartyForm({ last }) {
  if (mending) {
    parts.party.show({ words: mending.words, change: mending.words.kind === "party_changed" });
    parts.party.showErrors(mending.errors);
    return;
  }
  if (app.party) parts.party.show({ words: app.party, change: true });
  else parts.party.show({ words: wordsOf(last) });
}

// The next angler: everything as before but the interview, the box and the donor.
function showNextInterview({ last }) {
  parts.party.show({ words: { ...wordsOf(last), caught_on: app.party?.caught_on } });
}

function wordsOf(last) {
  const words = last?.person === app.person.key ? last.words : {};
  return app.person.lists.lakes.some(({ lake }) => lake === words.lake) ? words : {};
}

// ---------- Putting right ----------

async function mend(record, panel) {
  mending = record;
  mendedOn = panel;
  await refresh();
  go(panel);
}

function takeReplaced(kind) {
  if (mending?.words.kind !== kind) return undefined;
  return { ...mending, state: outbox.REPLACED, settled_at: Date.now() };
}

// ---------- People ----------

async function become(key) {
  await store.keepInHand("current", key);
  await signedIn();
}

async function signedIn() {
  const key = await store.inHand("current");
  app.sender.state.linkNeeded.delete(key);
  await refreshLists();
  if (app.person) app.say(`${app.person.name}: this phone logs for you now.`);
  go(app.party ? "fish" : "party");
  app.sender.send({ again: true });
}

async function refreshLists() {
  const current = await store.inHand("current");
  await app.sender.refreshLists((await store.allPeople()).find((person) => person.key === current));
  await refresh();
}

// ---------- The day's light ----------

async function setScheme(scheme) {
  document.documentElement.dataset.scheme = scheme;
  byId("screen").textContent = scheme === "dark" ? "Bright screen" : "Dark screen";
  await keep("scheme", scheme);
}

// ---------- Start ----------

function vialOfAddress() {
  if (location.pathname === shell) return undefined;
  const vial = parseVial(location.href);
  history.replaceState(null, "", `${shell}${location.hash}`);
  return vial.number;
}

async function letGoOfOld() {
  const old = app.records.filter((record) => outbox.mayBeForgotten(record, app.now(), app.party?.party_id));
  if (old.length > 0) await store.forgetEntries(old.map((record) => record.seq));
  const inUse = new Set([app.person?.key, ...app.records.filter(({ state }) => state !== outbox.TAKEN && state !== outbox.REPLACED).map(({ person }) => person)]);
  const gone = app.people.filter((person) => app.person && !inUse.has(person.key));
  for (const { key } of gone) await store.dropPerson(key);
}

async function wake() {
  install.check();
  await refreshLists();
  await app.sender.send();
}

async function start() {
  scanned = vialOfAddress();
  setScheme((await store.inHand("scheme")) ?? "daylight");
  await refresh();
  if (scanned && !app.person) location.hash = "vial";
  await show(wanted(), { moved: false });
  await letGoOfOld();
  if (await canScan()) {
    const scanner = makeScanner(parts.fish.takeVial);
    byId("scan").hidden = false;
    byId("scan").addEventListener("click", scanner.open);
  }
  install.start();
  window.addEventListener("hashchange", () => show().catch(showTrouble));
  window.addEventListener("online", wake);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && wake());
  byId("screen").addEventListener("click", () => setScheme(document.documentElement.dataset.scheme === "dark" ? "daylight" : "dark"));
  await wake();
}

start().catch(showTrouble);
