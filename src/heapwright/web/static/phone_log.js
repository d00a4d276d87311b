// Puts a Log form into the phone's store before it is sent. Without this script, or where the
// browser keeps nothing, the form goes to the house as any form does.

import { readNumber } from "./forms.js";
import { showWaiting } from "./phone_list.js";
import { refreshAfterStoring } from "./phone_keep.js";
import { wordsIn } from "./phone_words.js";
import * as queue from "./queue.js";
import { celsiusOf } from "./reading.js";
import { TOKEN_FIELD, flush } from "./sending.js";

const HAS_IT = ["stored", "there"];
const NOT_KEPT = new Set([TOKEN_FIELD]);
const HELD = "photo_held"; // names a photo that the house holds while a form is mended
const panel = document.querySelector("[data-kept-panel]");
const part = (name) => panel?.querySelector(`[data-kept-${name}]`);
// A slow answer does not hold up the next bin: it is waited for this long.
const WAIT_MS = 3000;
const SLOW = { outcome: "slow" };
const say = wordsIn("kept-words");

// ---- into the store, then to the house ----

async function onSubmit(event) {
  const form = event.target;
  // "Change it" and the like only ask for another page; a second tap is held up by forms.js.
  if (event.defaultPrevented || form.dataset.direct || event.submitter?.name === "back_to_form") return;
  event.preventDefault();
  let item;
  try {
    const before = await queue.find(form.elements.entry_id.value);
    item = await queue.keep(itemOf(form, event.submitter, before));
  } catch {
    sendDirectly(form, event.submitter); // nothing can be kept here: the form goes as it is
    return;
  }
  if (panel) tell("sending");
  const sending = flush(item.id).catch(() => undefined);
  const said = await Promise.race([sending, later(WAIT_MS)]);
  if (HAS_IT.includes(said?.outcome)) {
    refreshAfterStoring();
    location.assign(said.page);
  } else if (said?.outcome === "refused" || said?.outcome === "question") {
    sendDirectly(form, event.submitter); // the house's own page shows it beside the field
  } else {
    await stays(form, item, said?.outcome);
    if (said === SLOW) sending.then((late) => { if (panel) tell(wordsFor(late?.outcome)); });
  }
}

function wordsFor(outcome) {
  if (HAS_IT.includes(outcome)) return "arrived";
  return ["slow", "sign-in", "trouble", "elsewhere", "refused", "question"].includes(outcome) ? outcome : "away";
}

function later(ms) {
  return new Promise((resolve) => setTimeout(() => resolve(SLOW), ms));
}

// The form as an item; `before` is what the store has of it already, as when it is mended: the
// moment it was first written stays, and so does a file that the new form only names.
function itemOf(form, submitter, before) {
  const given = [...new FormData(form, submitter)].filter(([name, value]) => !NOT_KEPT.has(name) && !isNoFile(value));
  const files = (before?.fields ?? []).filter(([name, value]) => value instanceof File && !given.some(([other]) => other === name));
  const fields = files.length && given.some(([name]) => name === HELD) ? [...given.filter(([name]) => name !== HELD), ...files] : given;
  return {
    id: form.elements.entry_id.value,
    fields,
    path: new URL(form.action).pathname,
    garden: form.dataset.garden,
    about: form.querySelector(".chip") ? aboutOf(form) : before?.about ?? aboutOf(form),
    written: before?.written,
  };
}

function isNoFile(value) {
  return value instanceof File && value.size === 0 && value.name === "";
}

function sendDirectly(form, submitter) {
  // Not within the event of the first submit: a form that is being submitted takes no second one.
  setTimeout(() => {
    form.dataset.direct = "yes";
    delete form.dataset.sent;
    form.requestSubmit(submitter);
  });
}

// The entry waits: the form is made ready for the next one, with an id of its own.
async function stays(form, item, outcome) {
  delete form.dataset.sent;
  if (!panel) {
    location.assign("/phone");
    return;
  }
  tell(wordsFor(outcome));
  ask(form, item);
  form.reset();
  standAt(form);
  form.elements.entry_id.value = queue.newId();
  for (const input of form.querySelectorAll("[data-temperature]")) input.dispatchEvent(new Event("input"));
  await showAll();
  panel.focus();
}

function tell(key) {
  panel.hidden = false;
  part("now").textContent = say(key);
}

// What the house would have asked on the spot is asked here; unanswered, it is kept as written.
function ask(form, item) {
  const field = form.elements.temperature;
  const degree = form.elements.sure?.value || form.elements.unit.value;
  const number = field.value;
  const isOpen = "odd" in form.querySelector("[data-reading-hint]").dataset;
  part("question").hidden = !isOpen;
  part("asks").textContent = say("asks", { number, degree });
  for (const button of part("question").querySelectorAll("[data-sure]")) {
    button.onclick = async () => {
      const fields = [...item.fields.filter(([name]) => name !== "sure"), ["sure", button.dataset.sure]];
      await queue.alter(item.id, { fields, revision: queue.newId(), state: "waiting" });
      part("question").hidden = true;
      panel.focus();
    };
  }
  part("fire").hidden = !(celsiusOf(readNumber(number), degree) >= Number(field.dataset.scorchC));
}

async function showAll() {
  showWaiting(part("list"), await queue.waiting(), part("now"));
}

// ---- what an entry says, in one line ----

function aboutOf(form) {
  const bin = form.querySelector("[name=bin]:checked ~ .chip-face .chip-words")?.firstChild.textContent;
  const said = [...form.elements].map(wordsOf).filter(Boolean);
  return [bin, said.join(", ")].filter(Boolean).join(": ");
}

function wordsOf(input) {
  const { name, type, value } = input;
  if (["bin", "unit", "depth", "where", "sure"].includes(name) || !value) return "";
  if (name === "temperature") return `${value} °${input.form.elements.unit?.value ?? ""}`;
  if (type === "radio" || type === "checkbox") {
    return input.checked ? input.closest("label")?.querySelector(".chip-words")?.firstChild.textContent.trim() : "";
  }
  if (name === "note") return `“${value.slice(0, 60)}”`;
  const isCount = ["water", "taken_amount"].includes(name) || name.startsWith("added.");
  return isCount ? `${input.labels?.[0]?.textContent.trim()} ${value}` : "";
}

// ---- mending what waits ----

async function mend(form, id) {
  const item = await queue.find(id);
  if (!item) return;
  fill(form, item.fields);
  form.elements.entry_id.value = item.id;
  if (!item.words) return;
  panel.hidden = false;
  part("now").textContent = item.words;
}

function fill(form, fields) {
  for (const input of form.querySelectorAll("[type=radio], [type=checkbox]")) input.checked = false;
  for (const [name, value] of fields) {
    for (const input of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) put(input, value);
  }
  for (const fold of form.querySelectorAll("details")) fold.open ||= fold.querySelector(":checked:not([value='']), input[type=text]:not([value=''])") !== null;
  for (const input of form.querySelectorAll("[data-temperature]")) input.dispatchEvent(new Event("input"));
}

function put(input, value) {
  if (input.type === "radio" || input.type === "checkbox") {
    input.checked ||= input.value === value;
  } else if (input.type === "file") {
    const files = new DataTransfer();
    if (value instanceof File) files.items.add(value);
    input.files = files.files;
  } else if (typeof value === "string") {
    input.value = value;
  }
}

// The page may be a kept one, opened for another bin than it was kept for.
function standAt(form) {
  const asked = new URLSearchParams(location.search).get("bin");
  const bin = asked && form.querySelector(`[type=radio][name=bin][value="${CSS.escape(asked)}"]`);
  if (!bin || bin.checked) return;
  bin.click();
  if (bin.closest("details")) bin.closest("details").open = true;
}

for (const form of document.querySelectorAll("form[data-queue]")) {
  form.addEventListener("submit", onSubmit);
  standAt(form);
  const asked = new URLSearchParams(location.search);
  if (asked.get("mend")) mend(form, asked.get("mend")).catch(() => undefined);
}
if (panel) {
  queue.onChange(() => { if (!panel.hidden) showAll().catch(() => undefined); });
}
