// Who to ask, and what a season asks of those who fish for it. It is on the phone, with or without signal.

import { byId, make } from "./dom.js";
import { lakesOf, seasonOf } from "./lists.js";
import { localDay } from "./rules.js";

const dialed = (phone) => phone.replaceAll(/[^\d+]/g, "");

// A list of before may be without the day: its permit is told as it stands.
const permitOn = (season, day) => (season?.permit_until && season.permit_until < day ? season.permit_expired : season?.permit);

// The permit and the possession limit of a season on a day, or nothing where neither is set.
export const rulesOf = (season, day) => [permitOn(season, day), season?.possession].filter(Boolean);

const keyOf = (lake, season) => `${lake.lake} ${season.starts_on}`;

export function makeHelp(app) {
  function show() {
    const lakes = lakesOf(app.person);
    const several = lakes.length > 1;
    byId("help-offices").replaceChildren(...lakes.flatMap((lake) => officeOf(lake, several)));
    byId("help-permits").replaceChildren(...lakes.flatMap((lake) => permitOf(lake, several)));
  }

  function officeOf({ name, office_phone: phone, office_address: address }, several) {
    const head = make("h2", {}, several ? `Office, ${name}` : "Office");
    const call = phone && make("p", {}, make("a", { className: "button", href: `tel:${dialed(phone)}` }, `Call ${phone}`));
    const none = phone || address ? null : make("p", {}, "No phone number or address is set for this lake. Ask whoever gave you the vials.");
    return [head, call, address && make("p", {}, address), none].filter(Boolean);
  }

  function permitOf(lake, several) {
    const today = localDay(app.now(), lake.time_zone);
    const rules = rulesOf(seasonOf(lake, today), today);
    if (rules.length === 0) return [];
    return [make("h2", {}, several ? `Permit and limits, ${lake.name}` : "Permit and limits"), ...rules.map((words) => make("p", {}, words))];
  }

  // Once a season, before its first trip: until it was read, and then under Help.
  async function remind(place, lake, day) {
    const season = lake && seasonOf(lake, day);
    const rules = rulesOf(season, day);
    const read = (await app.store.inHand("rules_read")) ?? {};
    if (rules.length === 0 || read[keyOf(lake, season)]) {
      place.replaceChildren();
      return;
    }
    const noted = async () => {
      await app.keep("rules_read", { ...read, [keyOf(lake, season)]: true });
      place.replaceChildren();
    };
    place.replaceChildren(make("div", { className: "notice" }, make("p", {}, make("strong", {}, "Before you fish this season")), ...rules.map((words) => make("p", {}, words)), make("div", { className: "buttons" }, make("button", { type: "button", className: "button", onclick: noted }, "Got it"))));
  }

  return { show, remind };
}
