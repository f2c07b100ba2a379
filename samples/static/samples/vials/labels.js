// Draws the preview again while the form changes. Without it the preview's button does the same.

const form = typeof document === "undefined" ? null : document.querySelector("[data-labels]");
// Where these change, another position may be the first free one: the server says which.
const MOVES_THE_START = ["stock", "sheet", "order"];
const PARTS = ["#sheets", "[data-stock-hint]", "[data-symbol]", "[data-sheet-field]", "[data-advice]", "[data-make]"];
let asked;

/** Return where the page is asked for as the form stands; `changed` is the field just changed. */
export function addressOf(path, typed, changed = "") {
  const words = new URLSearchParams();
  for (const [name, value] of typed) {
    if (name === "csrfmiddlewaretoken" || name === "request_id") continue;
    if (name === "first_position" && MOVES_THE_START.includes(changed)) continue;
    if (name === "sheet" && changed === "stock") continue;
    words.append(name, value);
  }
  return `${path}?${words}`;
}

/** Put what was found wrong with a field beside it, or take it away; what is typed stays. */
export function markField(old, fresh) {
  const [was, is] = [old, fresh].map((root) => root.querySelector(".field-error"));
  was?.remove();
  const [oldBox, freshBox] = [old, fresh].map((root) => root.querySelector(".box"));
  if (is && oldBox) oldBox.before(is);
  else if (is) old.append(is);
  oldBox?.toggleAttribute("data-wrong", freshBox?.hasAttribute("data-wrong") ?? false);
  const [input, model] = [old, fresh].map((root) => root.querySelector("input, select"));
  for (const name of ["aria-invalid", "aria-describedby"]) {
    const value = model?.getAttribute(name);
    if (value) input?.setAttribute(name, value);
    else input?.removeAttribute(name);
  }
}

function takeOver(page, selector) {
  const fresh = page.querySelector(selector);
  const old = document.querySelector(selector);
  if (fresh && old) old.replaceChildren(...fresh.childNodes);
}

function fieldOf(page, name) {
  return page.querySelector(`[data-labels] [name="${name}"]`)?.closest(".field, fieldset.choice");
}

async function draw(changed) {
  asked?.abort();
  asked = new AbortController();
  try {
    const address = addressOf(location.pathname, new FormData(form), changed);
    const answer = await fetch(address, { signal: asked.signal, credentials: "same-origin" });
    if (answer.redirected || ![200, 422].includes(answer.status)) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (MOVES_THE_START.includes(changed) && form.elements.first_position) {
      form.elements.first_position.value = page.querySelector("[name=first_position]").value;
    }
    for (const name of new Set([...form.elements].map((one) => one.name).filter(Boolean))) {
      const [old, fresh] = [fieldOf(document, name), fieldOf(page, name)];
      if (old && fresh) markField(old, fresh);
    }
    for (const part of PARTS) takeOver(page, part);
    // What is drawn is looked at; its heading says it all to who listens.
    document.querySelector("[data-sheets-said]").textContent = document.querySelector("#sheet-head").textContent;
  } catch {
    // Asked again meanwhile, or offline: the button still works.
  }
}

if (form) {
  form.addEventListener("change", (event) => draw(event.target.name));
  document.querySelector("#sheets")?.addEventListener("click", (event) => {
    const place = event.target.closest("[data-first-sheet] [data-position]");
    if (!place || !form.elements.first_position) return;
    form.elements.first_position.value = place.dataset.position;
    draw("first_position");
  });
}
