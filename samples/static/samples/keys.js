// Single keys act only while they are switched on: dictation types single letters, and hands shake.
// The choice is the browser's own, as the keyboard is.

const NAME = "single-keys";

export function singleKeysAreOn() {
  try {
    return localStorage.getItem(NAME) !== "off";
  } catch {
    return true; // a browser that keeps nothing
  }
}

const box = document.querySelector("[data-single-keys]");
if (box) {
  box.checked = singleKeysAreOn();
  box.addEventListener("change", () => localStorage.setItem(NAME, box.checked ? "on" : "off"));
  box.closest("[hidden]").hidden = false;
}
