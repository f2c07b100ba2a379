// Scan after scan without a page between: each is sent in turn, and its answer is shown in place.
// Whatever comes in while one is on its way waits; the field is free at once for the next.

const form = document.querySelector("[data-scan]");
const field = form?.querySelector("input[name=number]");
const undo = document.querySelector("[data-undo]");
const fixes = document.querySelector("[data-fixes]");
const waiting = [];
let busy = false;

function takeOver(page) {
  for (const part of page.querySelectorAll("[data-live]")) {
    const here = document.querySelector(`[data-live="${part.dataset.live}"]`);
    here?.replaceChildren(...part.childNodes);
  }
  const button = page.querySelector("[data-undo] button");
  if (!undo || !button) return;
  undo.querySelector("button").disabled = button.disabled;
  undo.querySelector("button").value = button.value;
}

function vialsOf(refused) {
  return (refused.dataset.vials ?? "").split(" ").filter(Boolean);
}

function dropRows(fits) {
  for (const row of fixes.querySelectorAll("li")) if (fits(row)) row.remove();
}

// The number that an answer says was booked, without the blanks that it is printed with.
function bookedIn(page) {
  const number = page.querySelector('[data-answer="success"] .number-large, [data-answer="warning"] .number-large');
  return number ? number.textContent.replaceAll(" ", "") : "";
}

// What was refused stays in sight until it is dealt with, however fast the next scans come: when
// the next answer takes its place, it goes to the list.
function keepRefusal(booked) {
  const refused = document.querySelector('[data-answer="refused"], [data-answer="asked"]');
  if (!refused || refused.dataset.dealt) return;
  const vials = vialsOf(refused);
  if (booked && vials.includes(booked)) return;
  const sentence = refused.querySelector("p").textContent.trim();
  // One row a vial: what was said of it last.
  dropRows((row) => row.dataset.vials === vials.join(" ") && (vials.length || row.firstChild.textContent === sentence));
  const row = document.createElement("li");
  const words = document.createElement("p");
  words.textContent = sentence;
  row.dataset.vials = vials.join(" ");
  row.append(words);
  const remedy = refused.querySelector("form");
  if (remedy) row.append(remedy.cloneNode(true));
  const done = document.createElement("button");
  done.className = "button button-quiet";
  done.type = "button";
  done.textContent = "Dismiss";
  done.addEventListener("click", () => {
    row.remove();
    field.focus();
  });
  row.append(done);
  fixes.append(row);
}

// What is out of the ordinary holds for one vial alone: the next scan may be there before the
// answer. If it was refused, the choice is given back.
function clearRare() {
  for (const one of document.querySelectorAll("[data-stays]:checked")) {
    if (!one.value || one.dataset.stays.split(" ").includes(one.value)) continue;
    document.querySelector(`[data-stays][name="${one.name}"][value=""]`).checked = true;
  }
}

function giveBack(body) {
  for (const one of document.querySelectorAll("[data-stays]")) {
    if (one.value && body.get(one.name) === one.value) one.checked = true;
  }
}

// What the answers move on the page, as the next free slot, is read when it is a scan's turn.
function withMoved(body) {
  for (const one of document.querySelectorAll("[data-live] [form=scan]")) body.set(one.name, one.value);
  return body;
}

async function send(body) {
  const address = location.pathname + location.search;
  const answer = await fetch(address, { method: "POST", body, headers: { "X-Scan": "1" } });
  const text = await answer.text();
  // Signed out, or the page is gone: the server's own page says so.
  if (!answer.ok && answer.status !== 422) {
    document.open();
    document.write(text);
    document.close();
    return;
  }
  const page = new DOMParser().parseFromString(text, "text/html");
  if (!page.querySelector("[data-scan]")) {
    location.assign(answer.url);
    return;
  }
  const booked = bookedIn(page);
  keepRefusal(booked);
  if (booked) dropRows((row) => vialsOf(row).includes(booked));
  if (page.querySelector('[data-answer="refused"]') && waiting.length === 1) giveBack(body);
  takeOver(page);
  if (answer.redirected) history.replaceState(null, "", answer.url);
}

async function work() {
  if (busy) return;
  busy = true;
  document.documentElement.dataset.scanning = "busy";
  while (waiting.length) {
    try {
      await send(waiting[0].make());
      waiting.shift();
    } catch {
      showUnsent();
      break;
    }
  }
  busy = false;
  delete document.documentElement.dataset.scanning;
}

function showUnsent() {
  const answer = document.querySelector("[data-live=answer]");
  const box = document.createElement("div");
  box.className = "scan-answer scan-refused";
  box.dataset.answer = "unsent";
  const words = document.createElement("p");
  const numbers = waiting.map((one) => one.typed).filter(Boolean).join(", ");
  words.textContent = `The server can't be reached. Not saved: ${numbers}. Check the connection, then press Try again.`;
  const again = document.createElement("button");
  again.className = "button";
  again.type = "button";
  again.textContent = "Try again";
  again.addEventListener("click", work);
  box.append(words, again);
  answer.replaceChildren(box);
}

function queue(make, typed) {
  waiting.push({ make, typed });
  work();
}

if (form) {
  field.focus();
  field.select();
  // From here on no scan opens a page; until then each is sent as a form.
  form.dataset.ready = "yes";
  form.addEventListener("submit", (event) => {
    const typed = field.value.trim();
    event.preventDefault();
    field.value = "";
    field.focus();
    if (!typed) return;
    const body = new FormData(form);
    body.set("number", typed);
    clearRare();
    queue(() => withMoved(body), typed);
  });
  undo?.addEventListener("submit", (event) => {
    event.preventDefault();
    // It names the last scan, which may still be on its way; sent again it undoes no other.
    queue(() => {
      const body = new FormData(undo);
      body.set("undo", undo.querySelector("button").value);
      return body;
    }, "");
    field.focus();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "z" || !(event.ctrlKey || event.metaKey) || field.value) return;
    if (!undo || undo.querySelector("button").disabled) return;
    event.preventDefault();
    undo.requestSubmit();
  });
  // A remedy is sent the same way, and its row of the list goes.
  document.addEventListener("submit", (event) => {
    const remedy = event.target.closest?.("[data-answer] form, [data-fixes] form");
    if (!remedy) return;
    event.preventDefault();
    const body = new FormData(remedy, event.submitter);
    const row = remedy.closest("li");
    if (row) row.remove();
    else remedy.closest("[data-answer]").dataset.dealt = "yes";
    queue(() => body, String(body.get("number") ?? ""));
    field.focus();
  });
}
