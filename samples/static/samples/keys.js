// Single keys act only while they are switched on: dictation types single letters, and hands shake.
// The choice is the browser's own, as the keyboard is.

const NAME = "single-keys";

export function singleKeysAreOn(store = localStorage) {
  try {
    return store.getItem(NAME) !== "off";
  } catch {
    return true; // a browser that keeps nothing
  }
}

export function switchSingleKeys(on, store = localStorage) {
  store.setItem(NAME, on ? "on" : "off");
}

if (typeof document !== "undefined") {
  const box = document.querySelector("[data-single-keys]");
  if (box) {
    box.checked = singleKeysAreOn();
    box.addEventListener("change", () => switchSingleKeys(box.checked));
    box.closest("[hidden]").hidden = false;
  }
}
