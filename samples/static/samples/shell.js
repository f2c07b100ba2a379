// The way around, made handier: Escape and a click elsewhere close a menu, the page at hand is
// scrolled into sight in its row. Everything opens and leads on without this.

const folds = () => [...document.querySelectorAll("[data-fold][open]")];

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const fold of folds()) {
    const held = fold.contains(document.activeElement);
    fold.open = false;
    if (held) fold.querySelector("summary").focus();
  }
});

document.addEventListener("click", (event) => {
  for (const fold of folds()) if (!fold.contains(event.target)) fold.open = false;
});

for (const here of document.querySelectorAll(".shell-pages [aria-current]")) {
  const row = here.closest(".shell-pages");
  row.scrollLeft += here.getBoundingClientRect().left - row.clientWidth / 2 + here.offsetWidth / 2;
}
