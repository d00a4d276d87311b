// Sends what waits on this phone to the house, oldest first, and lets go only of what the house
// says it has. Sending twice is safe: the house keeps each id once.
// Knows the house's answers (web/phone_post.py); knows nothing of pages.

import * as queue from "./queue.js";

export const settings = {
  answerWithinMs: 10_000, // an answer that takes longer counts as none
  leaseMs: 12_000, // longer than that, so that a lease outlives one sending
  againAfterMs: 5_000, // doubled with every failure
  againAtMostMs: 300_000,
};

// What is known of the house: reached is null until something was asked of it.
export const house = { reached: null, signIn: false, trouble: "" };

// The sign-in's token in every form (web/form_token.py): never kept, always sent as it is now.
export const TOKEN_FIELD = "form_token";
const HAS_IT = new Set(["stored", "there"]);
const WANTS_A_LOOK = new Set(["refused", "question"]);
const me = queue.newId();
const watchers = new Set();
let running = null;
let timer = null;
let failures = 0;
let token = document.querySelector(`input[name=${TOKEN_FIELD}]`)?.value ?? "";

export function onHouse(watcher) {
  watchers.add(watcher);
}

export function heard(changes) {
  Object.assign(house, changes);
  for (const watcher of watchers) watcher();
}

// Sends everything that waits. `asking` is the id of a form whose writer still stands there and can
// be asked. Gives the answer to that form, or undefined when none came.
export async function flush(asking = "") {
  while (running) await running; // what was kept meanwhile may have missed that round
  running = underLock(() => sendAll(asking)).catch(() => undefined).finally(() => { running = null; });
  const answer = await running;
  await planNext();
  return answer;
}

async function underLock(work) {
  if (navigator.locks) {
    const signal = AbortSignal.timeout(settings.leaseMs);
    return navigator.locks.request("heapwright-send", { signal }, work);
  }
  const until = Date.now() + settings.leaseMs;
  while (!(await queue.takeLease(me, settings.leaseMs))) {
    if (Date.now() > until) return undefined;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  try {
    return await work();
  } finally {
    await queue.endLease(me);
  }
}

async function sendAll(asking) {
  const sent = new Set();
  let renewed = false;
  let answer;
  for (;;) {
    const open = (await queue.waiting()).filter((item) => item.state === "waiting" && !sent.has(item.revision));
    const item = open.find((one) => one.id === asking) ?? open[0];
    if (!item) return answer;
    sent.add(item.revision);
    // Renewed before each sending; whoever lost it meanwhile lets the other tab go on.
    if (!navigator.locks && !(await queue.takeLease(me, settings.leaseMs))) return answer;
    const said = await sendOne(item, item.id === asking);
    if (said.outcome === "sign-in" && !renewed) {
      renewed = true;
      if (await renewToken()) {
        sent.delete(item.revision);
        continue;
      }
    }
    if (item.id === asking) answer = said;
    if (said.stop) return answer;
  }
}

async function sendOne(item, asking) {
  await queue.alter(item.id, { tries: item.tries + 1 }, item.revision);
  let response;
  let said;
  try {
    response = await fetch(item.path, {
      method: "POST",
      body: bodyOf(item.fields),
      headers: headersFor(item, asking),
      redirect: "manual",
      cache: "no-store",
      signal: AbortSignal.timeout(settings.answerWithinMs),
    });
    said = response.headers.get("content-type")?.includes("json") ? await response.json() : {};
  } catch {
    failures += 1;
    heard({ reached: false });
    return { outcome: "unreached", stop: true };
  }
  return settle(item, response, said);
}

async function settle(item, response, said) {
  if (HAS_IT.has(said.outcome)) {
    await queue.letGo(item, said);
    failures = 0;
    heard({ reached: true, signIn: false, trouble: "" });
    return said;
  }
  if (WANTS_A_LOOK.has(said.outcome) || response.status === 413) {
    await queue.alter(item.id, { state: said.outcome ?? "refused", words: said.words ?? said.detail ?? "" }, item.revision);
    heard({ reached: true });
    return said;
  }
  // A sign-in page instead of an answer, or a plain no: the form waits until somebody signs in.
  const away = response.type === "opaqueredirect" || response.status === 401 || response.status === 403;
  const words = said.words ?? said.detail ?? "";
  await queue.alter(item.id, { words }, item.revision);
  failures += 1;
  heard({ reached: true, signIn: away, trouble: away ? "" : words || String(response.status) });
  return { outcome: said.outcome ?? (away ? "sign-in" : "trouble"), words, stop: away || response.status === 429 };
}

function bodyOf(fields) {
  const hasFile = fields.some(([, value]) => value instanceof Blob);
  const body = hasFile ? new FormData() : new URLSearchParams();
  for (const [name, value] of fields) body.append(name, value);
  return body;
}

function headersFor(item, asking) {
  const headers = {
    Accept: "application/json",
    "Heapwright-Waited": String(Math.max(0, Date.now() - item.written) / 1000),
  };
  if (asking) headers["Heapwright-Asking"] = "yes";
  if (item.garden) headers["Heapwright-Garden"] = item.garden;
  if (token) headers["Heapwright-Token"] = token;
  return headers;
}

// Asks for the token of the sign-in as it is now; the one on a page may be hours old. Gives whether
// there is another one than was tried.
async function renewToken() {
  const before = token;
  try {
    const answer = await fetch("/session.json", { headers: { Accept: "application/json" }, redirect: "manual", cache: "no-store" });
    token = answer.ok ? (await answer.json()).token : "";
  } catch {
    return false;
  }
  return token !== "" && token !== before;
}

// ---- when to try again ----

async function planNext() {
  clearTimeout(timer);
  const open = (await queue.waiting()).some((item) => item.state === "waiting");
  if (!open && house.reached !== false) return;
  const wait = Math.min(settings.againAtMostMs, settings.againAfterMs * 2 ** Math.min(failures, 10));
  // A little apart, so that several phones of a garden do not all knock at once.
  timer = setTimeout(tryNow, wait * (0.8 + 0.4 * Math.random()));
}

// Asks whether the house is there when nothing waits that would tell.
async function knock() {
  try {
    const response = await fetch("/phone/reach", { cache: "no-store", signal: AbortSignal.timeout(settings.answerWithinMs) });
    heard({ reached: response.ok || response.status < 500 });
  } catch {
    failures += 1;
    heard({ reached: false });
  }
}

export async function tryNow() {
  const open = (await queue.waiting()).some((item) => item.state === "waiting");
  if (open) return flush();
  if (house.reached === false) await knock();
  await planNext();
  return undefined;
}

function soon() {
  failures = 0;
  tryNow().catch(() => undefined);
}

// Tries at once, and again whenever the network may have come back.
export function start() {
  window.addEventListener("online", soon);
  // The house may be this very machine, which needs no network: so it is asked.
  window.addEventListener("offline", () => knock());
  window.addEventListener("pageshow", soon);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(); });
}
