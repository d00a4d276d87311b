// A small uPlot plugin: drag to go back and forth in time, pinch or roll to draw nearer.
// Up and down stays with the page, so that a thumb on the chart can still scroll.

const SHORTEST = 12 * 3600;

export function panAndPinch(times) {
  return { hooks: { ready: [(u) => listen(u, times)] } };
}

function listen(u, times) {
  const over = u.over;
  const fingers = new Map();
  let before = null;

  const seconds = (x) => u.posToVal(x - over.getBoundingClientRect().left, "x");

  const hold = () => {
    const at = [...fingers.values()];
    before = { at: at.map(seconds), min: u.scales.x.min, max: u.scales.x.max };
  };

  over.addEventListener("pointerdown", (event) => {
    over.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, event.clientX);
    hold();
  });

  over.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, event.clientX);
    const { min, max } = follow(over, [...fingers.values()], before);
    set(u, times, min, max);
  });

  for (const end of ["pointerup", "pointercancel"]) {
    over.addEventListener(end, (event) => {
      fingers.delete(event.pointerId);
      if (fingers.size) hold();
    });
  }

  over.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const at = seconds(event.clientX);
    const factor = event.deltaY > 0 ? 1.2 : 1 / 1.2;
    const { min, max } = u.scales.x;
    set(u, times, at - (at - min) * factor, at + (max - at) * factor);
  }, { passive: false });
}

// The moment under each finger stays under it.
function follow(over, xs, before) {
  const box = over.getBoundingClientRect();
  const shares = xs.map((x) => (x - box.left) / box.width);
  const span = before.max - before.min;
  if (xs.length < 2 || Math.abs(shares[1] - shares[0]) < 0.02) {
    const min = before.at[0] - shares[0] * span;
    return { min, max: min + span };
  }
  const nearer = Math.abs((before.at[1] - before.at[0]) / (shares[1] - shares[0]));
  const min = before.at[0] - shares[0] * nearer;
  return { min, max: min + nearer };
}

// By a share of what is seen; later when it is more than nothing.
export function move(u, times, share) {
  const { min, max } = u.scales.x;
  set(u, times, min + share * (max - min), max + share * (max - min));
}

// By a factor of what is seen, about its middle; nearer when it is less than one.
export function zoom(u, times, factor) {
  const { min, max } = u.scales.x;
  const middle = (min + max) / 2;
  set(u, times, middle - factor * (middle - min), middle + factor * (max - middle));
}

function set(u, times, min, max) {
  const first = times[0];
  const last = times[times.length - 1];
  const span = Math.min(last - first, Math.max(SHORTEST, max - min));
  const start = Math.min(last - span, Math.max(first, min));
  u.setScale("x", { min: start, max: start + span });
}
