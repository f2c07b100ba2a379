// What the office tells a phone besides the pick lists: own fish and what is still needed. Fetched now
// and then, kept with its date, and never in the way of what is sent.

import { dayText, localDay } from "./rules.js";

const TOO_LONG_MS = 10_000;
const HOUR_MS = 60 * 60 * 1000;

// When something was so, as a person says it.
export function asOf(instant, zone, now) {
  const at = new Date(instant);
  const day = localDay(at, zone);
  const time = at.toLocaleTimeString("en-US", { timeZone: zone, hour: "numeric", minute: "2-digit" });
  return day === localDay(now, zone) ? `As of today, ${time}.` : `As of ${dayText(day)}, ${time}.`;
}

// `addresses`: by name, what each is fetched from. `fetch` is passed in, so that Node can test it.
export function makeTold({ store, fetch, addresses, now }) {
  let known = {};

  const keyOf = (name, person) => `told ${name} ${person.key}`;

  async function load(person) {
    if (known.person === person.key) return;
    const names = Object.keys(addresses);
    const values = await Promise.all(names.map((name) => store.inHand(keyOf(name, person))));
    known = { person: person.key, ...Object.fromEntries(names.map((name, place) => [name, values[place]])) };
  }

  // Fetch what is older than an hour, or with `again` all of it. Return whether anything is new.
  async function refresh(person, { again = false } = {}) {
    if (!person?.token) return false;
    await load(person);
    const old = Object.keys(addresses).filter((name) => again || !(now() - new Date(known[name]?.fetched_at ?? 0) < HOUR_MS));
    const came = await Promise.all(old.map((name) => fetchOne(name, person)));
    return came.some(Boolean);
  }

  async function fetchOne(name, person) {
    try {
      const answer = await fetch(addresses[name], { headers: { Authorization: `Token ${person.token}` }, credentials: "omit", redirect: "error", cache: "no-store", signal: AbortSignal.timeout(TOO_LONG_MS) });
      if (!answer.ok) return false;
      const told = { ...(await answer.json()), fetched_at: now().toISOString() };
      if (!told.as_of) return false;
      await store.keepInHand(keyOf(name, person), told);
      if (known.person === person.key) known[name] = told;
      return true;
    } catch {
      return false; // what was told before stands, with its date
    }
  }

  const forget = (key) => Promise.all(Object.keys(addresses).map((name) => store.keepInHand(keyOf(name, { key }), undefined)));

  return { load, refresh, forget, told: (name, person) => (known.person === person?.key ? known[name] : undefined) };
}
