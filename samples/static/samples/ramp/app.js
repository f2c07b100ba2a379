// The ramp's app: who logs, which party is open, which part of the page is shown.

import { makeAway } from "./away.js";
import { makeCloseForm, makeCountForm, makeShiftForm, fishInHand } from "./closing.js";
import { byId, make } from "./dom.js";
import { makeFishForm } from "./fish.js";
import { letGoOfOld } from "./forget.js";
import { showHead, showNotice, showParty, showTrouble } from "./head.js";
import { inWords } from "./export.js";
import { makeHelp } from "./help.js";
import { makeInstall } from "./install.js";
import { lakeOf, namesFor } from "./lists.js";
import { makeMyFish } from "./my_fish.js";
import { makeNeeded } from "./needed.js";
import * as outbox from "./outbox.js";
import * as photoStore from "./photo_store.js";
import { makePhotos } from "./photos.js";
import { OF_TODAY, PANELS, WITH_PARTY } from "./panels.js";
import { makePartyForm } from "./party.js";
import { grouped, keyAfter, parseVial } from "./rules.js";
import { say, sayIdle, stopSaying } from "./saved.js";
import { canScan, makeScanner } from "./scan.js";
import { startScheme } from "./scheme.js";
import { makeSender } from "./sender.js";
import * as store from "./store.js";
import { pageChanged, watchTaps } from "./taps.js";
import { makeTold } from "./told.js";
import { makeDay, makeTrip } from "./trip.js";
import { isOfAnotherDay } from "./trip_rules.js";
import { standingOf, tripsOf, withOffice } from "./trips.js";
import { makeWaiting } from "./waiting.js";
import { makeWhose } from "./whose.js";
import { makeWriting } from "./writing.js";

const { shell, worker, outbox: outboxAddress, lists, phones, mine: minePage, myFish, needed, howOld, photo: photoAddress } = byId("app").dataset;
const told = makeTold({ store, fetch: (...words) => fetch(...words), addresses: { my_fish: myFish, needed }, now: () => new Date() });

const app = {
  store,
  addresses: { outbox: outboxAddress, lists, phones, howOld },
  people: [],
  stored: [], // what this phone wrote down
  records: [], // and with it what the office has of this person
  person: undefined,
  party: undefined,
  now: () => new Date(),
  lake: () => lakeOf(app.person, app.party?.lake),
  hasFish: () => fishInHand(app).length > 0,
  fishCount: () => fishInHand(app).length,
  say,
  go,
  refresh,
  mend,
  correctFish,
  openTrip,
  carryOn,
  // A form puts something right for another part of the page, and goes back there.
  isElsewhere: () => Boolean(picked) || !app.party,
  leave: () => go(picked ? "trip" : "look"),
  become,
  signedIn,
  logNext: () => go("fish"),
  takeReplaced,
  typing,
  told: (name) => told.told(name, app.person),
  forgetTold: told.forget,
};

let mending; // the refused entry that a form is putting right
let mendedOn; // and the part of the page with that form
let visited; // a trip that is looked at without being the one in hand
let picked; // the fish of its list that the form corrects
let carriedOn; // the trip of another day that goes on, and since when
let isTyping = false;
let toFix; // how many entries were to fix when it was told last
let scanned; // a vial read by the phone's camera, until a party is open

app.sender = makeSender({
  store,
  fetch: (...words) => fetch(...words),
  locks: navigator.locks,
  now: app.now,
  random: Math.random,
  later: (work, ms) => setTimeout(work, ms),
  told: () => refresh().then(leaveEnded).then(sendPhotos).catch(showTrouble),
  addresses: app.addresses,
});

Object.assign(app, makeWriting(app, { written: afterWriting }));

app.photos = makePhotos({ store: photoStore, fetch: (...words) => fetch(...words), address: photoAddress, now: app.now, said: sayPhotoLost });
app.sayPhotoLost = sayPhotoLost;
app.keepPhoto = async (entry, bytes) => {
  if (!(await app.photos.keep(entry, bytes))) sayPhotoLost("This phone has no room for it. The fish is saved.");
  app.sender.send();
};
app.help = makeHelp(app);
app.needed = makeNeeded(app);

const parts = {
  mine: makeMyFish(app),
  needed: app.needed,
  help: app.help,
  fish: makeFishForm(app),
  party: makePartyForm(app),
  trip: makeTrip(app),
  day: makeDay(app),
  away: makeAway(app),
  close: makeCloseForm(app),
  shift: makeShiftForm(app),
  count: makeCountForm(app),
  waiting: makeWaiting(app),
  me: makeWhose(app),
};
const install = makeInstall({ worker, notice: showNotice, busy: () => !byId("panel-fish").hidden && parts.fish.isHalfTyped() });

// ---------- What is known ----------

async function refresh() {
  [app.people, app.stored] = await Promise.all([store.allPeople(), store.allEntries()]);
  const current = await store.inHand("current");
  carriedOn = await store.inHand("carried_on");
  app.person = app.people.find((person) => person.key === current && person.lists) ?? undefined;
  app.records = withOffice(app.stored, app.person);
  if (app.person) await told.load(app.person);
  app.party = app.person && partyInHand();
  showHead(app, install);
  showParty(app);
  tellWhatIsToFix();
  if (!byId("panel-fish").hidden) {
    parts.fish.refresh();
    if (!isTyping && standing()) await show("day");
  }
  if (!byId("panel-trip").hidden) parts.trip.show();
  if (!byId("panel-waiting").hidden) parts.waiting.show();
  if (!byId("panel-look").hidden) parts.waiting.showLooks();
}

// A trip may have been ended elsewhere, while this phone shows it.
async function leaveEnded() {
  if (app.person && !app.party && WITH_PARTY.has(shown)) await show("party");
}

// An entry that is put right belongs to its own party, which may be closed by now.
function partyInHand() {
  const own = app.records.filter((record) => record.person === app.person.key);
  const about = mending?.words.party_id ?? visited;
  return (about && outbox.partyOf(own, about)) ?? outbox.openParty(own, app.person.key);
}

// How the open trip stands on another day than its own; of one that is only looked at, nothing.
function standing() {
  if (!app.party || mending || visited || picked || parts.fish.isCorrecting()) return undefined;
  return standingOf(app.records, app.party, app.now(), app.lake().time_zone, carriedOn);
}

function tellWhatIsToFix() {
  const refused = app.records.filter((record) => record.person === app.person?.key && record.state === outbox.REFUSED);
  if (toFix !== undefined && refused.length > toFix) say("Not accepted. Tap To fix.", { more: inWords(refused.at(-1).words, namesFor(app.people)), passing: true });
  toFix = refused.length;
}

// The first key of a fish on a new day: it is asked which trip it is from, and the key is kept.
function typing(half) {
  const begins = half && !isTyping;
  isTyping = half;
  install.offer();
  if (begins && !byId("panel-fish").hidden && standing()) show("day").catch(showTrouble);
}

function sayPhotoLost(words) {
  showNotice("photo", make("p", {}, make("strong", {}, "A photo was not kept. "), words));
}

// After the facts, and never before them.
function sendPhotos() {
  if (outbox.sendable(app.stored, app.person?.key) === 0) app.photos.send(app.records, app.people);
}

async function afterWriting() {
  mending = undefined;
  await refresh();
  app.sender.send();
}

// ---------- Which part is shown ----------

function go(panel) {
  pageChanged();
  if (location.hash === `#${panel}`) show(panel);
  else location.hash = panel;
}

function wanted() {
  const panel = location.hash.slice(1);
  if (panel === "vial" && scanned) return "vial";
  if (panel === "waiting" || (panel === "away" && parts.away.has())) return panel;
  if (!app.person) return "me";
  if (!(panel in PANELS) || panel === "day") return app.party ? "fish" : "party";
  return WITH_PARTY.has(panel) && !app.party ? "party" : panel;
}

let shows = 0;
let shown;

// What a form starts from is fetched first: once it is seen, nothing is put over what is typed.
async function show(panel = wanted(), { moved = true } = {}) {
  shows += 1;
  const turn = shows;
  await letGo(panel);
  if (OF_TODAY.has(panel) && standing()) panel = "day";
  const [draft, correction, last] = await Promise.all(["draft", "correction", "last_party"].map(store.inHand));
  if (turn !== shows) return;
  if (WITH_PARTY.has(panel) && !app.party) return show("party", { moved });
  if (shown !== panel) pageChanged();
  shown = panel;
  if (panel !== "fish") parts.fish.leave(correction);
  for (const name of Object.keys(PANELS)) if (byId(`panel-${name}`)) byId(`panel-${name}`).hidden = name !== panel && !(name === "party" && panel === "next");
  document.title = `${PANELS[panel]} - Earstone`;
  showParty(app);
  sayIdle("");
  stopSaying();
  SHOW[panel]?.({ draft, correction, last });
  if (moved) document.querySelector("main > section:not([hidden]) h1")?.focus({ preventScroll: true });
  window.scrollTo(0, 0);
}

// A part of the page that is left takes what it was about along.
async function letGo(panel) {
  const stays = panel === "trip" || (panel === "fish" && picked);
  if (panel !== "fish") picked = undefined;
  if (!(mending && panel !== mendedOn) && !(visited && !stays)) return;
  if (panel !== mendedOn) mending = undefined;
  if (!stays) visited = undefined;
  await refresh();
}

const SHOW = {
  day: () => parts.day.show(standing() ?? { fish: app.fishCount(), goesOn: true }),
  trip: () => parts.trip.show(),
  away: () => parts.away.show(),
  fish: showFish,
  party: showPartyForm,
  next: showNextTrip,
  close: () => parts.close.show(),
  shift: () => parts.shift.show(),
  count: () => parts.count.show(),
  look: () => parts.waiting.showLooks(),
  waiting: () => parts.waiting.show(),
  me: () => parts.me.show(),
  help: () => parts.help.show(),
  mine: () => showTold("mine"),
  needed: () => showTold("needed"),
  vial: () => {
    byId("vial-shown").textContent = grouped(scanned);
    byId("vial-online").href = `/V/${scanned}?here`;
  },
};

// What is kept is shown at once, and what the office tells by now as soon as it has come.
function showTold(panel) {
  parts[panel].show();
  told.refresh(app.person, { again: true }).then((isNew) => isNew && shown === panel && parts[panel].show());
}

function showFish({ draft, correction }) {
  if (mending) {
    parts.fish.correct({ entry_id: mending.entry_id, words: mending.words, record: mending });
    return;
  }
  if (picked) {
    parts.fish.correct(picked);
    return;
  }
  const vial = scanned;
  scanned = undefined;
  parts.fish.show({ draft, correction, vial });
}

function showPartyForm({ last }) {
  if (mending) {
    parts.party.show({ words: mending.words, change: mending.words.kind === "party_changed" });
    parts.party.showRefused(mending);
    return;
  }
  if (app.party) parts.party.show({ words: app.party, change: true });
  else showNextTrip({ last });
}

// The next trip: everything as before but the day, the box and the donor; the key of an interview
// of today counts on.
function showNextTrip({ last }) {
  const before = tripsOf(app.records, app.person.key)[0]?.party;
  const today = before && !isOfAnotherDay(new Date(before.written_at), app.now(), app.lake().time_zone);
  const words = { ...wordsOf(last), interview_key: today ? keyAfter(before.interview_key ?? "") : "" };
  parts.party.show({ words: app.party && !standing() ? { ...words, caught_on: app.party.caught_on } : words });
  parts.trip.showEarlier();
}

function wordsOf(last) {
  const words = last?.person === app.person.key ? last.words : {};
  return app.person.lists.lakes.some(({ lake }) => lake === words.lake) ? words : {};
}

// ---------- Another trip, and another day ----------

async function openTrip(partyId) {
  visited = partyId;
  await refresh();
  if (visited === partyId) go("trip"); // unless another part of the page was opened meanwhile
}

function correctFish(fish) {
  picked = fish;
  go("fish");
}

async function carryOn() {
  await app.keep("carried_on", { party_id: app.party.party_id, at: app.now().getTime() });
  await refresh();
  await show("fish");
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

// ---------- Start ----------

function vialOfAddress() {
  const asked = new URLSearchParams(location.search).get("vial");
  if (location.pathname === shell && !asked) return undefined;
  const vial = parseVial(asked ?? location.href);
  const part = parts.away.take(location.pathname) ? "#away" : location.pathname === minePage ? "#mine" : location.hash;
  history.replaceState(null, "", `${shell}${part}`);
  return vial.number;
}

async function wake() {
  install.check();
  if (!byId("panel-fish").hidden && standing()) await show("day");
  await refreshLists();
  await app.sender.send();
  await told.refresh(app.person);
}

async function start() {
  watchTaps();
  scanned = vialOfAddress();
  await startScheme(app);
  await refresh();
  if (scanned && !app.person) location.hash = "vial";
  await show(wanted(), { moved: false });
  await letGoOfOld(app);
  if (await canScan()) {
    const scanner = makeScanner(parts.fish.takeVial);
    byId("scan").hidden = false;
    byId("scan").addEventListener("click", scanner.open);
  }
  install.start();
  window.addEventListener("hashchange", () => show().catch(showTrouble));
  window.addEventListener("online", wake);
  window.addEventListener("offline", () => app.sender.lose());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && wake());
  await wake();
}

start().catch(showTrouble);
