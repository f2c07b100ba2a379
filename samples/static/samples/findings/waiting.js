// A page that waits for a computation asks how far it is, and opens the answer when it is there.

const EVERY_MS = 1000;
const SLOWEST_MS = 15000;

/** What the status line says; `told` is the server's answer. */
export function wordsFor(told) {
  if (told.nobody_works) return "No worker is running. Ask your administrator to start it.";
  if (told.ahead) return `Waiting for ${told.ahead} other ${told.ahead === 1 ? "calculation" : "calculations"}.`;
  return told.step ? `${told.step}.` : "Starting.";
}

/** How long to wait before asking again: longer each time that the office could not be reached. */
export function delayAfter(failures) {
  return Math.min(EVERY_MS * 2 ** failures, SLOWEST_MS);
}

/** Ask until it is closed; `ask` resolves to the server's answer, `show` shows it. */
export async function wait({ ask, show, sleep }) {
  for (let failures = 0; ; ) {
    await sleep(delayAfter(failures));
    try {
      const told = await ask();
      failures = 0;
      if (!told.open) return;
      show(told);
    } catch {
      failures += 1;
    }
  }
}

async function start(part) {
  const bar = part.querySelector("progress");
  const line = part.querySelector("[data-line]");
  await wait({
    ask: async () => {
      const answer = await fetch(part.dataset.status, { headers: { Accept: "application/json" } });
      if (!answer.ok) throw new Error(answer.statusText);
      return answer.json();
    },
    show: (told) => {
      bar.value = told.progress;
      const words = wordsFor(told);
      if (line.textContent !== words) line.textContent = words;
    },
    sleep: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
  });
  if ("file" in part.dataset) {
    const status = part.querySelector("[role=status]");
    status.textContent = "The file is ready and downloads now.";
    part.replaceChildren(status);
  }
  // In place of this page, so that Back does not lead to one that waits.
  location.replace(addressOf(location));
}

// Without what follows #: going there again would only move on the page and load nothing.
export function addressOf({ pathname, search }) {
  return pathname + search;
}

if (typeof document !== "undefined") {
  const part = document.querySelector("[data-status]");
  if (part) start(part);
}
