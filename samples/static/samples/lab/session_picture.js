// Pictures of the otolith at hand in a reading session: opened when they come into sight, one
// shown at a time. Without this script the links show the others.

import { carrying, typedIn } from "./carried.js";
import { openViewer, preloadPicture } from "./viewer.js";

const section = document.querySelector("[data-pictures]");
const pictures = section ? [...section.querySelectorAll("[data-shown]")] : [];
const next = section?.querySelector("[data-next-picture]");
let nextIsFetched = false;

function open(stage) {
  const root = stage.closest("[data-viewer]");
  openViewer(root);
  // A hand on the picture leaves the keys where they are: the next digit is still the count.
  root.addEventListener("mousedown", (event) => {
    if (!event.target.matches("input")) event.preventDefault();
  });
  if (next && !nextIsFetched) whenIdle(() => fetchNext(stage));
}

function fetchNext(stage) {
  nextIsFetched = true;
  preloadPicture(next.dataset, { width: stage.clientWidth, height: stage.clientHeight });
}

function whenIdle(work) {
  if (window.requestIdleCallback) requestIdleCallback(work);
  else setTimeout(work, 500);
}

function show(shown) {
  for (const one of pictures) one.hidden = one.dataset.shown !== shown;
}

const sight = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    sight.unobserve(target);
    open(target);
  }
}, { rootMargin: "200px" });

for (const one of pictures) sight.observe(one.querySelector("[data-stage]"));
section?.addEventListener("click", (event) => {
  const toMarks = event.target.closest("[data-to-marks]");
  if (toMarks) toMarks.href = carrying(toMarks.href, typedIn(document.querySelector("[data-session]")));
  const link = event.target.closest("[data-show]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  // What is typed beside it stays.
  event.preventDefault();
  show(link.dataset.show);
});
