// Small hands for the page: find, make, show an error beside its field.

import { pageChanged } from "./taps.js";

export const byId = (id) => document.getElementById(id);

// make("p", {className: "notice"}, "words", node): words are text, never markup.
export function make(tag, properties = {}, ...children) {
  const node = document.createElement(tag);
  const { dataset = {}, attributes = {}, ...rest } = properties;
  Object.assign(node, rest);
  Object.assign(node.dataset, dataset);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children.filter((child) => child != null));
  return node;
}

// Fill a list anew only where it says something new: a button under a thumb is not replaced.
export function refill(list, facts, rows) {
  const key = JSON.stringify(facts);
  if (list.filledWith === key) return;
  list.filledWith = key;
  list.replaceChildren(...rows());
}

export function fillSelect(select, options, { first, value } = {}) {
  const before = value ?? select.value;
  select.replaceChildren(
    ...(first === undefined ? [] : [make("option", { value: "" }, first)]),
    ...options.map(({ code, name }) => make("option", { value: code }, name)),
  );
  select.value = options.some(({ code }) => code === before) ? before : (select.options[0]?.value ?? "");
}

// Real radio inputs under large faces, as on the pages that the server makes.
export function fillChoices(row, name, options, value = chosen(row)) {
  const kept = [...row.querySelectorAll("[data-stays]")];
  row.replaceChildren(
    ...options.map((option) =>
      make(
        "label",
        { className: "choice-item" },
        make("input", { type: "radio", name, value: option.code, checked: option.code === value }),
        make("span", { className: "choice-face" }, option.name),
      ),
    ),
    ...kept,
  );
}

export function chosen(row) {
  return row.querySelector("input:checked")?.value ?? "";
}

export function choose(row, value) {
  for (const input of row.querySelectorAll("input")) input.checked = input.value === value;
}

// ---------- Errors and questions, beside their fields ----------

export function clearSaid(form) {
  for (const node of form.querySelectorAll("[data-said]")) node.remove();
  for (const node of form.querySelectorAll("[data-wrong]")) delete node.dataset.wrong;
  for (const node of form.querySelectorAll("[aria-invalid]")) {
    node.removeAttribute("aria-invalid");
    node.removeAttribute("aria-describedby");
  }
  for (const node of form.querySelectorAll(".choice-wrong")) {
    node.classList.remove("choice-wrong");
    node.removeAttribute("aria-describedby");
  }
}

const placeOf = (form, field) => form.querySelector(`[data-field="${field}"]`);

// `errors`: field -> sentences. The first field on the page that is wrong gets the focus, and its
// error is the one that is heard.
export function showErrors(form, errors) {
  const wrongs = Object.entries(errors).map(([field, sentences]) => ({ place: placeOf(form, field) ?? form.querySelector("[data-field]"), field, sentence: [sentences].flat().join(" ") }));
  wrongs.sort(({ place: one }, { place: other }) => (one.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_PRECEDING ? 1 : -1));
  for (const { place, field, sentence } of wrongs) markWrong(place, field, sentence);
  const wrong = form.querySelector("[aria-invalid], .choice-wrong input");
  wrong?.focus();
  wrong?.closest("[data-field]")?.scrollIntoView({ block: "center" });
}

function markWrong(place, field, sentence) {
  const id = `${place.closest("form").id}-${field}-error`;
  place.querySelector(".box, .choice-row").before(
    make("p", { className: "field-error", id, dataset: { said: "" }, attributes: alertIn(place.closest("form")) }, make("span", {}, sentence)),
  );
  const box = place.querySelector(".box");
  if (!box) {
    place.classList.add("choice-wrong");
    place.setAttribute("aria-describedby", id);
    return;
  }
  box.dataset.wrong = "";
  const input = box.querySelector("input, select, textarea");
  input.setAttribute("aria-invalid", "true");
  input.setAttribute("aria-describedby", id);
}

// One alert at a time is heard; what else is wrong is the description of its own field.
const alertIn = (form) => (form.querySelector("[role=alert]") ? {} : { role: "alert" });

// A question with its answers: `answers` are [words, what it does, is it the likelier one].
export function ask(form, { field, sentence, code }, answers, picture) {
  pageChanged();
  const place = placeOf(form, field) ?? form.querySelector("[data-field]");
  const buttons = answers.map(([words, answer, likely]) =>
    make("button", { type: "button", className: likely ? "button button-next" : "button", onclick: answer }, words),
  );
  const notice = make(
    "div",
    { className: "notice notice-ask ask", id: `ask-${code}`, tabIndex: -1, dataset: { said: "" }, attributes: alertIn(form) },
    make("p", {}, make("span", {}, sentence)),
    picture,
    make("div", { className: "buttons" }, ...buttons),
  );
  const box = place.querySelector(".box");
  if (box) box.dataset.wrong = "";
  place.append(notice);
  return notice;
}

export function valuesOf(form) {
  return Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, String(value).trim()]));
}
