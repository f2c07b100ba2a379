// The way around, made handier: Escape and a click elsewhere close a menu and a tooltip, the slash
// key goes to the search box unless single keys are switched off, the page at hand is scrolled into
// sight in its row. All works without this.

import { singleKeysAreOn } from "./keys.js";

const folds = () => [...document.querySelectorAll("[data-fold][open]")];

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const fold of folds()) {
    const held = fold.contains(document.activeElement);
    fold.open = false;
    if (held) fold.querySelector("summary").focus();
  }
});

// What a term means goes away on Escape, and comes back when it is next pointed at or focused.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const term of document.querySelectorAll(".term:is(:hover, :focus-within)")) {
    term.dataset.hushed = "";
    for (const left of ["mouseleave", "focusout"]) {
      term.addEventListener(left, () => delete term.dataset.hushed, { once: true });
    }
  }
});

// A slash that is typed into a field stays a slash.
const isTyping = (element) => element.closest?.("input, select, textarea, [contenteditable]");

document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey) return;
  if (isTyping(event.target) || !singleKeysAreOn()) return;
  event.preventDefault();
  const menu = document.querySelector(".shell-menu");
  if (menu.checkVisibility()) menu.open = true;
  const box = [...document.querySelectorAll("[data-search]")].find((one) => one.checkVisibility());
  box.focus();
  box.select();
});

document.addEventListener("click", (event) => {
  for (const fold of folds()) if (!fold.contains(event.target)) fold.open = false;
});

for (const here of document.querySelectorAll(".shell-pages [aria-current]")) {
  const row = here.closest(".shell-pages");
  row.scrollLeft += here.getBoundingClientRect().left - row.clientWidth / 2 + here.offsetWidth / 2;
}

// A page of which a sliver shows at the edge is not scrolled into sight by the browser.
for (const row of document.querySelectorAll(".shell-pages")) {
  row.addEventListener("focusin", ({ target }) => target.scrollIntoView({ block: "nearest", inline: "center" }));
}
