// The questions about a fish, beside their fields, with the answers to them.

import { board } from "./board.js";
import { ask, byId } from "./dom.js";
import { digitsOf } from "./outbox.js";
import { grouped } from "./rules.js";

const VIAL_ANSWERS = {
  wrong_check_digit: "Yes, as on the label",
  vial_elsewhere: "Yes, as on the label",
  vial_other_year: "Yes, as on the label",
  vial_used: "Send it to the office",
};

// `take`: a field and what is put into it. `confirm`: a question that was answered with yes.
export function makeAsking(form, { unit, take, confirm }) {
  const typedIn = (name) => form.elements.namedItem(name).value;

  const offer = (questions, kind, { likely = false } = {}) =>
    questions.map((question) => ask(form, question, answersTo(question, likely), pictureOf(question, kind)));

  function askAll(questions, kind) {
    const notices = offer(questions, kind, { likely: true });
    const save = byId("fish-save");
    save.textContent = `Check ${nameOf(questions[0].field, kind)} first`;
    save.className = "button button-main";
    save.setAttribute("aria-disabled", "true");
    notices[0].focus();
    notices[0].scrollIntoView({ block: "center" });
  }

  function nameOf(about, kind) {
    if (about === "vial") return grouped(digitsOf(typedIn("vial")));
    return about === "length" ? typedIn("length") : kind.name;
  }

  function answersTo({ code, field: about, suggestion, offers = [], stands }, likely) {
    const yes = about === "length" ? `No, it is ${typedIn("length")}` : (VIAL_ANSWERS[code] ?? "It is right");
    const staying = stands === false ? [] : [[yes, () => confirm(code), false]];
    const vials = offers.map((number) => [number, () => take("vial", number), likely && offers.length === 1]);
    const lengths = suggestion ? [[`Yes, ${suggestion}`, () => take("length", suggestion), likely]] : [];
    return [...vials, ...lengths, ...staying];
  }

  function pictureOf({ field: about, suggestion }, kind) {
    return about === "length" ? board(kind, unit(), [suggestion, typedIn("length")].filter((text) => /^[0-9]+([.][0-9]*)?$/.test(text ?? ""))) : undefined;
  }

  return { offer, ask: askAll };
}
