// Which key does what in a reading session. Nothing here touches the page.

const READABILITY = { c: "1", f: "2", p: "3" };
const LETTERS = {
  m: ["focus", '[name="margin"]:checked, [name="margin"]'],
  n: ["focus", '[name="note"]'],
  a: ["focus", '[name="annuli"]'],
  s: ["toggle", "needs_section"],
  x: ["toggle", "cannot_be_read"],
  v: ["focus", "[data-shown]:not([hidden]) [data-stage]"],
  b: ["press", "[data-back]"],
  y: ["press", "[data-confirm]"],
};

/**
 * What a key means where it was pressed: [action, what with], or null where it is the browser's own.
 * In the count letters are no text, so they act there too; in the note they are typed.
 */
export function keyAction(key, { field, isText, isControl, letters, repeated }) {
  if (isControl) return null;
  const inCount = field === "annuli";
  if (key === "Enter") return repeated ? ["wait"] : saveFrom(field, isText, inCount);
  if (field === "margin" && /^[1-4]$/.test(key)) return ["margin", key];
  if (inCount && key === " ") return LETTERS.m;
  if (!letters || (isText && !inCount) || key.length !== 1) return null;
  const letter = key.toLowerCase();
  if (letter in READABILITY) return ["readability", READABILITY[letter]];
  return LETTERS[letter] ?? null;
}

/** Enter saves wherever it is pressed; in a text field the browser does that by itself. */
function saveFrom(field, isText, inCount) {
  return isText && !inCount && field !== "note" ? null : ["save"];
}

/** What was said of the otolith, as far as it decides whether there is anything to save. */
export function fieldsOf(form) {
  return {
    annuli: form.elements.annuli.value.trim(),
    needsSection: form.elements.needs_section.checked,
    cannotBeRead: form.elements.cannot_be_read.checked,
  };
}
