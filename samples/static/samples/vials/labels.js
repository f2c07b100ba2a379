// Draws the sheets anew while the form changes. Without it "See the sheets" does the same.

const form = document.querySelector("[data-labels]");
const WORDS = ["season", "count", "stock", "first_position"];
let asked;

function address() {
  const typed = new FormData(form);
  const words = new URLSearchParams(WORDS.map((name) => [name, typed.get(name) ?? ""]));
  return `${location.pathname}?${words}`;
}

function takeOver(page, selector) {
  const fresh = page.querySelector(selector);
  const old = document.querySelector(selector);
  if (fresh && old) old.replaceChildren(...fresh.childNodes);
}

async function draw() {
  asked?.abort();
  asked = new AbortController();
  try {
    const answer = await fetch(address(), { signal: asked.signal, credentials: "same-origin" });
    if (answer.redirected || ![200, 422].includes(answer.status)) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const part of ["#sheets", "[data-stock-hint]", "[data-make]"]) takeOver(page, part);
    // What is drawn is looked at; its heading says it all to who listens.
    document.querySelector("[data-sheets-said]").textContent = document.querySelector("#sheet-head").textContent;
  } catch {
    // Asked anew meanwhile, or no signal: the button still works.
  }
}

form?.addEventListener("change", draw);
document.querySelector("#sheets")?.addEventListener("click", (event) => {
  const place = event.target.closest("[data-first-sheet] [data-position]");
  if (!place || !form) return;
  form.elements.first_position.value = place.dataset.position;
  draw();
});
