// The reading grid by keyboard. Enter goes down the annuli, and from the margin on to the next
// row's annuli; a row is saved when it is left.
// Without this script every row has its own Save button and works the same.

const COLUMNS = ["annuli", "margin", "method", "readability", "side", "light", "axis", "preparation", "needs_section", "note"];
// The arrows go along these; the others are folded, and Tab leads to them.
const ALONG = COLUMNS.slice(0, 4);
const NO_ANSWER = "Not saved: no answer from the site. What you typed is still here. Save again.";
const SIGNED_OUT = "Not saved: you are signed out. Sign in on another page, then save again here.";

const table = document.querySelector("[data-grid]");
const status = document.querySelector("[data-grid-status]");
const rows = table ? [...table.querySelectorAll("[data-row]")].map(makeRow) : [];

function makeRow(body) {
  const fields = Object.fromEntries(
    COLUMNS.map((name) => [name, body.querySelector(`[data-col="${name}"]`)]).filter(([, field]) => field),
  );
  const find = (name) => body.querySelector(`[data-${name}]`);
  const row = {
    body,
    fields,
    form: body.querySelector("form"),
    words: body.dataset.words,
    age: find("age"),
    stateWords: find("state-words"),
    save: find("save"),
    takeBack: find("take-back"),
    sayRow: find("say-row"),
    say: find("say"),
    kept: "",
    onServer: body.dataset.state === "saved",
    saving: false,
    // Asked to save once more while the last saving was under way.
    again: false,
    confirmed: [],
  };
  // A row that the server drew with something to put right is not kept yet.
  const wrong = !row.sayRow.hidden;
  if (wrong) body.dataset.state = "unsaved";
  else row.kept = typedIn(row);
  row.save.hidden = !wrong;
  return row;
}

function typedIn(row) {
  return JSON.stringify(Object.values(row.fields).map((field) => field.value.trim()));
}

function isChanged(row) {
  return typedIn(row) !== row.kept;
}

// Nothing was counted here yet: a method alone is not a reading.
function isEmpty(row) {
  return !row.onServer && !row.fields.annuli.value.trim() && !row.fields.margin.value.trim();
}

function show(row, state, words) {
  row.body.dataset.state = state;
  row.stateWords.textContent = words;
  row.save.hidden = state === "saved" || state === "saving" || state === "empty";
}

function element(name, words, className = "") {
  const made = document.createElement(name);
  made.textContent = words;
  if (className) made.className = className;
  return made;
}

function clearSaid(row) {
  row.say.replaceChildren();
  row.sayRow.hidden = true;
  for (const field of Object.values(row.fields)) {
    field.removeAttribute("aria-invalid");
    field.closest(".box").removeAttribute("data-wrong");
  }
}

function say(row, sentences, wrongFields) {
  row.say.replaceChildren(...sentences.map((words) => element("p", words, "field-error")));
  row.sayRow.hidden = false;
  for (const name of wrongFields.filter((one) => one in row.fields)) {
    row.fields[name].setAttribute("aria-invalid", "true");
    row.fields[name].closest(".box").setAttribute("data-wrong", "");
  }
  tell(`Vial ${row.words} not saved. ${sentences.join(" ")}`);
}

function tell(words) {
  status.textContent = words;
}

function showAge(row, answer) {
  const settled = answer.age !== null;
  const parts = [element("strong", settled ? `Age ${answer.age}` : "No age")];
  if (settled) parts.push(`, year class ${answer.year_class}`);
  parts.push(element("br", ""), element("span", answer.sentence, "small soft"));
  for (const words of answer.flags) parts.push(element("br", ""), element("span", words, "small"));
  row.age.replaceChildren(...parts);
}

async function save(row, { leaving = false } = {}) {
  if (row.saving) {
    row.again = true;
    return;
  }
  if (!isChanged(row)) return;
  if (isEmpty(row)) {
    clearSaid(row);
    show(row, "empty", "");
    return;
  }
  const typed = typedIn(row);
  const confirmed = row.confirmed.join(" ");
  row.saving = true;
  row.again = false;
  show(row, "saving", "Saving");
  const answer = await send(row, leaving);
  row.saving = false;
  // Typed on while the answer was on its way: the newer words are sent in their turn.
  if (typedIn(row) !== typed) {
    if (answer.body?.saved) [row.kept, row.onServer] = [typed, true];
    show(row, "unsaved", "Not saved yet");
    if (row.again || !row.body.contains(document.activeElement)) await save(row);
    return;
  }
  // "Yes" was pressed while the same words were on their way without it.
  if (row.again && row.confirmed.join(" ") !== confirmed && !answer.body?.saved) {
    await save(row);
    return;
  }
  take(row, typed, answer);
}

function take(row, typed, { problem, body }) {
  clearSaid(row);
  if (problem) {
    show(row, "failed", "Not saved");
    say(row, [problem], []);
    return;
  }
  if (body.saved) {
    row.kept = typed;
    row.onServer = true;
    row.confirmed = [];
    show(row, "saved", "Saved");
    showAge(row, body);
    row.takeBack.action = body.take_back + location.search;
    row.takeBack.querySelector("button").hidden = false;
    tell(`Vial ${row.words} saved. ${body.sentence}`);
    return;
  }
  show(row, "asked", "Not saved");
  const errors = Object.entries(body.errors ?? {});
  const questions = body.questions ?? [];
  const sentences = [...errors.flatMap(([, words]) => words), ...questions.map((q) => q.sentence)];
  say(row, sentences, [...errors.map(([field]) => field), ...questions.map((q) => q.field)]);
  if (questions.length) row.say.append(yesButton(row, questions));
}

function yesButton(row, questions) {
  const button = element("button", "Save as entered", "button");
  button.type = "submit";
  button.setAttribute("form", row.form.id);
  button.name = "confirmed";
  button.value = questions.map((question) => question.code).join(" ");
  button.append(element("span", `, vial ${row.words}`, "unseen"));
  return button;
}

async function send(row, leaving) {
  const said = Object.fromEntries(Object.entries(row.fields).map(([name, field]) => [name, field.value.trim()]));
  try {
    const response = await fetch(table.dataset.saveTo, {
      method: "POST",
      credentials: "same-origin",
      redirect: "manual",
      keepalive: leaving,
      headers: {
        "Content-Type": "application/json",
        "X-CSRFToken": row.form.elements.csrfmiddlewaretoken.value,
      },
      body: JSON.stringify({
        vial: row.body.dataset.row,
        length: table.dataset.length,
        confirmed: row.confirmed,
        ...said,
      }),
    });
    if (response.type === "opaqueredirect" || response.status === 403) return { problem: SIGNED_OUT };
    if (response.status !== 200 && response.status !== 422) return { problem: NO_ANSWER };
    return { body: await response.json() };
  } catch {
    return { problem: NO_ANSWER };
  }
}

function rowOf(target) {
  return rows.find((row) => row.body.contains(target));
}

function go(row, name, step) {
  const there = rows[rows.indexOf(row) + step];
  if (!there) {
    save(row);
    return;
  }
  const field = there.fields[name];
  field.focus();
  field.select?.();
}

function atEdge(field, step) {
  if (field.tagName === "SELECT") return true;
  const all = field.selectionStart === 0 && field.selectionEnd === field.value.length;
  return all || (step < 0 ? field.selectionEnd === 0 : field.selectionStart === field.value.length);
}

function sideways(event, row, name) {
  const step = event.key === "ArrowLeft" ? -1 : 1;
  const there = ALONG.includes(name) && ALONG[ALONG.indexOf(name) + step];
  if (!there || !atEdge(event.target, step)) return;
  event.preventDefault();
  row.fields[there].focus();
  row.fields[there].select?.();
}

function onKey(event) {
  const name = event.target.dataset?.col;
  const row = name && rowOf(event.target);
  if (!row || event.isComposing || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.key === "Enter") {
    event.preventDefault();
    // Once the margin is typed the vial is read: the next count is typed next.
    go(row, "annuli", event.shiftKey ? -1 : 1);
  } else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
    sideways(event, row, name);
  } else if (event.target.tagName === "INPUT" && /^Arrow(Up|Down)$/.test(event.key)) {
    // In a list of choices the arrows choose, as everywhere.
    event.preventDefault();
    go(row, name, event.key === "ArrowUp" ? -1 : 1);
  }
}

function onInput(event) {
  const row = rowOf(event.target);
  if (!row || row.saving) return;
  row.confirmed = [];
  if (isChanged(row)) {
    show(row, "unsaved", "Not saved yet");
    return;
  }
  clearSaid(row);
  if (row.onServer) show(row, "saved", "Saved");
  else show(row, "empty", "");
}

function onLeave(event) {
  const row = rowOf(event.target);
  if (row && !row.body.contains(event.relatedTarget)) save(row);
}

function onSubmit(event) {
  const row = rowOf(event.target);
  if (!row || event.target === row.takeBack) return;
  event.preventDefault();
  const yes = event.submitter?.name === "confirmed" ? event.submitter.value : "";
  row.confirmed = yes ? yes.split(" ") : [];
  // The button goes away with the question: the keyboard stays in the row.
  row.fields.annuli.focus();
  save(row);
}

function unkept() {
  return rows.filter((row) => isChanged(row) && !isEmpty(row));
}

if (table) {
  table.addEventListener("keydown", onKey);
  table.addEventListener("input", onInput);
  table.addEventListener("focusout", onLeave);
  table.addEventListener("submit", onSubmit);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") unkept().forEach((row) => save(row, { leaving: true }));
  });
  window.addEventListener("beforeunload", (event) => {
    if (rows.some((row) => row.saving) || unkept().length) event.preventDefault();
  });
}
