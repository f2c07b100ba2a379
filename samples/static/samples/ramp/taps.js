// A thumb that taps twice is answered once: what the page has put under it meanwhile was not meant.

const TWO_TAPS_MS = 800;
const SPOT_PX = 40;

// `since` says when the button came under the thumb.
export const isSecondTap = (since) => Date.now() - since < TWO_TAPS_MS;

export function makeTapGuard(now = Date.now) {
  let tapped; // where the last tap was
  let guarded; // the spot under which the page has changed since, and when

  const isNear = (one, other) => Math.hypot(one.x - other.x, one.y - other.y) <= SPOT_PX;

  return {
    changed() {
      if (tapped) guarded = { ...tapped, at: now() };
    },
    // A tap elsewhere, or a key, is no second tap: from then on every spot is as it is seen.
    takes(spot) {
      if (guarded && now() - guarded.at < TWO_TAPS_MS && isNear(spot, guarded)) return false;
      tapped = spot;
      guarded = undefined;
      return true;
    },
    release() {
      tapped = undefined;
      guarded = undefined;
    },
  };
}

const guard = makeTapGuard();

// Something else may lie under the thumb from now on.
export const pageChanged = guard.changed;

export function watchTaps() {
  document.addEventListener("click", stopSecond, { capture: true });
  document.addEventListener("input", guard.release, { capture: true });
}

// A click of the keyboard, or one that a script makes, has no spot.
function stopSecond(event) {
  if (event.detail === 0 || guard.takes({ x: event.clientX, y: event.clientY })) return;
  event.preventDefault();
  event.stopImmediatePropagation();
}
