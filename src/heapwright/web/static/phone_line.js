// The status line in the frame of every page: what waits on this phone, when the last arrived,
// whether the house is reached, and whether the page shown is a kept one. Starts the sending.

import * as keeping from "./phone_keep.js";
import { moment, say } from "./phone_words.js";
import * as queue from "./queue.js";
import * as sending from "./sending.js";

const mark = document.querySelector("[data-phone-mark]");
const short = mark.querySelector("[data-phone-short]");
const line = document.querySelector("[data-phone-said]");
// The entry being mended on this very page is not counted as one that wants to be looked at.
const here = () => document.querySelector("form[data-queue] [name=entry_id]")?.value;
let storeFails = false;

async function show() {
  let waiting = [];
  let last;
  try {
    waiting = await queue.waiting();
    [last] = await queue.arrived();
  } catch {
    storeFails = true;
  }
  const toLook = waiting.filter((item) => item.state !== "waiting" && item.id !== here());
  const toSend = waiting.filter((item) => item.state === "waiting");
  write(short, shortly(toLook.length, toSend.length, last));
  mark.classList.toggle("phone-mark-loud", toLook.length + toSend.length > 0);
  write(line, atLength(toLook, toSend).join(" "));
  if (isOld() && sending.house.reached === true) offerFresher();
}

function shortly(looks, sends, last) {
  if (looks) return say("look", { count: looks });
  if (sends) return say("wait", { count: sends });
  if (sending.house.reached === false) return say("away");
  return last ? say("arrived", { moment: moment(last.at) }) : say("nothing");
}

function atLength(toLook, toSend) {
  const { house } = sending;
  const said = [];
  const since = keeping.keptSince();
  if (isOld() && house.reached === true) return said.concat(toSay(toLook));
  if (keeping.missing()) said.push(say("missing-page"));
  else if (since !== null && house.reached !== true) said.push(say("kept-page", { moment: moment(since) }));
  if (toSend.length && house.signIn) said.push(say("wait-sign-in"));
  else if (toSend.length && house.reached === false) said.push(say("wait-away"));
  else if (toSend.length && house.trouble) said.push(say("wait-trouble"));
  return said.concat(toSay(toLook));
}

function toSay(toLook) {
  const said = toLook.length ? [say("look-refused")] : [];
  if (storeFails && document.querySelector("form[data-queue]")) said.push(say("no-store"));
  return said;
}

// Whether the page shown is not what was asked for just now.
function isOld() {
  return keeping.isSecure && (keeping.keptSince() !== null || keeping.missing() !== "");
}

// A screen reader speaks whenever the line is written: only when it says something new.
function write(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

function offerFresher() {
  const link = document.createElement("a");
  link.href = keeping.missing() || location.href;
  link.textContent = say("show-fresher");
  line.append(` ${say("fresher")} `, link);
}

queue.onChange(show);
sending.onHouse(show);
navigator.serviceWorker?.addEventListener("message", (event) => {
  if (event.data?.kind !== "fresher") return;
  sending.heard({ reached: true });
});

if (keeping.keptSince() === null && !keeping.missing()) sending.heard({ reached: true });
else if (keeping.isSecure) sending.heard({ reached: false });
sending.start();
show();
// The page itself comes first; a phone in the sun has little to spare.
window.addEventListener("load", () => setTimeout(() => keeping.start().catch(() => undefined), 300));
