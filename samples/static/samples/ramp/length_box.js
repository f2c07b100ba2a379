// The field of the length: what the keys said, and the point that is placed for digits alone.

import { NOTHING_TYPED, caretIn, digitsPlaced, lengthShown, placePoint, retype } from "./rules.js";

export function makeLengthBox(input, unit) {
  let typed = NOTHING_TYPED;

  input.addEventListener("input", () => {
    const before = typed;
    const text = input.value;
    const caret = input.selectionStart ?? text.length;
    typed = retype(before, text, unit());
    const shown = lengthShown(typed, unit());
    if (shown === text) return;
    input.value = shown;
    const at = caretIn(before, typed, unit(), text, caret);
    input.setSelectionRange(at, at);
  });

  // A length that stands: 10 stays 10, and is not taken for two keys.
  function put(text) {
    typed = { keys: text, plain: placePoint(text, unit()) !== text };
    input.value = text;
  }

  return {
    put,
    placedFrom: () => digitsPlaced(typed, unit()),
    typed: () => typed,
    restore(text, kept) {
      put(text);
      if (kept && lengthShown(kept, unit()) === text) typed = kept;
    },
  };
}
