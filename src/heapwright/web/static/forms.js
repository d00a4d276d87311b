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
  const limits = input.dataset;
  const show = () => {
    const degree = form.elements.unit.value || "F";
    const other = degree === "F" ? "C" : "F";
    const value = readNumber(input.value);
    const celsius = degree === "C" ? value : toOther.F(value);
    const otherCelsius = other === "C" ? value : toOther.F(value);
    const bin = form.querySelector("[name=bin]:checked");
    const last = bin && bin.dataset.lastC ? Number(bin.dataset.lastC) : NaN;
    const slip = Math.abs(celsius - last) > Number(limits.suspectC)
      && Math.abs(otherCelsius - last) <= Number(limits.nearC);
    delete hint.dataset.odd;
    if (Number.isNaN(value)) {
      hint.textContent = usual;
      return;
    }
    const turned = String(Math.round(toOther[degree](value))).replace("-", "−");
    hint.textContent = `${value} °${degree} is ${turned} °${other}.`;
    if (celsius > Number(limits.mostC) || slip) {
      hint.dataset.odd = "";
      hint.textContent += slip
        ? ` That is far from the last reading. Is it °${other}?`
        : ` No wet heap gets so hot. Is it °${other}?`;
    }
  };
  input.addEventListener("input", show);
  for (const chip of form.querySelectorAll("[name=unit], [name=bin]")) {
    chip.addEventListener("change", show);
  }
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
