// Lets the forecast chart be read and moved without a finger: arrow keys and buttons.
// Knows keys and steps; what an hour says is told by chart.js.

import { move, zoom } from "./pan_pinch.js";

const HOURS = { ArrowLeft: -3, ArrowRight: 3, PageUp: -24, PageDown: 24 };
const NEARER = 0.6;

// The chart as a slider through time: a screen reader says the hour under it.
export function byKeys(place, getChart, data) {
  place.setAttribute("role", "slider");
  place.setAttribute("tabindex", "0");
  place.setAttribute("aria-valuemin", "0");
  place.setAttribute("aria-valuemax", String(data.times.length - 1));
  let at = nearest(data.times, data.now);
  place.setAttribute("aria-valuenow", String(at));
  place.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const last = data.times.length - 1;
    const ends = { Home: 0, End: last };
    if (event.key in HOURS) at = Math.max(0, Math.min(last, at + HOURS[event.key]));
    else if (event.key in ends) at = ends[event.key];
    else if (event.key === "+" || event.key === "=") zoom(getChart(), data.times, NEARER);
    else if (event.key === "-") zoom(getChart(), data.times, 1 / NEARER);
    else return;
    event.preventDefault();
    show(getChart(), data, at);
  });
}

export function byButtons(buttons, getChart, data) {
  buttons.hidden = false;
  const does = {
    back: () => move(getChart(), data.times, -0.5),
    on: () => move(getChart(), data.times, 0.5),
    nearer: () => zoom(getChart(), data.times, NEARER),
    farther: () => zoom(getChart(), data.times, 1 / NEARER),
  };
  buttons.addEventListener("click", (event) => {
    does[event.target.closest("[data-chart-move]")?.dataset.chartMove]?.();
  });
}

function show(u, data, at) {
  const { min, max } = u.scales.x;
  const time = data.times[at];
  if (time < min || time > max) {
    const span = max - min;
    const start = Math.min(Math.max(time - span / 2, data.times[0]), data.times.at(-1) - span);
    u.setScale("x", { min: start, max: start + span });
  }
  // The scale is set in the next moment; the hour is shown where it lies then.
  requestAnimationFrame(() => u.setCursor({ left: u.valToPos(time, "x"), top: 8 }));
}

function nearest(times, time) {
  return Math.max(0, times.findIndex((one) => one >= time));
}
