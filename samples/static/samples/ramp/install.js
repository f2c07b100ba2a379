// Keeps the page on the phone, and tells when a newer one is there. Nothing changes under the
// thumb: the new one waits for a tap, and for the fish that is half typed.

import { make } from "./dom.js";

const CHECK_EVERY_MS = 60 * 60_000;

// `notice(key, node)` shows or, without a node, takes a notice away. `busy()` tells whether a
// fish is half typed.
export function makeInstall({ worker, notice, busy, waits }) {
  let registration;
  let asked = false;
  let lastCheck = 0;

  async function start() {
    askToKeep();
    showWhereItMayBeLost();
    if (!("serviceWorker" in navigator)) {
      notice("no-worker", make("p", {}, "This page works without signal only over a secure address (https). Keep signal until all is sent."));
      return;
    }
    const controlled = Boolean(navigator.serviceWorker.controller);
    navigator.serviceWorker.addEventListener("controllerchange", () => controlled && changedOver());
    try {
      registration = await navigator.serviceWorker.register(worker, { scope: "/", updateViaCache: "none" });
    } catch {
      return; // without signal, or full: what is kept already goes on working
    }
    watch();
  }

  function watch() {
    lastCheck = Date.now();
    registration.addEventListener("updatefound", () => follow(registration.installing));
    if (registration.installing) follow(registration.installing);
    offer();
  }

  function follow(fresh) {
    fresh?.addEventListener("statechange", offer);
  }

  function offer() {
    if (!registration?.waiting || !registration.active) return;
    const half = busy();
    const button = make("button", { type: "button", className: "button", onclick: change, attributes: half ? { "aria-disabled": "true" } : {} }, "Update now");
    notice(
      "update",
      make("p", {}, half ? "A newer Earstone is here. Save or clear this fish first, then update." : "A newer Earstone is here. Update when you are done."),
      make("div", { className: "buttons" }, button),
    );
  }

  function change() {
    if (busy()) {
      offer();
      return;
    }
    asked = true;
    registration.waiting?.postMessage("switch");
  }

  // Another tab asked for the update: this one goes on as it is, whole, until it is free.
  function changedOver() {
    if (asked || !busy()) location.reload();
    else notice("update", make("p", {}, "A newer Earstone is in use in another tab. Open this page again when you are done."));
  }

  // Asked, never waited for and never depended on.
  function askToKeep() {
    navigator.storage?.persist?.().catch(() => {});
  }

  function showWhereItMayBeLost() {
    const onIphone = "standalone" in navigator;
    if (!onIphone || navigator.standalone) return;
    notice(
      "may-be-lost",
      make("p", {}, make("strong", {}, "Add Earstone to your home screen. ")),
      make("p", {}, "In this browser the phone may clear what is kept here after 7 days without a visit. Share, Add to Home Screen; then open it there and paste your personal link once more. Send what waits first, or give it to the office as text."),
      make("div", { className: "buttons" }, make("a", { className: "button", href: "#waiting" }, "What is on this phone")),
    );
  }

  return {
    start,
    offer,
    async check() {
      if (!registration || Date.now() - lastCheck < CHECK_EVERY_MS) return;
      lastCheck = Date.now();
      await registration.update().catch(() => {});
    },
    async checkNow() {
      await registration?.update().catch(() => {});
    },
  };
}
