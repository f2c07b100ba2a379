// A person's own fish and their ages: counts first, in the order and of the species and year that
// were chosen. What the office told last is kept on the phone, with its date.

import { byId, fillSelect, make, refill } from "./dom.js";
import { dayText } from "./rules.js";
import { asOf } from "./told.js";

// As on the page without scripts: samples/ramp/queries/my_fish.py.
const STANDINGS = {
  aged: "",
  one_reader: "Read once so far.",
  at_office: "The office has the vial. Not aged yet.",
  no_age: "The otolith can't be read.",
  with_you: "The vial is not at the office yet.",
  measured: "Measured, without a vial.",
  held: "The office is checking this fish.",
};
const MOST_SHOWN = 100;

const years = (age) => (age === 1 ? "1 year" : `${age} years`);

export const yearOf = ({ caught_on: day }) => day.slice(0, 4);

// Those of a species and year that were chosen, in an order: of one length or age the last caught first.
export function chosenFish(fish, { order, species, year }) {
  const found = fish.filter((one) => (!species || one.species === species) && (!year || yearOf(one) === year));
  if (order === "longest") return [...found].sort((one, other) => other.hundredths_mm - one.hundredths_mm);
  if (order === "oldest") return [...found].sort((one, other) => (other.age ?? -1) - (one.age ?? -1));
  return found;
}

export function countsInShort(fish) {
  const ages = fish.map(({ age }) => age).filter((age) => age !== null);
  return ages.length === 0 ? `${fish.length} fish, none aged yet` : `${ages.length} aged, oldest ${years(Math.max(...ages))}`;
}

// What the lakes tell their donors, each as its words and where and when it was said. An office of an
// older version tells nothing. Pure.
export function messagesFrom(told) {
  return (told?.messages ?? []).map(({ lake, text, on, edited }) => ({ text, said: `${lake}, ${edited ? "edited " : ""}${dayText(on)}` }));
}

export function makeMyFish(app) {
  const form = byId("form-mine");
  form.addEventListener("change", show);
  form.addEventListener("submit", (event) => event.preventDefault());

  function show() {
    const told = app.told("my_fish");
    const all = told?.fish ?? [];
    const options = (values) => values.map((value) => ({ code: value, name: value }));
    fillSelect(form.elements.species, options([...new Set(all.map(({ species }) => species))].sort()), { first: "All species" });
    fillSelect(form.elements.year, options([...new Set(all.map(yearOf))].filter(Boolean).sort().reverse()), { first: "All years" });
    form.hidden = all.length === 0;
    const asked = Object.fromEntries(new FormData(form));
    const found = chosenFish(all, asked);
    byId("mine-counts").textContent = all.length > 0 ? countsInShort(found) : "";
    byId("mine-as-of").textContent = told ? `${found.length} fish. ${asOf(told.as_of, app.lake().time_zone, app.now())}` : "Your fish show here once this phone has been online.";
    refill(byId("mine-messages"), [told?.messages], () => messagesFrom(told).map(({ text, said }) => make("div", { className: "told-donors" }, make("p", {}, text), make("p", { className: "soft" }, said))));
    byId("mine-none").hidden = !told || all.length > 0;
    refill(byId("mine-fish"), [asked, told?.as_of], () => found.slice(0, MOST_SHOWN).map(row));
    byId("mine-more").textContent = found.length > MOST_SHOWN ? `The first ${MOST_SHOWN} of ${found.length}. Choose a species or a year to see others.` : "";
  }

  function row(fish) {
    const age = fish.age === null ? null : make("p", { className: "given-age" }, `${years(fish.age)} old`);
    const hatched = fish.year_class && `hatched in ${fish.year_class}`;
    const where = [fish.arm, fish.caught_on && dayText(fish.caught_on), hatched].filter(Boolean).join(", ");
    const vial = fish.vial ? make("span", {}, "Vial ", make("span", { className: "vial" }, fish.vial)) : null;
    const standing = STANDINGS[fish.standing];
    const certificate = fish.certificate ? make("p", {}, make("a", { href: fish.certificate }, "Certificate (PDF), online")) : null;
    return make("li", { className: "given-fish" }, make("div", {}, age, make("p", {}, make("strong", {}, [fish.species, fish.length, fish.sex.toLowerCase()].filter(Boolean).join(", "))), make("p", {}, where), ...(fish.compared ?? []).map((sentence) => make("p", {}, sentence)), vial && make("p", {}, vial), standing ? make("p", { className: "soft" }, standing) : null, certificate), fish.picture ? picture(fish.picture) : null);
  }

  // Pictures are not kept on the phone: without signal, or signed out, there is none.
  function picture(address) {
    const shown = make("img", { src: `${address}?size=small`, alt: "Otolith of this fish", loading: "lazy" });
    const link = make("a", { className: "given-picture", href: address }, shown);
    shown.addEventListener("error", () => link.remove());
    return link;
  }

  return { show };
}
