// The page "This phone": what waits, what needs a person, what arrived, which pages are kept.

import * as keeping from "./phone_keep.js";
import { showArrived, showWaiting } from "./phone_list.js";
import { moment } from "./phone_words.js";
import * as queue from "./queue.js";
import { flush } from "./sending.js";

const find = (name) => document.querySelector(`[data-${name}]`);
const list = (name) => document.querySelector(`[data-list="${name}"]`);
const done = find("phone-done");

async function show() {
  const all = await queue.waiting();
  const waits = all.filter((item) => item.state === "waiting");
  const looks = all.filter((item) => item.state !== "waiting");
  const arrived = await queue.arrived();
  showWaiting(list("waiting"), waits, done);
  showWaiting(list("looks"), looks, done);
  showArrived(list("arrived"), arrived);
  shown("none", "waiting", waits.length === 0);
  shown("any", "waiting", waits.length > 0);
  shown("any", "looks", looks.length > 0);
  shown("none", "arrived", arrived.length === 0);
}

function shown(kind, name, isShown) {
  document.querySelector(`[data-${kind}="${name}"]`).hidden = !isShown;
}

async function showPages() {
  const said = document.querySelector("[data-pages-kept]");
  if (said.hidden) return;
  const pages = await keeping.keptPages();
  const names = pages.map(({ path, at }) => `${decodeURI(path)} (${moment(at)})`);
  said.textContent = names.length
    ? said.dataset.pagesKept.replace("{words}", names.join(", "))
    : said.dataset.pagesNone;
}

find("try").addEventListener("click", () => flush().catch(() => undefined));
find("forget").addEventListener("click", async () => {
  await keeping.forget();
  const said = find("forgotten");
  said.textContent = said.dataset.forgotten;
  await showPages();
});
window.addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  const button = find("install");
  button.hidden = false;
  button.addEventListener("click", () => event.prompt(), { once: true });
});

const calm = (work) => () => work().catch(() => undefined);
queue.onChange(calm(show));
calm(show)();
calm(showPages)();
