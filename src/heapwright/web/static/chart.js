// Draws the forecast chart of a bin's page with uPlot, from the numbers in the page itself.
// Knows lines, marks and touches; holds no arithmetic of heaps. The table below the chart says
// the same to whoever cannot see it, and is all there is without scripts.

import { byButtons, byKeys } from "./chart_keys.js";
import { panAndPinch } from "./pan_pinch.js";
import { wordsIn } from "./phone_words.js";

const WEEK = 7 * 24 * 3600;
const ROOM_FOR_MARKS = 26;
const language = document.documentElement.lang || "en";
const say = wordsIn("chart-words");

const plot = document.querySelector("[data-chart]");
if (plot && window.uPlot) start(plot);

function start(place) {
  const data = JSON.parse(document.getElementById(place.dataset.chart).textContent);
  const readout = document.querySelector("[data-readout]");
  let chart = draw(place, data, readout);
  show(chart, data, "past");
  document.querySelector("[data-without-scripts]").remove();
  readout.textContent = readout.dataset.idle;
  byKeys(place, () => chart, data);
  byButtons(document.querySelector("[data-chart-moves]"), () => chart, data);

  new ResizeObserver(() => {
    chart.setSize({ width: place.clientWidth, height: heightOf(place) });
  }).observe(place);

  // The canvas does not know of colour schemes: draw it anew when the scheme or the paper changes.
  const redraw = () => {
    const { min, max } = chart.scales.x;
    chart.destroy();
    chart = draw(place, data, readout);
    chart.setScale("x", { min, max });
  };
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
  window.matchMedia("print").addEventListener("change", redraw);

  const ranges = document.querySelector("[data-ranges]");
  ranges.hidden = false;
  ranges.addEventListener("click", (event) => {
    const range = event.target.closest("[data-range]");
    if (range) show(chart, data, range.dataset.range);
  });
}

function show(chart, data, range) {
  const first = data.times[0];
  const last = data.times[data.times.length - 1];
  const spans = {
    all: [first, last],
    past: [Math.max(first, data.now - WEEK), Math.min(last, data.now + WEEK / 3)],
    ahead: [Math.max(first, data.now - WEEK / 7), last],
  };
  const [min, max] = spans[range];
  chart.setScale("x", { min, max });
  for (const button of document.querySelectorAll("[data-range]")) {
    button.setAttribute("aria-pressed", String(button.dataset.range === range));
  }
}

function heightOf(place) {
  return Math.round(Math.min(420, Math.max(300, place.clientWidth * 0.9)));
}

function draw(place, data, readout) {
  const look = lookOf(place);
  const band = { stroke: null, points: { show: false } };
  const options = {
    width: place.clientWidth,
    height: heightOf(place),
    tzDate: (seconds) => window.uPlot.tzDate(new Date(seconds * 1e3), data.zone),
    legend: { show: false },
    cursor: { y: false, drag: { x: false, y: false }, points: { show: false } },
    padding: [ROOM_FOR_MARKS, 8, 0, 0],
    scales: { y: { range: () => ends(data) } },
    axes: [axis(look, { space: 64, values: timeWords(data.zone) }), axis(look, { size: 50 })],
    series: [
      {},
      { ...band },
      { ...band },
      { stroke: look.ink, width: 2.5, points: { show: false } },
      { stroke: look.soft, width: 1.5, dash: [2, 5], points: { show: false } },
    ],
    bands: [{ series: [1, 2], fill: look.band }],
    plugins: [panAndPinch(data.times)],
    hooks: {
      drawClear: [(u) => drawRain(u, data, look)],
      draw: [
        (u) => drawHeatLine(u, data, look),
        (u) => drawNow(u, data, look),
        (u) => drawMarks(u, data, look),
        (u) => drawReadings(u, data, look),
      ],
      setCursor: [(u) => tell(u, data, readout)],
    },
  };
  return new window.uPlot(options, [data.times, data.high, data.low, data.likely, data.air], place);
}

// ---- looks ----

function lookOf(place) {
  const style = getComputedStyle(place);
  const token = (name) => style.getPropertyValue(name).trim();
  const ratio = window.devicePixelRatio || 1;
  return {
    ink: token("--ink"),
    soft: token("--soft"),
    line: token("--line"),
    band: token("--curve-band"),
    water: token("--water"),
    card: token("--card"),
    heat: Array.from({ length: 12 }, (_, step) => token(`--heat-${step}`)),
    font: `16px ${style.fontFamily}`,
    bold: `700 ${16 * ratio}px ${style.fontFamily}`,
    ratio,
  };
}

function axis(look, more) {
  return {
    stroke: look.soft,
    font: look.font,
    grid: { stroke: look.line, width: 1 },
    ticks: { stroke: look.line, width: 1 },
    ...more,
  };
}

function timeWords(zone) {
  const day = new Intl.DateTimeFormat(language, { day: "numeric", month: "short", timeZone: zone });
  const hour = new Intl.DateTimeFormat(language, {
    hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: zone,
  });
  return (u, ticks, _axis, _space, step) =>
    ticks.map((tick) => (step >= 86400 ? day : hour).format(tick * 1e3));
}

function ends(data) {
  const values = [...data.low, ...data.high, ...data.air, data.line.at];
  for (const reading of data.readings) values.push(reading.value);
  const low = Math.min(...values);
  const high = Math.max(...values);
  const margin = 0.06 * (high - low);
  return [low - margin, high + margin];
}

// ---- what uPlot has no series for ----

function inside(u, x) {
  return x >= u.bbox.left && x <= u.bbox.left + u.bbox.width;
}

function drawRain(u, data, look) {
  const most = Math.max(10, ...data.rain.map((day) => day.mm));
  const { ctx, bbox } = u;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.fillStyle = look.water;
  for (const day of data.rain) {
    const left = u.valToPos(day.from, "x", true);
    const width = u.valToPos(day.from + 86400, "x", true) - left;
    const tall = (day.mm / most) * bbox.height * 0.2;
    ctx.fillRect(left + width * 0.2, bbox.top + bbox.height - tall, width * 0.6, tall);
  }
  ctx.restore();
}

function drawHeatLine(u, data, look) {
  const { ctx, bbox } = u;
  const y = u.valToPos(data.line.at, "y", true);
  ctx.save();
  ctx.strokeStyle = look.ink;
  ctx.lineWidth = 1.5 * look.ratio;
  ctx.setLineDash([9 * look.ratio, 6 * look.ratio]);
  stroke(ctx, bbox.left, y, bbox.left + bbox.width, y);
  ctx.restore();
  plate(ctx, look, data.line.words, bbox.left + 4 * look.ratio, y - 11 * look.ratio, "left");
}

function drawNow(u, data, look) {
  const { ctx, bbox } = u;
  const x = u.valToPos(data.now, "x", true);
  if (!inside(u, x)) return;
  ctx.save();
  ctx.setLineDash([]);
  ctx.strokeStyle = look.ink;
  ctx.lineWidth = 2 * look.ratio;
  stroke(ctx, x, bbox.top, x, bbox.top + bbox.height);
  ctx.restore();
  plate(ctx, look, say("now"), x, bbox.top - 13 * look.ratio, "center");
}

function drawMarks(u, data, look) {
  const { ctx, bbox } = u;
  for (const mark of data.marks) {
    const x = u.valToPos(mark.time, "x", true);
    if (!inside(u, x)) continue;
    ctx.save();
    ctx.setLineDash([]);
    ctx.strokeStyle = look.soft;
    ctx.lineWidth = 1.5 * look.ratio;
    stroke(ctx, x, bbox.top, x, bbox.top + bbox.height);
    ctx.restore();
    plate(ctx, look, mark.letter, x, bbox.top - 13 * look.ratio, "center");
  }
}

function drawReadings(u, data, look) {
  const { ctx } = u;
  ctx.save();
  ctx.setLineDash([]);
  ctx.lineWidth = 2 * look.ratio;
  ctx.strokeStyle = look.ink;
  for (const reading of data.readings) {
    const x = u.valToPos(reading.time, "x", true);
    if (!inside(u, x)) continue;
    ctx.fillStyle = reading.core ? look.heat[reading.step] : look.card;
    ctx.beginPath();
    ctx.arc(x, u.valToPos(reading.value, "y", true), 5 * look.ratio, 0, 2 * Math.PI);
    ctx.fill();
    ctx.stroke();
  }
  ctx.restore();
}

function stroke(ctx, x1, y1, x2, y2) {
  ctx.beginPath();
  ctx.moveTo(x1, y1);
  ctx.lineTo(x2, y2);
  ctx.stroke();
}

function plate(ctx, look, words, x, y, align) {
  ctx.save();
  ctx.font = look.bold;
  ctx.textBaseline = "middle";
  ctx.textAlign = "left";
  const width = ctx.measureText(words).width + 6 * look.ratio;
  const left = align === "center" ? x - width / 2 : x;
  ctx.fillStyle = look.card;
  ctx.fillRect(left, y - 10 * look.ratio, width, 20 * look.ratio);
  ctx.fillStyle = look.ink;
  ctx.fillText(words, left + 3 * look.ratio, y);
  ctx.restore();
}

// ---- what lies under the finger, in words ----

function tell(u, data, readout) {
  const at = u.cursor.idx;
  if (at == null || u.cursor.left < 0) {
    readout.textContent = readout.dataset.idle;
    return;
  }
  const moment = new Intl.DateTimeFormat(language, {
    weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
    hourCycle: "h23", timeZone: data.zone,
  }).format(data.times[at] * 1e3);
  const round = (value) => String(Math.round(value)).replace("-", "−");
  const words = say("hour", {
    moment,
    likely: `${round(data.likely[at])} ${data.unit}`,
    low: round(data.low[at]),
    high: round(data.high[at]),
    air: `${round(data.air[at])} ${data.unit}`,
  });
  readout.textContent = words;
  const place = u.root.parentElement;
  place.setAttribute("aria-valuenow", String(at));
  place.setAttribute("aria-valuetext", words);
}
