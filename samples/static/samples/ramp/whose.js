// Whose phone this is: by the personal link, opened here or pasted, or by a sign-in.

import { byId, clearSaid, make, showErrors } from "./dom.js";
import { WAITING } from "./outbox.js";

const TOO_LONG_MS = 10_000;

export class LinkRefused extends Error {}

// Get a token of this phone's own. `words`: a link as it was pasted; without one the session
// of the page says who it is.
export async function askForToken(address, { link, csrf } = {}) {
  const answer = await fetch(address, {
    method: "POST",
    headers: { "Content-Type": "application/json", ...(csrf ? { "X-CSRFToken": csrf } : {}) },
    body: JSON.stringify({ name: phoneName(), ...(link ? { link } : {}) }),
    credentials: link ? "omit" : "same-origin",
    redirect: "error",
    signal: AbortSignal.timeout(TOO_LONG_MS),
  });
  const words = await answer.json();
  if (answer.status !== 201) throw new LinkRefused(words.detail ?? "This link did not work. Ask the biologist for a new one.");
  return { key: words.person.key, name: words.person.name, token: words.token, lists: words.lists };
}

function phoneName() {
  const device = /iPhone|iPad|Android|Windows|Macintosh|Linux/.exec(navigator.userAgent)?.[0] ?? "Phone";
  return matchMedia("(display-mode: standalone)").matches ? `${device}, home screen` : device;
}

// Keep a person on this phone, and make them the one who logs. Nobody else's entries change.
export async function keepPerson(store, person) {
  const known = (await store.allPeople()).find((one) => one.key === person.key);
  await store.putPerson({ ...known, ...person });
  await store.keepInHand("current", person.key);
}

export function makeWhose(app) {
  const form = byId("form-me");

  function show() {
    clearSaid(form);
    byId("me-head").textContent = app.person ? "Switch user" : "Whose phone is this?";
    byId("me-save").textContent = "This is me";
    byId("me-people").replaceChildren(...app.people.map(row));
  }

  function row(person) {
    const waits = app.records.filter((record) => record.person === person.key && record.state === WAITING).length;
    const here = person.key === app.person?.key;
    const needed = app.sender.state.linkNeeded.has(person.key) || !person.token;
    const words = [here ? "signed in on this phone" : "", waits > 0 ? `${waits} not sent yet` : "", needed ? "needs the personal link again" : ""].filter(Boolean);
    const choose = make("button", { type: "button", className: "button", onclick: () => app.become(person.key) }, `I am ${person.name}`);
    return make("div", { className: "notice" }, make("p", {}, make("strong", {}, person.name), words.length > 0 ? `: ${words.join("; ")}.` : ""), here || !person.token ? null : choose);
  }

  form.addEventListener("input", () => clearSaid(form));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    clearSaid(form);
    const link = form.elements.link.value.trim();
    if (!link) {
      showErrors(form, { link: "Paste your personal link here." });
      return;
    }
    try {
      await keepPerson(app.store, await askForToken(app.addresses.phones, { link }));
    } catch (problem) {
      const refused = problem instanceof LinkRefused;
      showErrors(form, { link: refused ? problem.message : "No answer. With signal, try again; what you pasted stays here." });
      return;
    }
    form.reset();
    await app.signedIn();
  });

  return { show };
}
