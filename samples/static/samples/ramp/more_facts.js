// The facts of a fish that are seldom written down, folded together below the others.

import { byId } from "./dom.js";
import { fieldsOf, makeFolded } from "./fields.js";
import { makeWeightBox } from "./weight_box.js";

export function makeMoreFacts(form) {
  const place = byId("fish-more");
  const names = makeFolded("fish", place);
  const field = Object.fromEntries(names.map((name) => [name, form.elements.namedItem(name)]));
  field.weight_g = makeWeightBox(place.querySelector("[data-field=weight_g]"), field.weight_g);
  const open = (yes) => (place.open = yes);

  return {
    names,
    field,
    // A field that came later is asked for only where the site that gave the lists reads it.
    fill(lists, lake) {
      field.weight_g.fill(lake);
      for (const [name, { folded, later }] of Object.entries(fieldsOf("fish"))) {
        if (folded && later) place.querySelector(`[data-field=${name}]`).hidden = !lists.takes?.includes(name);
      }
    },
    clear() {
      for (const name of names) field[name].value = "";
      open(false);
    },
    put(words) {
      for (const name of names) field[name].value = words[name] ?? "";
      open(names.some((name) => words[name]));
    },
    isBegun: () => names.some((name) => field[name].value),
    openFor: (wrong) => wrong.some((name) => names.includes(name)) && open(true),
  };
}
