// The row that says what was saved, deleted or put back, with the way to take it back. It has its
// place above the form and stays until something else is saved: nothing moves under a thumb.

import { byId, make } from "./dom.js";
import { isSecondTap } from "./taps.js";

const JUST_SAID_MS = 1_000;
let saidAt = 0;
let idle = "";
let said = false;
let standing; // what was saved last, as long as it can be taken back

// Nothing leaves what stands there while there is nothing to say. `more`: a second line. `action`: [what the button says, of which fish, what it does].
// `passing`: nothing was saved by it, so what was saved before can be taken back once it is read.
export function say(words, { more, action, passing = false } = {}) {
  saidAt = Date.now();
  // Read aloud is what happened: not what stands there meanwhile, and not the button.
  byId("told").textContent = [words, more].filter(Boolean).join(". ");
  if (words === "") return showStanding();
  said = true;
  if (!passing) standing = action && [words, more, action];
  show(words, more, action);
}

function showStanding() {
  said = standing !== undefined;
  show(...(standing ?? [idle]));
}

function show(words, more, action) {
  const lines = words === "" ? null : make("p", { className: said ? "saved-words" : "saved-words soft" }, said ? make("strong", {}, words) : words);
  if (more) lines.append(" ", make("span", {}, more));
  byId("saved").replaceChildren(...[lines, action && button(action)].filter(Boolean));
}

function button([words, about, work]) {
  const shownAt = Date.now();
  let done = false;
  const press = () => {
    if (done || isSecondTap(shownAt)) return;
    done = true;
    work();
  };
  return make("button", { type: "button", className: "button", onclick: press }, words, make("span", { className: "unseen" }, ` ${about}`));
}

// What stands in the row while there is nothing to say.
export function sayIdle(words) {
  idle = words;
  if (!said) show(idle);
}

// What was said on one part of the page does not follow to the next, unless it led there.
export function stopSaying() {
  if (Date.now() - saidAt < JUST_SAID_MS) return;
  showStanding();
}
