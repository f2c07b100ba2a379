// Keeps the ramp's page and its files on the phone: all of one version, or none of it.
// It lets everything else through, so that no page with a person in it is ever kept; where a page
// of a guide cannot be reached, the app stands in for it.

const CACHE = `earstone-${KEPT.version}`;
const OURS = /^earstone-[0-9a-f]+$/;
const LABEL = /^\/v\/[0-9]+\/?$/i;
const TOO_LONG_MS = 10_000;

self.addEventListener("install", (event) => {
  event.waitUntil(keepAll());
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOlder().then(() => self.clients.claim()));
});

// Only when the person says so: a page in use is never changed under the thumb.
self.addEventListener("message", (event) => {
  if (event.data === "switch") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (url.pathname === KEPT.shell || (LABEL.test(url.pathname) && !url.search)) event.respondWith(keptShell(request));
    else if (KEPT.standsIn.some((start) => url.pathname.startsWith(start))) event.respondWith(netElse(request, () => keptShell(request)));
    else if (KEPT.online.some((start) => url.pathname === start || (start !== "/" && url.pathname.startsWith(start)))) event.respondWith(netElse(request, () => Response.redirect(KEPT.shell)));
    return;
  }
  if (KEPT.files.includes(url.pathname)) event.respondWith(kept(request));
});

async function keepAll() {
  const addresses = [KEPT.shell, ...KEPT.files];
  const answers = await Promise.all(addresses.map(fetchWhole));
  const cache = await caches.open(CACHE);
  await Promise.all(answers.map((answer, place) => cache.put(addresses[place], answer)));
}

async function fetchWhole(address) {
  const answer = await fetch(address, { cache: address === KEPT.shell ? "no-cache" : KEPT.cache, credentials: "omit" });
  if (!answer.ok || answer.redirected) throw new Error(`${address}: ${answer.status}`);
  return answer;
}

async function dropOlder() {
  const names = await caches.keys();
  const older = names.filter((name) => OURS.test(name) && name !== CACHE);
  await Promise.all(older.map((name) => caches.delete(name)));
}

async function keptShell(request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(KEPT.shell)) || fetch(request);
}

// One bar is no way to wait for: a try has an end.
async function netElse(request, standIn) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error("late")), TOO_LONG_MS);
  });
  try {
    return await Promise.race([fetch(request), late]);
  } catch {
    return standIn();
  } finally {
    clearTimeout(timer);
  }
}

async function kept(request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(request, { ignoreSearch: true })) || fetch(request);
}
