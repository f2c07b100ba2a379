// The field of a weight, in the lake's unit: one box, or pounds and ounces side by side, so that the
// digit pad does for both. Its input of the form holds what was typed as one text.

import { make } from "./dom.js";
import { weightText, withoutUnit } from "./weights.js";

const WHAT_TO_TYPE = { g: "in g", lb: "in lb, such as 0.68", lb_oz: "in lb and oz" };
const GRAMS = /^([0-9]+) g$/;
const PARTS = /^(?:([\d.,]*) lb ?)?(?:([\d.,]*) oz)?$/;

export function makeWeightBox(place, input) {
  const box = place.querySelector(".box");
  const hint = make("small", {});
  const label = place.querySelector("label");
  const boxes = { lb: boxOf("lb", "Pounds"), oz: boxOf("oz", "Ounces") };
  const pair = make("div", { className: "weight-pair", hidden: true }, boxes.lb.box, boxes.oz.box);
  let unit = "g";
  let filled; // grams that were filled in, and the text that shows them
  label.replaceChildren("Weight ", hint);
  input.inputMode = "decimal";
  box.append(make("span", { className: "box-unit", id: "fish-weight-unit" }));
  box.after(pair);
  for (const one of Object.values(boxes)) one.input.addEventListener("input", () => (input.value = joined()));

  function joined() {
    const [lb, oz] = [boxes.lb.input.value.trim(), boxes.oz.input.value.trim()];
    return [lb && `${lb} lb`, oz && `${oz} oz`].filter(Boolean).join(" ");
  }

  return {
    fill(lake) {
      unit = lake.weight_unit ?? "g";
      hint.textContent = WHAT_TO_TYPE[unit];
      box.lastElementChild.textContent = unit === "lb_oz" ? "" : unit;
      box.hidden = unit === "lb_oz";
      pair.hidden = !box.hidden;
      label.htmlFor = pair.hidden ? input.id : boxes.lb.input.id;
    },
    // Rounded to the unit, the text says less than the grams: left as it was it is those.
    get value() {
      return filled && input.value === filled.text ? `${filled.grams} g` : input.value.trim();
    },
    // A text as it was typed, or the grams of an entry; a draft has them as text.
    set value(said) {
      const grams = typeof said === "number" ? said : Number(GRAMS.exec(said)?.[1]);
      const text = grams ? weightText(grams, unit) : said;
      const parts = PARTS.exec(text);
      boxes.lb.input.value = parts?.[1] ?? "";
      boxes.oz.input.value = parts?.[2] ?? "";
      input.value = unit === "lb_oz" ? text : withoutUnit(text, unit);
      filled = grams ? { grams, text: input.value } : undefined;
    },
    unit: () => unit,
  };
}

function boxOf(word, name) {
  const input = make("input", { id: `fish-weight-${word}`, inputMode: "decimal", autocomplete: "off", attributes: { "aria-label": name } });
  return { input, box: make("div", { className: "box" }, input, make("span", { className: "box-unit" }, word)) };
}
