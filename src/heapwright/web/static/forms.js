// Makes the forms quicker at the bin. Every form works without this script.

import { newId } from "./queue.js";

// The entry's id is made on the phone, so that it is the same however often the form is sent.
for (const field of document.querySelectorAll("input[name=entry_id][data-fresh]")) {
  field.value = newId();
}

// A second tap while the first is on its way sends nothing; the server would store it once anyway.
for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  });
  window.addEventListener("pageshow", () => delete form.dataset.sent);
}

// ---- + and - beside a whole number ----

export function readNumber(text) {
  const plain = text.trim().replace("−", "-").replace(",", ".");
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : NaN;
}

function addSteps(field) {
  const input = field.querySelector("input");
  const name = field.querySelector("label").textContent.trim();
  const most = Number(input.dataset.most || Infinity);
  const step = (by, sign, words) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "step";
    button.textContent = sign;
    button.setAttribute("aria-label", `${words}: ${name}`);
    button.addEventListener("click", () => {
      const value = readNumber(input.value || "0");
      const next = Math.min(most, Math.max(0, (Number.isNaN(value) ? 0 : value) + by));
      input.value = String(next);
      input.dispatchEvent(new Event("input", { bubbles: true }));
    });
    return button;
  };
  input.before(step(-1, "−", "One less"));
  input.after(step(1, "+", "One more"));
}

document.querySelectorAll("[data-stepper]").forEach(addSteps);

// ---- paper ----

for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
