// What is to be filled in next is brought into view, between what sticks to the top and the bar
// of the button. Where it is in view already nothing moves.

import { byId } from "./dom.js";

const GAP_PX = 8;

export function reveal(first, last) {
  const top = stuck() + GAP_PX;
  const bottom = roomBelow() - GAP_PX;
  const start = first.getBoundingClientRect().top;
  const below = last.getBoundingClientRect().bottom - bottom;
  if (start < top) window.scrollBy(0, start - top);
  else if (below > 0) window.scrollBy(0, Math.min(below, start - top));
}

function stuck() {
  const bars = [byId("saved"), byId("now"), byId("correcting")].filter((bar) => getComputedStyle(bar).position === "sticky");
  return bars.reduce((height, bar) => height + bar.getBoundingClientRect().height, 0);
}

// The keyboard may lie over the page; the bar may stand in it, where letters are large.
function roomBelow() {
  const seen = window.visualViewport ? window.visualViewport.offsetTop + window.visualViewport.height : window.innerHeight;
  const bar = byId("fish-save").parentElement;
  return getComputedStyle(bar).position === "fixed" ? Math.min(seen, bar.getBoundingClientRect().top) : seen;
}
