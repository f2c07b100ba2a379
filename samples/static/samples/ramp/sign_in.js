// On a page that knows who is there: give this phone a token of its own, so that it can log
// without signal. Where a phone cannot keep anything, the page goes on as it is.

import * as store from "./store.js";
import { askForToken, keepPerson } from "./whose.js";

const ours = document.querySelector("[data-phones]");
const { phones, shell } = ours.dataset;
const csrf = ours.querySelector("[name=csrfmiddlewaretoken]").value;
const mayWork = window.isSecureContext && "indexedDB" in window && "serviceWorker" in navigator;

// "This is me": the link of the page signs the phone in beside the person.
async function setUpByLink(event) {
  event.preventDefault();
  ours.querySelector("button").disabled = true;
  try {
    await keepPerson(store, await askForToken(phones, { link: location.pathname }));
    const onward = document.createElement("input");
    Object.assign(onward, { type: "hidden", name: "onward", value: "app" });
    ours.append(onward);
  } catch {
    // No token: the pages that need signal still work.
  }
  ours.submit();
}

async function setUpBySession(event) {
  event.preventDefault();
  try {
    const known = (await store.allPeople()).find((one) => one.key === ours.dataset.person);
    if (known?.token && (await isGood(known.token))) await store.keepInHand("current", known.key);
    else await keepPerson(store, await askForToken(phones, { csrf }));
    location.assign(shell);
  } catch (problem) {
    ours.querySelector("[data-said]").textContent = `This phone could not be set up. ${problem.message}`;
  }
}

// A token that was taken back is no use: this sign-in gives a new one, and what waits goes with it.
async function isGood(token) {
  const answer = await fetch(ours.dataset.lists, { headers: { Authorization: `Token ${token}` }, credentials: "omit", cache: "no-store" });
  return answer.ok;
}

if (mayWork) {
  const bySession = "person" in ours.dataset;
  ours.hidden = false;
  ours.addEventListener("submit", bySession ? setUpBySession : setUpByLink);
}
