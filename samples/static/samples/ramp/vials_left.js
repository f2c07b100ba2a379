// How many vials are left in somebody's hands, and when to ask for more. Pure: Node's runner tests it.

import { grouped } from "./rules.js";

const FEW = 5;

const vials = (count) => (count === 1 ? "1 vial" : `${count} vials`);

// `given`: whether the office ever handed vials to this person. Where it does not, none is counted.
export const wereGiven = (lists) => (lists?.vials_given ?? lists?.vials_in_hand?.length ?? 0) > 0;

// Beside the field of the number: [what it says, whether it is a warning].
export function leftInShort(left, given) {
  if (!given) return ["as on the label", false];
  if (left.length === 0) return ["No vials left", true];
  return left.length <= FEW ? [`Only ${vials(left.length)} left`, true] : [`${vials(left.length)} left`, false];
}

// Above the list of the trip, where it is time to ask for more; else nothing.
export function askForMore(left, given) {
  if (!given || left.length > FEW) return "";
  if (left.length === 0) return "No vials left. Ask the office for more.";
  const ends = [left[0], left.at(-1)].map(grouped);
  const which = left.length === 1 ? ends[0] : `${ends[0]} to ${ends[1]}`;
  return `Only ${vials(left.length)} left: ${which}. Ask the office for more.`;
}
