// A number pad of the page's own for the temperature: keys for a dirty thumb, in reach of one hand.
// While it is shown the phone's keyboard stays down; one key brings that back for good on this page.
// Typing goes on working all the while. Without this script the plain field is there.

const LONGEST = 6; // "−40.5" and one more: what no thermometer shows is not typed by thumb
const ROOM_PX = 8;

function padFor(pad) {
  const form = pad.closest("form");
  const input = form.querySelector("[data-temperature]");
  const hint = form.querySelector("[data-reading-hint]");
  const ask = form.querySelector("[data-reading-ask]");
  const tenths = pad.querySelectorAll("[data-tenths]");
  let own = true; // the page's pad rather than the phone's keyboard
  let typed = false; // the caret is where the person put it

  const write = (text) => {
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };

  // Where the next digit goes: at the caret while the field has the focus, else at the end.
  function place() {
    const end = input.value.length;
    if (document.activeElement !== input || !typed) return [end, end];
    return [input.selectionStart ?? end, input.selectionEnd ?? end];
  }

  function put(sign) {
    const [from, to] = place();
    const text = input.value.slice(0, from) + sign + input.value.slice(to);
    if (text.length > LONGEST || (sign === "." && input.value.includes("."))) return;
    write(text);
    input.setSelectionRange(from + 1, from + 1);
  }

  function takeBack() {
    const [from, to] = place();
    const start = from === to ? Math.max(0, from - 1) : from;
    write(input.value.slice(0, start) + input.value.slice(to));
    input.setSelectionRange(start, start);
  }

  // What is written, and what is asked about it, is never under the pad.
  function reveal() {
    if (pad.hidden) return;
    const bar = pad.parentElement.getBoundingClientRect().top;
    const under = [hint, ask].map((part) => part.getBoundingClientRect()).filter((box) => box.height > 0);
    const low = Math.max(...under.map((box) => box.bottom)) + ROOM_PX - bar;
    const most = input.getBoundingClientRect().top - ROOM_PX;
    if (low > 0 && most > 0) window.scrollBy({ top: Math.min(low, most), behavior: "instant" });
  }

  const open = () => {
    if (!own) return;
    pad.hidden = false;
    form.dataset.pad = "open";
    input.inputMode = "none";
    reveal();
  };
  const close = () => {
    pad.hidden = true;
    delete form.dataset.pad;
  };

  const deeds = {
    back: takeBack,
    minus: () => write(input.value.startsWith("-") ? input.value.slice(1) : `-${input.value}`),
    away: close,
    keyboard: () => {
      own = false;
      close();
      input.inputMode = "decimal";
      input.blur(); // a keyboard comes up only when the field is entered anew
      input.focus();
    },
  };

  // A thermometer in °C is often read to tenths, and only there is frost below zero.
  const fit = () => {
    const exact = (form.elements.unit.value || "F") === "C" || input.value.includes(".");
    for (const key of tenths) key.disabled = !exact;
  };

  pad.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key) return;
    if (key.dataset.key) put(key.dataset.key);
    else deeds[key.dataset.deed]();
    fit();
  });
  input.addEventListener("focus", () => { typed = false; open(); });
  input.addEventListener("pointerup", () => { typed = true; open(); });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
    else typed = true;
  });
  for (const chip of form.querySelectorAll("[name=unit]")) chip.addEventListener("change", fit);
  // Whoever goes on to something else wants to see it.
  const isElsewhere = (it) => form.contains(it) && it !== input && !pad.contains(it)
    && !["unit", "bin"].includes(it.name) && it.type !== "submit" && !it.closest("[data-reading-ask]");
  form.addEventListener("focusin", (event) => {
    if (isElsewhere(event.target)) close();
  });
  for (const bin of form.querySelectorAll("[name=bin]")) {
    bin.addEventListener("change", () => { if (!input.value) open(); });
  }

  // Away from the number the pad would only be in the way; back at it, it is there again.
  let passing = false;
  new IntersectionObserver(([seen]) => {
    if (!seen.isIntersecting && !pad.hidden) {
      passing = true;
      close();
    } else if (seen.isIntersecting && passing && !isElsewhere(document.activeElement)) {
      passing = false;
      open();
    }
  }).observe(input);

  input.addEventListener("input", reveal);
  input.addEventListener("asked", reveal);
  fit();
  // Come to read: the bin is known and nothing is filled in yet.
  if ("padReady" in pad.dataset) open();
}

document.querySelectorAll("[data-pad]").forEach(padFor);
