// The service worker: opens the last known pages without network. /worker.js puts `HOUSE` before
// this text: version and addresses of the static files, which pages are kept, the page for what is
// not, and how long the house is waited for.
//
// Kept are Today, Log, This phone and every bin page seen; never an answer to anything but GET,
// never the programs' interface, exports or a sign-in page. A message {kind: "forget"}, or a form
// sent to one of HOUSE.forgets (signing out), drops every kept page.

const FILES = `heapwright-files-${HOUSE.version}`;
const PAGES = "heapwright-pages";
const KEPT = new RegExp(HOUSE.kept);
const STATIC = /^\/static\/[^/]+\/(.+)$/;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((store) => store.addAll([HOUSE.away, ...HOUSE.files])).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOldFiles().then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => {
  if (event.data?.kind === "forget") event.waitUntil(caches.delete(PAGES));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.method !== "GET") {
    if (HOUSE.forgets.includes(url.pathname)) event.waitUntil(caches.delete(PAGES));
    return;
  }
  if (STATIC.test(url.pathname)) event.respondWith(file(request, url));
  else if (request.mode === "navigate") event.respondWith(page(event, url));
  else if (KEPT.test(url.pathname) && request.headers.get("Accept") === "text/html") event.respondWith(fromHouse(request, url));
});

async function dropOldFiles() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith("heapwright-files-") && name !== FILES);
  await Promise.all(old.map((name) => caches.delete(name)));
}

// A file under its own version is for ever the same; a kept page of an older version is dressed
// in today's file of the same name.
async function file(request, url) {
  const store = await caches.open(FILES);
  const kept = await store.match(request);
  if (kept) return kept;
  try {
    const response = await fetch(request);
    if (response.ok && HOUSE.files.includes(url.pathname)) await store.put(request, response.clone());
    return response;
  } catch {
    const name = STATIC.exec(url.pathname)[1];
    return (await store.match(`/static/${HOUSE.version}/${name}`)) ?? Response.error();
  }
}

async function fromHouse(request, url) {
  const response = await fetch(request);
  if (mayKeep(response, url)) {
    const store = await caches.open(PAGES);
    await store.put(url.pathname, await stamped(response.clone()));
  }
  return response;
}

function mayKeep(response, url) {
  const isPage = response.headers.get("Content-Type")?.startsWith("text/html");
  // A page that was sent on (to sign in) is not the one asked for, and has no status 200 of its own.
  return KEPT.test(url.pathname) && response.status === 200 && response.type === "basic" && !response.redirected && isPage;
}

async function stamped(response) {
  const headers = new Headers(response.headers);
  headers.set("Heapwright-Kept", new Date().toISOString());
  return new Response(await response.blob(), { headers });
}

async function page(event, url) {
  const answer = fromHouse(event.request, url);
  event.waitUntil(answer.catch(() => undefined));
  const kept = KEPT.test(url.pathname) ? await (await caches.open(PAGES)).match(url.pathname) : undefined;
  if (!kept) return answer.catch(() => inItsPlace(url));
  const first = await Promise.race([answer.catch(() => undefined), patience()]);
  if (first && !isGatewayTrouble(first)) return first;
  event.waitUntil(answer.then(() => tellFresher(event.resultingClientId), () => undefined));
  return marked(kept, "");
}

function patience() {
  return new Promise((resolve) => setTimeout(resolve, HOUSE.patienceMs));
}

// Something between the phone and the house answers in its place.
function isGatewayTrouble(response) {
  return response.status === 502 || response.status === 504;
}

async function inItsPlace(url) {
  const phone = await (await caches.open(PAGES)).match("/phone");
  if (phone) return marked(phone, url.pathname);
  return (await caches.match(HOUSE.away)) ?? Response.error();
}

// A kept page says of itself that it is one, since when, and in place of which other page.
async function marked(kept, missing) {
  const since = kept.headers.get("Heapwright-Kept");
  const instead = missing ? ` data-missing="${encodeURI(missing)}"` : "";
  const html = (await kept.text()).replace("<html", `<html data-kept="${since}"${instead}`);
  return new Response(html, { headers: kept.headers });
}

async function tellFresher(clientId) {
  const client = clientId ? await self.clients.get(clientId) : undefined;
  client?.postMessage({ kind: "fresher" });
}
