// Makes the forms quicker at the bin. Every form works without this script.

const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

// The entry's id is made on the phone, so that it is the same however often the form is sent.
for (const field of document.querySelectorAll("input[name=entry_id][data-fresh]")) {
  field.value = hex(crypto.getRandomValues(new Uint8Array(16)));
}

// A second tap while the first is on its way sends nothing; the server would store it once anyway.
for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  });
  window.addEventListener("pageshow", () => delete form.dataset.sent);
}

// ---- the thermometer: what the number is in the other degree, and whether it can be ----

const toOther = { F: (f) => (f - 32) / 1.8, C: (c) => c * 1.8 + 32 };

function readNumber(text) {
  const plain = text.trim().replace("−", "-").replace(",", ".");
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : NaN;
}

function watchReading(input) {
  const form = input.form;
  const hint = form.querySelector("[data-reading-hint]");
  const usual = hint.textContent;
  const show = () => {
    const degree = form.elements.unit.value || "F";
    const other = degree === "F" ? "C" : "F";
    const value = readNumber(input.value);
    delete hint.dataset.odd;
    if (Number.isNaN(value)) {
      hint.textContent = usual;
      return;
    }
    const turned = Math.round(toOther[degree](value));
    const celsius = degree === "C" ? value : toOther.F(value);
    const text = `${value} °${degree} is ${String(turned).replace("-", "−")} °${other}.`;
    if (celsius > 95) {
      hint.dataset.odd = "";
      hint.textContent = `${text} No wet heap gets so hot. Is it °${other}?`;
    } else {
      hint.textContent = text;
    }
  };
  input.addEventListener("input", show);
  for (const unit of form.querySelectorAll("[name=unit]")) unit.addEventListener("change", show);
  show();
}

document.querySelectorAll("[data-temperature]").forEach(watchReading);

// ---- + and - beside a whole number ----

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
