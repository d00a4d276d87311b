// Goes through the pictures of a heap with the slider and its buttons, on a bin's page.
// Knows which moment is shown and what is said of it; the words and numbers come from the table
// behind the picture, which is all there is without scripts, and the drawing from cut.js.

import { drawn, unpacked } from "./cut.js";

const SVG = "http://www.w3.org/2000/svg";

const figure = document.querySelector("[data-course]");
if (figure) start(figure);

function start(place) {
  const data = JSON.parse(document.getElementById(place.dataset.course).textContent);
  const size = data.grid.rings.length * data.grid.levels.length;
  for (const scale of Object.values(data.scales)) scale.frames = unpacked(scale.cells, size);
  const find = (name) => place.querySelector(`[data-${name}]`);
  const page = {
    place,
    data,
    find,
    slider: find("slider"),
    rows: readRows(place),
    at: data.now,
    quantity: "heat",
  };
  find("quantities").hidden = false;
  find("controls").hidden = false;
  page.slider.addEventListener("input", () => show(page, Number(page.slider.value)));
  find("steps").addEventListener("click", (event) => {
    const button = event.target.closest("[data-step]");
    if (button) step(page, button.dataset.step);
  });
  find("quantities").addEventListener("click", (event) => {
    const button = event.target.closest("[data-quantity]");
    if (button) choose(page, button.dataset.quantity);
  });
  // A browser may bring the slider back to where it stood before the page was left.
  show(page, Number(page.slider.value));
}

// What the tables say of each moment: { when, date, phase, done, heat: {core, ...}, water: {...} }.
function readRows(place) {
  const cells = (row) =>
    Object.fromEntries(
      [...row.querySelectorAll("[data-is]")].map((it) => [it.dataset.is, it.textContent.trim()]),
    );
  const water = [...place.querySelectorAll("[data-rows='water'] tr")].map(cells);
  return [...place.querySelectorAll("[data-rows='heat'] tr")].map((row, i) => {
    const { when, done, ...heat } = cells(row);
    const { date, phase } = row.dataset;
    return { when, done, date, phase, heat, water: { ...heat, ...water[i] } };
  });
}

function step(page, way) {
  const last = page.rows.length - 1;
  const to = { back: page.at - 1, now: page.data.now, on: page.at + 1 }[way];
  show(page, Math.max(0, Math.min(last, to)));
  page.slider.value = page.at;
  // The slider says its own value as it is moved; the buttons need somebody to say it for them.
  page.find("said").textContent = page.slider.getAttribute("aria-valuetext");
}

function choose(page, quantity) {
  page.quantity = quantity;
  for (const button of page.place.querySelectorAll("[data-quantity]")) {
    button.setAttribute("aria-pressed", String(button.dataset.quantity === quantity));
  }
  for (const part of page.place.querySelectorAll("[data-only]")) {
    part.toggleAttribute("hidden", part.dataset.only !== quantity);
  }
  show(page, page.at);
}

function show(page, at) {
  page.at = at;
  draw(page);
  tell(page);
}

// ---- the picture ----

function draw(page) {
  const { data, at, quantity, find } = page;
  const scale = data.scales[quantity];
  const drawnBin = data.paper.bins[data.bins[at]];
  const picture = drawn(scale.frames[at], data.heights[at], data.tip, drawnBin, data, scale);
  const paths = find(`bands="${quantity}"`).children;
  picture.bands.forEach((d, i) => paths[i].setAttribute("d", d));
  for (const name of ["outline", "lines", "limits", "dry", "wet"]) {
    for (const it of page.place.querySelectorAll(`[data-path="${name}"]`)) {
      it.setAttribute("d", picture[name]);
    }
  }
  write(find("plates='lines'"), picture.lineNumbers);
  write(find("plates='cells'"), picture.numbers);
  find("picture").classList.toggle("cut-ahead", page.rows[at].phase === "ahead");
  find("probe").setAttribute("transform", `translate(0 ${picture.probeTop})`);
  for (const stem of page.place.querySelectorAll("[data-stem]")) {
    stem.setAttribute("d", `M${data.paper.middle} 0V${picture.tip - picture.probeTop}`);
  }
  find("probe-tip").setAttribute("cy", picture.tip - picture.probeTop);
  measure(page, picture);
  for (const one of page.place.querySelectorAll("[data-bin]")) {
    one.toggleAttribute("hidden", Number(one.dataset.bin) !== data.bins[at]);
  }
}

function write(group, labels) {
  const plates = labels.map(({ x, y, text, width }) => {
    const plate = document.createElementNS(SVG, "g");
    const ground = document.createElementNS(SVG, "rect");
    const words = document.createElementNS(SVG, "text");
    const look = { x: x - width / 2, y: y - 12, width, height: 24, rx: 2 };
    for (const [name, value] of Object.entries(look)) ground.setAttribute(name, value);
    words.setAttribute("x", x);
    words.setAttribute("y", y + 6);
    words.textContent = text;
    plate.append(ground, words);
    return plate;
  });
  group.replaceChildren(...plates);
}

function measure(page, { top }) {
  const { find, data, rows, at } = page;
  const line = find("height");
  const { x } = line.dataset;
  const { ground } = data.paper;
  line.setAttribute("d", `M${x} ${top}V${ground}M${x - 5} ${top}h10M${x - 5} ${ground}h10`);
  find("height-words").setAttribute("y", (top + ground) / 2 + 6);
  find("height-words").textContent = rows[at].heat.height;
  find("tip-words").textContent = filled(page.place.dataset.tip, rows[at].heat);
}

// ---- the words ----

function tell(page) {
  const { place, find, rows, at, quantity } = page;
  const row = rows[at];
  const values = { when: row.when, ...row[quantity] };
  const told = quantity === "heat" ? place.dataset.toldHeat : place.dataset.toldWater;
  const seen = quantity === "heat" ? place.dataset.seenHeat : place.dataset.seenWater;
  page.slider.setAttribute("aria-valuetext", filled(told, values));
  find("seen").textContent = filled(seen, values);
  find("when").textContent = row.when;
  find("date").textContent = row.date;
  find("done").textContent = row.done;
  for (const it of place.querySelectorAll("[data-value]")) {
    const { value } = it.dataset;
    const unit = value === "height" ? "" : place.dataset[`unit${quantity}`];
    it.textContent = row[quantity][value] + unit;
  }
}

function filled(template, values) {
  return template.replace(/\{([\w-]+)\}/g, (_, name) => values[name]);
}
