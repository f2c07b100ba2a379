// One otolith of a reading session by keys alone. Without this script the form is sent by its
// button, and the age stands in the message after it was saved.

import { singleKeysAreOn } from "../keys.js";
import { fieldsOf, keyAction } from "./session_keys.js";

const form = document.querySelector("[data-session]");
const annuli = form.querySelector("[data-annuli]");
const status = form.querySelector("[data-status]");
const PAUSE_MS = 120;
const empty = form.querySelector("[data-empty]");
const EMPTY =
  "Enter the number of annuli, 0 to 59. If there is no count, choose Needs a section or Cannot be read.";

let sent = false;
let seen = document.visibilityState === "visible" ? performance.now() : 0;
let secondsSeen = 0;
let asking = null;
let timer = 0;

// ---------- How long it took: only while the page is in sight ----------

function pauseClock() {
  if (seen) secondsSeen += (performance.now() - seen) / 1000;
  seen = 0;
}

function onVisibility() {
  if (document.visibilityState === "hidden") pauseClock();
  else if (!seen) seen = performance.now();
}

// ---------- The age of the count ----------

function checkedMargin() {
  return form.querySelector('[name="margin"]:checked')?.value ?? "";
}

function showAge({ age, year_class: yearClass, sentence }) {
  const settled = age !== null && age !== undefined;
  const strong = document.createElement("strong");
  strong.textContent = settled ? `Age ${age}` : "";
  const parts = settled ? [strong, document.createElement("br"), `year class ${yearClass}`] : [];
  form.querySelector("[data-age]").replaceChildren(...parts);
  form.querySelector("[data-rule]").textContent = sentence;
}

async function askAge() {
  asking?.abort();
  if (!/^\d{1,2}$/.test(annuli.value.trim())) {
    showAge({ age: null, sentence: "" });
    return;
  }
  asking = new AbortController();
  const query = new URLSearchParams({
    place: form.elements.place.value,
    annuli: annuli.value.trim(),
    margin: checkedMargin(),
  });
  try {
    const response = await fetch(`${form.dataset.ageAt}?${query}`, {
      signal: asking.signal,
      redirect: "error",
    });
    if (response.ok) showAge(await response.json());
  } catch {
    // The count is saved all the same; its age stands in the message after that.
  }
}

function askSoon() {
  clearTimeout(timer);
  timer = setTimeout(askAge, PAUSE_MS);
}

// ---------- Saving once ----------

function showEmpty(words) {
  empty.textContent = words;
  annuli.closest(".box").toggleAttribute("data-wrong", words !== "");
  annuli.setAttribute("aria-invalid", String(words !== ""));
}

function onSubmit(event) {
  const fields = fieldsOf(form);
  if (!fields.annuli && !fields.needsSection && !fields.cannotBeRead) {
    event.preventDefault();
    showEmpty(EMPTY);
    annuli.focus();
    return;
  }
  if (sent) {
    event.preventDefault();
    return;
  }
  sent = true;
  pauseClock();
  form.querySelector("[data-seconds]").value = String(Math.round(secondsSeen));
  status.textContent = "Saving";
}

// ---------- Keys ----------

function check(name, value) {
  const field = form.querySelector(`[name="${name}"][value="${value}"]`);
  field.checked = true;
  if (name === "margin") {
    field.focus();
    askSoon();
  }
}

const ACTIONS = {
  margin: (value) => check("margin", value),
  readability: (value) => check("readability", value),
  toggle: (name) => {
    form.elements[name].checked = !form.elements[name].checked;
  },
  focus: (where) => {
    const field = document.querySelector(where);
    field?.focus();
    field?.select?.();
  },
  press: (where) => document.querySelector(where)?.click(),
  // A key held down saves once.
  wait: () => {},
  save: () => form.requestSubmit(form.querySelector("[data-save]")),
};

function onKey(event) {
  // The viewer's own keys are taken while it has the focus, and only then.
  if (event.defaultPrevented || event.isComposing || event.ctrlKey || event.altKey || event.metaKey) return;
  const target = event.target;
  const action = keyAction(event.key, {
    field: target.name ?? "",
    isText: target.matches?.("input:not([type=radio]):not([type=checkbox]), select, textarea"),
    isControl: Boolean(target.closest?.("a, button, summary, [data-view-controls]")),
    letters: singleKeysAreOn(),
    repeated: event.repeat,
  });
  if (!action) return;
  event.preventDefault();
  ACTIONS[action[0]](action[1]);
}

form.addEventListener("submit", onSubmit);
form.addEventListener("input", () => {
  status.textContent = "";
  showEmpty("");
  askSoon();
});
document.addEventListener("keydown", onKey);
document.addEventListener("visibilitychange", onVisibility);
// Back from the next page: what is there can be saved again.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) sent = false;
});
document.querySelector("[data-keys]").hidden = false;
annuli.focus();
annuli.select();
askAge();
