// Pages that need signal, opened without it: the app stands in for them and says so.

import { byId } from "./dom.js";

const LINK = /^\/me\//;

export function makeAway(app) {
  let address;

  byId("away-again").addEventListener("click", () => location.assign(address));

  return {
    // Whether the page that was asked for is one that only the office can show.
    take(pathname) {
      if (LINK.test(pathname)) address = pathname;
      return address !== undefined;
    },
    has: () => address !== undefined,
    show() {
      byId("away-head").textContent = "Your personal link needs signal";
      byId("away-words").textContent = app.person ? `This phone is set up for ${app.person.name}. You can log fish now; they are sent when there is signal.` : "This phone is not set up yet. Open the link again where there is signal; until then write fish on paper.";
      byId("away-log").hidden = !app.person;
      byId("away-again").classList.toggle("button-next", !app.person);
    },
  };
}
