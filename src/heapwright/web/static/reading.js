// The thermometer's number as it is written: what it is in the other degree, and whether it can be.
// What looks like a slip is asked about at once and settled here, before anything is sent; without
// this script the house asks the same afterwards (web/doubt.py). The words come with the page.

import { readNumber } from "./forms.js";

const toOther = { F: (f) => (f - 32) / 1.8, C: (c) => c * 1.8 + 32 };
const HOUR_MS = 3_600_000;
const PAUSE_MS = 600;

const signed = (number) => String(number).replace("-", "−");
const inDegree = (number, degree) => `${signed(number)} °${degree}`;
export const celsiusOf = (value, degree) => (degree === "C" ? value : toOther.F(value));
const shownIn = (celsius, degree) =>
  inDegree(Math.round(degree === "C" ? celsius : toOther.C(celsius)), degree);

// The last reading of the heap in the bin that is chosen, when it is young enough to compare with.
function lastRead(form, limits) {
  const bin = form.querySelector("[name=bin]:checked");
  if (!bin || !bin.dataset.lastC) return NaN;
  // By the house's clock when it made the page: a phone's own may be wrong, and a page that lay
  // open for a day is compared a little too readily, which costs a tap.
  const hours = (limits.made - Date.parse(bin.dataset.lastAt)) / HOUR_MS;
  return hours <= limits.withinH ? Number(bin.dataset.lastC) : NaN;
}

// What is to be asked about a number: the words' name, and the degrees it may be taken in.
function doubtOf(value, degree, last, limits) {
  const other = degree === "F" ? "C" : "F";
  const here = celsiusOf(value, degree);
  const there = celsiusOf(value, other);
  const canBe = (celsius) => celsius >= limits.leastC && celsius <= limits.mostC;
  if (!canBe(here)) {
    return canBe(there) ? { words: "beyond", meant: other } : { words: "never" };
  }
  if (here >= limits.scorchC) return { words: "scorch", stays: degree };
  const off = Math.abs(here - last);
  if (off > limits.suspectC && Math.abs(there - last) <= limits.nearC) {
    return { words: here < last ? "slipCool" : "slipHot", meant: other, stays: degree };
  }
  return off > limits.jumpC ? { words: "jump", stays: degree } : null;
}

function watch(input) {
  const form = input.form;
  const hint = form.querySelector("[data-reading-hint]");
  const ask = form.querySelector("[data-reading-ask]");
  const usual = hint.textContent;
  const limits = Object.fromEntries(
    Object.entries(input.dataset).map(([name, text]) => [name, Number(text)]),
  );
  limits.made = Date.parse(input.dataset.made);
  let pause = 0;
  let settled = ""; // the number and degree a person has confirmed

  const sure = () => form.querySelector("input[type=hidden][name=sure]");
  const forget = () => { sure()?.remove(); };

  function fill(words, value, degree, last) {
    const other = degree === "F" ? "C" : "F";
    const parts = {
      this: inDegree(value, degree),
      other: shownIn(celsiusOf(value, degree), other),
      if_other: inDegree(value, other),
      other_is: shownIn(celsiusOf(value, other), degree),
      last: Number.isNaN(last) ? "" : shownIn(last, degree),
    };
    return words.replace(/\{(\w+)\}/g, (_, name) => parts[name]);
  }

  function settle(degree) {
    const value = readNumber(input.value);
    settled = `${value} ${degree}`;
    const chip = form.querySelector(`[name=unit][value=${degree}]`);
    if (chip) chip.checked = true;
    forget();
    const field = Object.assign(document.createElement("input"), {
      type: "hidden", name: "sure", value: degree,
    });
    form.append(field);
    show();
  }

  function answer(degree, words, main) {
    const button = Object.assign(document.createElement("button"), {
      type: "button",
      className: `button ${main ? "button-main" : "button-plain"}`,
      textContent: words,
    });
    button.addEventListener("click", () => settle(degree));
    return button;
  }

  // A number is asked about when it is written to its end: after a pause, not at its first digit.
  function show(isWhole = true) {
    clearTimeout(pause);
    const degree = form.elements.unit.value || "F";
    const value = readNumber(input.value);
    ask.replaceChildren();
    ask.hidden = true;
    delete hint.dataset.odd;
    if (Number.isNaN(value)) {
      hint.textContent = usual;
      forget();
      return;
    }
    const last = lastRead(form, limits);
    if (settled === `${value} ${degree}` && sure()) {
      hint.textContent = fill(ask.dataset.settled, value, degree, last);
      return;
    }
    forget();
    const doubt = isWhole ? doubtOf(value, degree, last, limits) : null;
    if (!isWhole) pause = setTimeout(show, PAUSE_MS);
    if (!doubt) {
      hint.textContent = fill(ask.dataset.plain, value, degree, last);
      return;
    }
    hint.dataset.odd = "";
    hint.textContent = fill(ask.dataset[doubt.words], value, degree, last);
    const choices = [];
    if (doubt.stays) {
      const words = doubt.meant ? "{this}" : ask.dataset.yes;
      choices.push(answer(doubt.stays, fill(words, value, doubt.stays, last), !doubt.meant));
    }
    if (doubt.meant) {
      choices.push(answer(doubt.meant, inDegree(value, doubt.meant), true));
    }
    ask.replaceChildren(...choices);
    ask.hidden = choices.length === 0;
    input.dispatchEvent(new CustomEvent("asked"));
  }

  input.addEventListener("input", () => show(false));
  input.addEventListener("change", () => show());
  for (const chip of form.querySelectorAll("[name=unit], [name=bin]")) {
    chip.addEventListener("change", () => show());
  }
  show();
}

document.querySelectorAll("[data-temperature]").forEach(watch);
