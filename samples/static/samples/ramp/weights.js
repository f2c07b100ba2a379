// Weights as the server reads them: typed in the lake's unit, kept in whole grams.
// A pound is 453.59237 g exactly; here in hundred-thousandths of a gram, so that nothing is rounded twice.

import { trimmed } from "./numbers.js";

const PER_GRAM = 100_000;
const PER_POUND = 45_359_237;
const OUNCES_PER_POUND = 16;
const MOST_GRAMS = 60_000;

const SUCH_AS = {
  g: "Enter weight in g, such as 310.",
  lb_oz: "Enter weight in pounds and ounces, such as 0 lb 11 oz.",
  lb: "Enter weight in pounds to the hundredth, such as 0.68.",
};
const NUMBER = "[0-9]{1,6}(?:\\.[0-9]{1,3})?";
const BARE = new RegExp(`^${NUMBER}$`);
const GRAMS = new RegExp(`^(${NUMBER})[ \\t-\\r]*(g|kg)$`);
const POUNDS = new RegExp(`^(?:(${NUMBER})[ \\t-\\r]*(?:lbs?|lbs?\\.|pounds?)[ \\t-\\r]*)?(?:(${NUMBER})[ \\t-\\r]*(?:oz|oz\\.|ounces?))?$`);

// Reads a typed weight: {grams}, or {code, sentence}. A unit written in the value wins.
export function parseWeight(text, unit) {
  let cleaned = trimmed(text.normalize("NFKC")).toLowerCase().replaceAll(",", ".");
  if (BARE.test(cleaned) && unit !== "lb_oz") cleaned += ` ${unit}`;
  const grams = gramsOf(cleaned);
  if (grams === undefined) return { code: "not_a_weight", sentence: SUCH_AS[unit] };
  if (grams < 1 || grams > MOST_GRAMS) return { code: "weight_out_of_range", sentence: "Enter a weight above 0, up to 132 lb (60,000 g)." };
  return { grams };
}

// A number as whole thousandths.
function thousandths(text = "0") {
  const [whole, part = ""] = text.split(".");
  return Number(whole) * 1000 + Number(part.padEnd(3, "0"));
}

function gramsOf(cleaned) {
  const metric = GRAMS.exec(cleaned);
  if (metric) {
    const grams = thousandths(metric[1]) * (metric[2] === "kg" ? 1000 : 1);
    return grams % 1000 === 0 ? grams / 1000 : undefined;
  }
  const said = POUNDS.exec(cleaned);
  if (!said || !cleaned) return undefined;
  const [pounds, ounces] = [thousandths(said[1]), thousandths(said[2])];
  const both = said[1] !== undefined && said[2] !== undefined;
  if (both && (pounds % 1000 !== 0 || ounces >= OUNCES_PER_POUND * 1000)) return undefined;
  if (pounds % 10 !== 0 || ounces % 100 !== 0) return undefined;
  // Whole in both: 160 tenths of an ounce and 100 hundredths of a pound.
  const eightHundredths = pounds / 10 * 8 + ounces / 100 * 5;
  return roundedHalfUp(eightHundredths * PER_POUND, 800 * PER_GRAM);
}

const roundedHalfUp = (value, by) => Math.floor((2 * value + by) / (2 * by));

// Writes a weight in a lake's unit: whole grams, ounces to the tenth, pounds to the hundredth.
export function weightText(grams, unit) {
  if (unit === "g") return `${grams} g`;
  if (unit === "lb") return `${decimal(roundedHalfUp(grams * PER_GRAM * 100, PER_POUND), 2)} lb`;
  const tenths = roundedHalfUp(grams * PER_GRAM * OUNCES_PER_POUND * 10, PER_POUND);
  const perPound = OUNCES_PER_POUND * 10;
  return `${Math.floor(tenths / perPound)} lb ${decimal(tenths % perPound, 1).replace(/\.0$/, "")} oz`;
}

// A weight as a box has it that says the lake's unit beside it; another unit stays written.
export const withoutUnit = (text, unit) => (text.endsWith(` ${unit}`) ? text.slice(0, -unit.length - 1) : text);

const decimal = (value, places) => `${Math.floor(value / 10 ** places)}.${String(value % 10 ** places).padStart(places, "0")}`;
