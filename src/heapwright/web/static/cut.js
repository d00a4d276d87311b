// Draws the heap cut open at one moment from whole numbers: the paths and numbers of the picture.
// Knows lines and places on paper, and does the same as drawing.py and contours.py do for the
// present moment; a test holds the two together. Touches no page.

const PLATE = { height: 24, ends: 10, sign: 10 };
const CLEAR = { wall: 3, probe: 8, ends: 4 };
const STANDS_OUT = 34;
// Lines run this much below their level: cells are whole numbers, so none lies on a line.
const UNDER_LEVEL = 0.25;

// The cells of each moment from the packed row of changes; see course.py.
export function unpacked(packed, size) {
  const frames = [];
  let change = 0;
  for (let start = 0; start < packed.length; start += size) {
    const before = frames[frames.length - 1];
    frames.push(
      Array.from({ length: size }, (_, i) => {
        change += packed[start + i];
        return (before ? before[i] : 0) + change;
      }),
    );
  }
  return frames;
}

// What the picture shows of `cells` in a heap so many millimetres high.
export function drawn(cells, heightMm, tipMm, drawnBin, data, scale) {
  const heap = heapOn(data.paper, drawnBin, heightMm);
  const field = spread(cells, data.grid);
  const levels = [...scale.limits, ...scale.lines];
  const lines = new Map(levels.map((level) => [level, linesAt(field, level, heap)]));
  const around = outline(heap, field);
  const rings = (level) => ringsAt(field, level - UNDER_LEVEL, heap);
  const joined = (some) => some.flatMap((level) => lines.get(level).map(path)).join("");
  return {
    bands: bands(field, scale, rings, around),
    outline: around,
    lines: joined(scale.lines),
    limits: joined(scale.limits),
    dry: scale.dry === null ? "" : around + rings(scale.dry),
    wet: scale.wet === null ? "" : rings(scale.wet),
    lineNumbers: lineNumbers(lines, heap, scale),
    numbers: numbers(field, data.grid, heap, scale),
    top: heap.place(0, 1)[1],
    tip: heap.place(0, Math.max(0, 1 - tipMm / heightMm))[1],
    probeTop: tenth(heap.place(0, 1)[1] - STANDS_OUT),
  };
}

// ---- the paper ----

function heapOn(paper, drawnBin, heightMm) {
  const { half, crown, taper } = drawnBin;
  return {
    paper,
    bin: drawnBin,
    place(across, up) {
      const lifted = heightMm * up * (1 + crown * (1 - 2 * across * across) * up);
      const x = paper.middle + across * half * (1 - taper * (up - 0.5));
      return [tenth(x), tenth(paper.ground - lifted * paper.scale)];
    },
  };
}

function outline(heap, field) {
  const { across, up } = field;
  const left = up.map((share) => heap.place(-1, share));
  const right = up.map((share) => heap.place(1, share)).reverse();
  return closed([...left, ...across.slice(1, -1).map((share) => heap.place(share, 1)), ...right]);
}

function tenth(number) {
  return Math.round(number * 10) / 10;
}

function path(points) {
  return "M" + points.map(([x, y]) => `${x} ${y}`).join("L");
}

function closed(points) {
  return path(points) + "Z";
}

// ---- cells spread over the drawn grid ----

function spread(cells, grid) {
  const across = Array.from({ length: 2 * grid.across + 1 }, (_, i) => -1 + i / grid.across);
  const up = Array.from({ length: grid.up + 1 }, (_, j) => j / grid.up);
  const count = grid.levels.length;
  const byRing = grid.rings.map((_, i) => smooth(grid.levels, cells.slice(i * count, (i + 1) * count)));
  const levelAt = new Map();
  const at = (x, y) => {
    if (!levelAt.has(y)) levelAt.set(y, smooth(grid.rings, byRing.map((ring) => ring(y))));
    return levelAt.get(y)(Math.abs(x));
  };
  return { across, up, at, values: across.map((x) => up.map((y) => at(x, y))) };
}

// The smooth way between known places, nowhere above or below its neighbours; even beyond them.
function smooth(known, values) {
  const rises = known.slice(1).map((it, i) => (values[i + 1] - values[i]) / (it - known[i]));
  const slopes = known.map((_, i) => {
    const [before, after] = [rises[i - 1] ?? 0, rises[i] ?? 0];
    return before * after > 0 ? (2 * before * after) / (before + after) : 0;
  });
  return (place) => {
    let i = 0;
    while (i + 2 < known.length && known[i + 1] <= place) i += 1;
    const width = known[i + 1] - known[i];
    const share = Math.min(1, Math.max(0, (place - known[i]) / width));
    const rest = 1 - share;
    return (
      rest * rest * ((1 + 2 * share) * values[i] + share * width * slopes[i]) +
      share * share * ((1 + 2 * rest) * values[i + 1] - rest * width * slopes[i + 1])
    );
  };
}

function bands(field, scale, rings, around) {
  const all = field.values.flat();
  const low = Math.min(...all);
  const high = Math.max(...all);
  let paths = [around];
  for (const edge of scale.edges) {
    if (low >= edge - UNDER_LEVEL) paths = [...paths.map(() => ""), around];
    else paths.push(high >= edge - UNDER_LEVEL ? rings(edge) : "");
  }
  return paths;
}

// ---- lines of equal value (marching squares) ----

function linesAt(field, level, heap) {
  const found = isolines(field.values, field.across, field.up, level - UNDER_LEVEL);
  return found.map((line) => line.map((point) => heap.place(...point)));
}

function ringsAt(field, level, heap) {
  const { values, across, up } = field;
  const outside = Math.min(level, ...values.flat()) - 1;
  const rim = Array(up.length + 2).fill(outside);
  const wall = [rim, ...values.map((column) => [outside, ...column, outside]), rim];
  const edged = (places) => [places[0], ...places, places[places.length - 1]];
  const found = isolines(wall, edged(across), edged(up), level);
  return found
    .map((ring) => closed(ring.slice(0, -1).map((point) => heap.place(...point))))
    .join("");
}

export function isolines(values, across, up, level) {
  const links = linksOf(values, level);
  const lines = [];
  for (const [side, ways] of links) if (ways.length === 1) lines.push(walk(side, links));
  for (const [side, ways] of links) if (ways.length) lines.push(walk(side, links));
  return lines.map((line) => line.map((side) => crossing(values, across, up, level, side)));
}

// A side of a square is a number: its lower or left corner, doubled, odd when it leads upward.
function linksOf(values, level) {
  const tall = values[0].length;
  const links = new Map();
  const link = (one, other) => {
    if (!links.has(one)) links.set(one, []);
    links.get(one).push(other);
  };
  for (let i = 0; i + 1 < values.length; i += 1) {
    for (let j = 0; j + 1 < tall; j += 1) {
      const a = values[i][j] >= level;
      const b = values[i + 1][j] >= level;
      const c = values[i + 1][j + 1] >= level;
      const d = values[i][j + 1] >= level;
      if (a === b && b === c && c === d) continue;
      const corner = 2 * (i * tall + j);
      const crossed = [];
      if (a !== b) crossed.push(corner);
      if (b !== c) crossed.push(corner + 2 * tall + 1);
      if (c !== d) crossed.push(corner + 2);
      if (d !== a) crossed.push(corner + 1);
      for (let k = 0; k < crossed.length; k += 2) {
        link(crossed[k], crossed[k + 1]);
        link(crossed[k + 1], crossed[k]);
      }
    }
  }
  return links;
}

function walk(start, links) {
  const line = [start];
  let here = start;
  while (links.get(here).length) {
    const following = links.get(here).shift();
    const back = links.get(following);
    back.splice(back.indexOf(here), 1);
    line.push(following);
    here = following;
  }
  return line;
}

function crossing(values, across, up, level, side) {
  const corner = side >> 1;
  const i = Math.floor(corner / up.length);
  const j = corner % up.length;
  const [m, n] = side % 2 ? [i, j + 1] : [i + 1, j];
  const share = (level - values[i][j]) / (values[m][n] - values[i][j]);
  return [across[i] + share * (across[m] - across[i]), up[j] + share * (up[n] - up[j])];
}

// ---- numbers ----

function numbers(field, grid, heap, scale) {
  return grid.printUp.flatMap((up) =>
    grid.printAcross.map((across) =>
      label(heap.place(across, up), shown(field.at(across, up), scale)),
    ),
  );
}

function lineNumbers(lines, heap, scale) {
  const top = heap.place(0.5, 1)[1];
  const foot = heap.paper.ground;
  const middle = 0.5 * (top + foot);
  const free = [
    heap.paper.middle - heap.bin.half * (1 - 0.5 * heap.bin.taper) + CLEAR.wall,
    top + CLEAR.ends,
    heap.paper.middle - CLEAR.probe,
    foot - CLEAR.ends,
  ];
  const taken = [];
  const labels = [];
  for (const [level, found] of lines) {
    const near = found.flat().sort((p, q) => Math.abs(p[1] - middle) - Math.abs(q[1] - middle));
    for (const point of near) {
      const tried = label(point, shown(level, scale));
      const box = boxOf(tried);
      if (!inside(box, free) || taken.some((other) => overlap(box, other))) continue;
      taken.push(box);
      labels.push(tried);
      break;
    }
  }
  return labels;
}

function shown(value, scale) {
  return String(Math.round(scale.times * value + scale.plus)).replace("-", "−");
}

function label([x, y], text) {
  return { x, y, text, width: PLATE.ends + PLATE.sign * text.length };
}

function boxOf({ x, y, width }) {
  return [x - width / 2, y - PLATE.height / 2, x + width / 2, y + PLATE.height / 2];
}

function inside(box, other) {
  return box[0] >= other[0] && box[2] <= other[2] && box[1] >= other[1] && box[3] <= other[3];
}

function overlap(box, other) {
  return box[0] < other[2] && other[0] < box[2] && box[1] < other[3] && other[1] < box[3];
}
