// Keeps pages on this phone so that they open without network, in the way its address allows.
//
// Over https and on the house itself (a "secure context") a service worker keeps them: worker.js.
// Over plain http there is none: there a cookie tells the house that this script is at work, and
// the house lets pages be kept by the browser's own cache (web/phone_cache.py). Such a page is
// asked for anew as soon as it is open, and loaded again when the house knows more.
//
// Whoever signs a person out calls `forget()`, or gives the form that does it `data-forgets`:
// every kept page is dropped then. What waits to be sent is not: it is nobody's to throw away.

import { heard } from "./sending.js";

export const isSecure = window.isSecureContext;
const COOKIE = "heapwright-keeps";
const ALWAYS = ["/", "/log", "/phone"];
const KEPT = /^\/(log|phone|bins\/[^/]+)?$/;
const PAGES = "heapwright-pages";
const WARMED = "heapwright-warmed";
const WARM_AGAIN_MS = 10 * 60 * 1000;

const navigation = performance.getEntriesByType("navigation")[0];
const isVisit = navigation?.type === "navigate";

// When the page shown was made, if it was kept and not just asked for; else null. (ms)
export function keptSince() {
  const byWorker = document.documentElement.dataset.kept;
  if (byWorker) return Date.parse(byWorker);
  const fromCache = !isSecure && isVisit && navigation.transferSize === 0;
  return fromCache ? Date.parse(document.querySelector("[data-told-at]").dataset.toldAt) : null;
}

// Which page was wanted when another stands in for it; "" when this is the one.
export function missing() {
  return document.documentElement.dataset.missing ?? "";
}

export async function start() {
  for (const form of document.querySelectorAll("form[data-forgets]")) form.addEventListener("submit", forget);
  if (isSecure) {
    await startWorker();
  } else {
    document.cookie = `${COOKIE}=1; path=/; max-age=31536000; SameSite=Lax`;
    if (keptSince() !== null) await askAnew();
    if (document.cookie.includes(COOKIE)) await warm();
  }
}

async function startWorker() {
  const registered = await navigator.serviceWorker?.register("/worker.js").catch(() => undefined);
  if (!registered) return;
  await navigator.serviceWorker.ready;
  if (await controlled()) await warm();
}

// Whether the worker has taken this page over: only then it keeps what the page asks for.
function controlled() {
  if (navigator.serviceWorker.controller) return true;
  return new Promise((resolve) => {
    navigator.serviceWorker.addEventListener("controllerchange", () => resolve(true), { once: true });
    setTimeout(() => resolve(Boolean(navigator.serviceWorker.controller)), 10_000);
  });
}

// Asks once in a while for the pages that must be there without network.
async function warm() {
  const last = Number(sessionStorage.getItem(WARMED) ?? 0);
  if (Date.now() - last < WARM_AGAIN_MS && isKept(location.pathname)) return;
  if (!isSecure) await warmFiles();
  const done = await refresh(isKept(location.pathname) ? [...ALWAYS, location.pathname] : ALWAYS);
  if (done) sessionStorage.setItem(WARMED, String(Date.now()));
}

// Over plain http each file lands in the browser's cache by being asked for once; a page that is
// opened without network before it was ever looked at needs them all. The worker has their list.
async function warmFiles() {
  const text = await (await fetch("/worker.js")).text();
  const house = JSON.parse(text.slice(text.indexOf("{"), text.indexOf(";\n")));
  for (const file of house.files) await (await fetch(file)).arrayBuffer();
}

function isKept(path) {
  return KEPT.test(path);
}

// Fetches pages anew, so that what is kept of them is what the house knows now.
export async function refresh(paths) {
  try {
    for (const path of new Set(paths)) {
      const answer = await fetch(path, { cache: isSecure ? "default" : "reload", headers: { Accept: "text/html" } });
      await answer.text(); // read to its end: half an answer is not kept
    }
    return true;
  } catch {
    return false; // without network what is kept stays
  }
}

// After something was stored: the pages that show it.
export function refreshAfterStoring() {
  sessionStorage.removeItem(WARMED);
  return refresh(ALWAYS);
}

// A page from the browser's cache may be hours old: ask, and load it again if it says more now.
async function askAnew() {
  try {
    const answer = await fetch(location.href, { cache: "reload", headers: { Accept: "text/html" } });
    heard({ reached: true });
    const now = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("main");
    // A form somebody may be filling in is left alone; its bins and lots are the same for hours.
    const isForm = document.querySelector("main form[method=post]") !== null;
    if (!isForm && now && now.textContent !== document.querySelector("main").textContent) location.reload();
  } catch {
    heard({ reached: false });
  }
}

// Which pages are kept, newest first: [{path, at}]. Only the worker's store can be listed.
export async function keptPages() {
  if (!("caches" in window)) return [];
  const store = await caches.open(PAGES);
  const found = await Promise.all((await store.keys()).map(async (request) => {
    const page = await store.match(request);
    return { path: new URL(request.url).pathname, at: Date.parse(page.headers.get("Heapwright-Kept")) };
  }));
  return found.sort((one, other) => other.at - one.at);
}

// Drops every kept page: at sign-out, or when the phone is given away.
export async function forget() {
  sessionStorage.removeItem(WARMED);
  document.cookie = `${COOKIE}=; path=/; max-age=0; SameSite=Lax`;
  if ("caches" in window) await caches.delete(PAGES);
}
