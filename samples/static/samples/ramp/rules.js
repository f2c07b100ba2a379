// What the phone asks and reads without signal, in the server's own words.
// No page, no network, no clock: everything is passed in, and Node's runner tests it.

export { lengthQuestions, spineQuestion, unreadableLengthQuestions } from "./questions.js";
export { dateQuestions, dayText, localDay, seasonFor, vialQuestions } from "./questions.js";
export { NOTHING_TYPED, caretIn, digitsPlaced, lengthShown, parseLength, placePoint, retype } from "./lengths.js";
export { checkDigit, endsWith, grouped, near, nextNumber, noVialEndsSo } from "./numbers.js";
export { parseVial, step, vialsEnding } from "./numbers.js";
export { parseWeight, weightText } from "./weights.js";
export { closingQuestions, keyAfter } from "./trip_rules.js";
