// Bright for the sun, dark for the evening; the phone remembers which.

import { byId } from "./dom.js";

export async function startScheme(app) {
  const root = document.documentElement;
  const set = (scheme) => {
    root.dataset.scheme = scheme;
    byId("screen").textContent = scheme === "dark" ? "Bright screen" : "Dark screen";
  };
  set((await app.store.inHand("scheme")) ?? "daylight");
  byId("screen").addEventListener("click", () => {
    set(root.dataset.scheme === "dark" ? "daylight" : "dark");
    app.keep("scheme", root.dataset.scheme);
  });
}
