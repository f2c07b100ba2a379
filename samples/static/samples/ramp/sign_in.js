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
  const button = ours.querySelector("button");
  button.disabled = true;
  try {
    await keepPerson(store, await askForToken(phones, { link: location.pathname }));
    const onward = document.createElement("input");
    Object.assign(onward, { type: "hidden", name: "onward", value: "app" });
    ours.append(onward);
  } catch (problem) {
    if (problem instanceof TypeError || problem.name === "TimeoutError") {
      button.disabled = false;
      ours.querySelector("[data-said]").textContent = "No answer. Tap again where there is signal.";
      return;
    }
    // No token: the pages that need signal still work.
  }
  ours.submit();
}

async function setUpBySession() {
  const known = (await store.allPeople()).find((one) => one.key === ours.dataset.person);
  if (known?.token && (await isGood(known.token))) await store.keepInHand("current", known.key);
  else await keepPerson(store, await askForToken(phones, { csrf }));
}

async function setUpWhenAsked(event) {
  event.preventDefault();
  try {
    await setUpBySession();
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

// A phone that can keep the app goes to it by itself; with a mouse, or where something is typed
// already, the page stays as it is.
async function goToApp() {
  let typed = false;
  document.addEventListener("input", () => (typed = true), { once: true });
  if (!matchMedia("(pointer: coarse)").matches) return;
  try {
    const kept = await navigator.serviceWorker.register(ours.dataset.worker, { scope: "/", updateViaCache: "none" });
    if (!kept) return;
    await setUpBySession();
  } catch {
    return; // the page that needs signal is the one that works here
  }
  const vial = new URLSearchParams(location.search).get("vial");
  if (!typed) location.replace(vial ? `${shell}?vial=${encodeURIComponent(vial)}` : shell);
}

if (mayWork) {
  const bySession = "person" in ours.dataset;
  ours.hidden = false;
  ours.addEventListener("submit", bySession ? setUpWhenAsked : setUpByLink);
  if ("auto" in ours.dataset) goToApp();
}
