// What the phone asks and reads without signal, in the server's own words.
// No page, no network, no clock: everything is passed in, and Node's runner tests it.

export { lengthQuestions, spineQuestion } from "./questions.js";
export { dateQuestions, dayText, localDay, seasonFor, vialQuestions } from "./questions.js";
export { parseLength, placePoint } from "./lengths.js";
export { checkDigit, endsWith, grouped, nextNumber } from "./numbers.js";
export { parseVial, step, vialsEnding } from "./numbers.js";
export { closingQuestions, keyAfter } from "./trip_rules.js";
