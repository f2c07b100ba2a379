// Prints entries of every kind as the phone's outbox makes them, for the test of the contract.

import { newEntry, uuid7 } from "../../samples/static/samples/ramp/outbox.js";

const now = new Date("2026-05-06T17:30:00Z");
let made = 0;
const newId = () => uuid7(now.getTime(), new Uint8Array(10).fill((made += 1)));
const write = (kind, facts, partyId) => newEntry(kind, facts, { person: "7", partyId, now, zone: "America/Chicago", newId }).words;

const place = { arm: "Brindle", reach: "", caught_on: "2026-05-06", method: "angler_kept", how_chosen: "every_fish", every_nth: "", fish_in_box: "", kept: "fresh", net_nights: "", net_mesh_mm: "" };
const full = { ...place, reach: "Lower", method: "trap_net", how_chosen: "every_nth", every_nth: 2, fish_in_box: 0, net_nights: 2, net_mesh_mm: 13 };
const opened = write("party_opened", { lake: "lake-orrinbeck", ...place, interview_key: "", donor_name: "", confirmed: "" }, null);
const party = opened.party_id;
const plain = { vial: "26 0001 8", species: "white-crappie", length: "9.4", unit: "in", sex: "F", spines: "", told_by: "", weight_g: "", confirmed: "" };
const fish = write("fish", plain, party);

const entries = [
  opened,
  write("party_opened", { lake: "lake-orrinbeck", ...full, interview_key: "K-17", donor_name: "L. Brask", confirmed: ["date_in_future"] }, null),
  write("party_changed", { ...place, arm_change: "wrong" }, party),
  write("party_changed", { ...full, arm_change: "moved" }, party),
  fish,
  write("fish", { ...plain, vial: "", length: "240", unit: "mm", sex: "U", spines: 6, told_by: "spines", weight_g: 310, confirmed: ["length_out_of_range", "spines_do_not_fit"] }, party),
  write("correction", { ...plain, length: "9.7", about_entry_id: fish.entry_id }, party),
  write("withdrawal", { about_entry_id: fish.entry_id }, party),
  write("shift", { from_vial: "2600018", by: 1 }, party),
  write("shift", { from_vial: "2600018", by: -1 }, party),
  write("unmeasured_count", { species: "black-crappie", count: 4 }, party),
  write("party_closed", { count_in_hand: 0, last_number: "" }, party),
  write("party_closed", { count_in_hand: 12, last_number: "0018" }, party),
  write("party_closed", {}, party),
];
console.log(JSON.stringify(entries));
