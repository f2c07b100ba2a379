// The parts of the page: their titles, those that are about a trip, and those of today alone.

export const PANELS = {
  fish: "Log a fish",
  day: "A new day",
  trip: "Trip",
  party: "Start a trip",
  next: "Start the next trip",
  close: "End trip",
  shift: "Vials are off by one",
  count: "Count unmeasured fish",
  look: "To fix",
  waiting: "On this phone",
  mine: "My fish and their ages",
  needed: "Still needed",
  help: "Help",
  me: "Whose phone is this",
  vial: "Vial",
  away: "No signal",
};
export const WITH_PARTY = new Set(["fish", "trip", "close", "shift", "count"]);
// On a new day it is asked first which trip they are for.
export const OF_TODAY = new Set(["fish", "count"]);
