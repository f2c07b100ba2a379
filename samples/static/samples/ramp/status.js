// What the head of the page says of the way to the office. Pure: Node's runner tests it.

import { NOT_OURS, NO_SIGNAL, SIGNAL } from "./sender.js";

const KEPT = "Fish stay on this phone.";

/** What is read aloud when the head changes: what somebody has to know, and not each thing sent. */
export function heardOf(before, now) {
  if (!before) return "";
  if (now.needLook > before.needLook) return `${now.needLook} to fix.`;
  if (now.words !== before.words && (now.amiss || before.amiss)) return `${now.words} ${now.more}`.trim();
  const unsent = ({ onPhone, sending }) => onPhone + sending;
  return unsent(before) > 0 && unsent(now) === 0 ? "All sent." : "";
}

// `online` is the browser's own word, which only tells why there was no answer: an answer of our
// server is the one proof of a way to it. Gives [state, what it means, whether something is amiss].
export function statusOf({ signedIn, linkNeeded, signal, online, sending, onPhone, notes }) {
  if (!signedIn) return ["Not signed in.", "Open your personal link.", false];
  if (linkNeeded) return ["Sign in again.", KEPT, true];
  if (signal === NOT_OURS || (signal === NO_SIGNAL && online)) return ["Online,", "can't reach the office.", true];
  if (signal === NO_SIGNAL || (signal === undefined && !online)) return ["Offline.", onPhone === 0 && notes > 0 ? "A change waits on this phone." : KEPT, true];
  if (signal !== SIGNAL) return ["Connecting.", "Fish are kept on this phone.", false];
  if (sending > 0) return [`Sending ${sending}.`, "", false];
  if (onPhone > 0) return ["Online.", `${onPhone} not sent yet.`, false];
  return ["Online.", "All sent.", false];
}
