// Pictures on the page of a decision, each with the marks of its reader: to look at, not to change.
// One is opened when it comes into sight.

import { fromServer } from "./marking.js";
import { MarksOverlay } from "./marks_view.js";
import { openViewer } from "./viewer.js";

function open(marked) {
  const radii = fromServer(JSON.parse(marked.querySelector("script").textContent));
  const viewer = openViewer(marked.querySelector("[data-viewer]"));
  const overlay = new MarksOverlay(viewer, {});
  const draw = () => overlay.draw({ active: null, others: [], layers: radii, suggested: [] });
  viewer.on("change", draw);
  draw();
}

const sight = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    sight.unobserve(target);
    open(target);
  }
}, { rootMargin: "200px" });

for (const one of document.querySelectorAll("[data-marked]")) sight.observe(one);
