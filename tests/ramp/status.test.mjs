// What the head of the page says of the way to the office.

import assert from "node:assert/strict";
import test from "node:test";

import { NOT_OURS, NO_SIGNAL, SIGNAL } from "../../samples/static/samples/ramp/sender.js";
import { heardOf, statusOf } from "../../samples/static/samples/ramp/status.js";

const KEPT = "Fish stay on this phone.";
const said = (more) => statusOf({ signedIn: true, linkNeeded: false, signal: SIGNAL, online: true, sending: 0, onPhone: 0, notes: 0, ...more });

for (const [name, given, gives] of [
  ["nobody is signed in", { signedIn: false, signal: NO_SIGNAL, online: false }, ["Not signed in.", "Open your personal link.", false]],
  ["the link is needed again, with and without signal", { linkNeeded: true, signal: NO_SIGNAL }, ["Sign in again.", KEPT, true]],
  ["no network", { signal: NO_SIGNAL, online: false }, ["Offline.", KEPT, true]],
  ["no network, and a change of the trip waits", { signal: NO_SIGNAL, online: false, notes: 1 }, ["Offline.", "A change waits on this phone.", true]],
  ["the network just went", { signal: undefined, online: false }, ["Offline.", KEPT, true]],
  ["a network without an answer", { signal: NO_SIGNAL }, ["Online,", "can't reach the office.", true]],
  ["a network that answers with its own page", { signal: NOT_OURS, onPhone: 3 }, ["Online,", "can't reach the office.", true]],
  ["an answer came, whatever the browser believes", { online: false }, ["Online.", "All sent.", false]],
  ["on its way", { sending: 3, onPhone: 2, notes: 1 }, ["Sending 3.", "", false]],
  ["fish that cannot go yet", { onPhone: 2 }, ["Online.", "2 not sent yet.", false]],
  ["before the first answer", { signal: undefined }, ["Connecting.", "Fish are kept on this phone.", false]],
]) {
  test(name, () => assert.deepEqual(said(given), gives));
}

const head = (more) => ({ words: "Online.", more: "All sent.", amiss: false, sending: 0, onPhone: 0, needLook: 0, ...more });

for (const [name, before, now, heard] of [
  ["the page opens", undefined, head(), ""],
  ["a fish is on its way", head(), head({ words: "Sending 1.", more: "", sending: 1, onPhone: 1 }), ""],
  ["it has arrived", head({ words: "Sending 1.", more: "", sending: 1, onPhone: 1 }), head(), "All sent."],
  ["nothing was on its way", head(), head(), ""],
  ["one of two has arrived", head({ sending: 2, onPhone: 2 }), head({ sending: 1, onPhone: 1 }), ""],
  ["one came back", head({ sending: 1, onPhone: 1 }), head({ needLook: 1 }), "1 to fix."],
  ["it is fixed", head({ needLook: 1 }), head(), ""],
  ["the signal goes", head(), head({ words: "Offline.", more: KEPT, amiss: true }), `Offline. ${KEPT}`],
  ["the signal comes back", head({ words: "Offline.", more: KEPT, amiss: true, onPhone: 3 }), head({ words: "Sending 3.", more: "", sending: 3, onPhone: 3 }), "Sending 3."],
  ["still without signal", head({ words: "Offline.", amiss: true }), head({ words: "Offline.", amiss: true, onPhone: 1 }), ""],
]) {
  test(`heard: ${name}`, () => assert.equal(heardOf(before, now), heard));
}
