// What is still needed, arm by arm, as the office told it last; it is said with its date.

import { byId, make, refill } from "./dom.js";
import { dayText, localDay } from "./rules.js";
import { asOf } from "./told.js";

// What is needed from an arm: its species with something to catch first. Pure: Node's runner tests it.
export function neededFrom(told, lake, arm) {
  const found = told?.lakes.find((one) => one.lake === lake)?.arms.find((one) => one.arm === arm)?.species ?? [];
  return [...found].sort((one, other) => Number(other.needed.length > 0) - Number(one.needed.length > 0));
}

// What the biologist asks for, of one arm or of all: lines in her words, each with where. An office of
// an older version tells nothing of it. Pure.
export function askedFrom(told, lake, arm) {
  const asked = told?.lakes.find((one) => one.lake === lake)?.asked;
  const lines = (asked?.lines ?? []).filter(({ arms }) => arm === undefined || arms.length === 0 || arms.includes(arm));
  return lines.map(({ words, arms }) => ({ words, where: armsInWords(arms) }));
}

function armsInWords(arms) {
  if (arms.length === 0) return "Any arm";
  return arms.length === 1 ? arms[0] : `${arms.slice(0, -1).join(", ")} and ${arms.at(-1)}`;
}

// How many more, and which sex is short where the office tells it. Pure.
export function moreInWords({ more, sex }) {
  return sex ? `${more} more, ${sex}` : `${more} more`;
}

// The lengths of one species of which there are enough, as a sentence.
export function enoughInWords({ species, enough }) {
  if (enough.length === 0) return "";
  const named = enough.map((words) => words.replace(/^./, (letter) => letter.toLowerCase()));
  return `We have enough ${species.toLowerCase()}: ${named.join(" and ")}.`;
}

export function makeNeeded(app) {
  const told = () => app.told("needed");

  function linesOf(lake, arm) {
    const species = neededFrom(told(), lake, arm);
    const lines = species.flatMap((one) => [
      ...one.needed.map(({ lengths, ...need }) => make("li", { className: "need-more" }, make("strong", {}, `${one.species}, ${lengths.replace(/^./, (letter) => letter.toLowerCase())}`), make("span", {}, moreInWords(need)))),
      enoughInWords(one) && make("li", { className: "soft" }, enoughInWords(one)),
    ]);
    return lines.filter(Boolean);
  }

  const date = () => (told() ? asOf(told().as_of, app.lake().time_zone, app.now()) : "");

  const askedLines = (lake, arm) => askedFrom(told(), lake, arm).map(({ words, where }) => make("li", { className: "need-more" }, make("strong", {}, words), make("span", {}, where)));

  // With the day it was sent: a phone that was long offline still shows it.
  function asked() {
    const { lake, time_zone: zone } = app.lake();
    const list = told()?.lakes.find((one) => one.lake === lake)?.asked;
    if (!list) return [];
    const sent = `Sent ${dayText(localDay(new Date(list.sent_at), zone))}.`;
    return [make("section", {}, make("h2", {}, "Asked by the biologist"), make("ul", { className: "ruled" }, ...askedLines(lake)), list.enough ? make("p", { className: "soft" }, list.enough) : null, make("p", { className: "soft" }, sent))];
  }

  function show() {
    const inHand = app.party?.arm;
    const arms = (told()?.lakes.find((one) => one.lake === app.lake().lake)?.arms ?? []).map(({ arm }) => arm);
    const ordered = [...arms].sort((one, other) => Number(other === inHand) - Number(one === inHand));
    const none = told() ? "Nothing is asked for now. Every fish still helps." : "This shows once the phone has been online.";
    byId("needed-as-of").textContent = arms.length === 0 && asked().length === 0 ? `${none} ${date()}`.trim() : date();
    refill(byId("needed-arms"), [told()?.as_of, app.lake().lake, ordered], () => [...asked(), ...ordered.map((arm) => section(arm))]);
  }

  const section = (arm) => make("section", {}, make("h2", {}, arm), make("ul", { className: "ruled" }, ...linesOf(app.lake().lake, arm)));

  // Below the form that starts a trip: what is needed from the arm that was chosen.
  function showBelow(place, arm, lake) {
    const lines = [...askedLines(lake, arm), ...linesOf(lake, arm)];
    place.hidden = lines.length === 0;
    refill(place, [told()?.as_of, lake, arm], () => [make("h2", {}, `Still needed in ${arm}`), make("ul", { className: "ruled" }, ...lines), make("p", { className: "soft" }, `${date()} `, make("a", { href: "#needed" }, "All arms"))]);
  }

  return { show, showBelow };
}
