// Strip charts on paper that is turned leaf by leaf: what pointers showed over the last minutes, and the truth.

import { clock, draw } from "./words.js";

export const LEFT = 62; // room for figures and for the words at the ends of the lines [px]
export const RIGHT = 78;
const TALL = 54;
const GAP = 26;
const EVERY_S = 0.4; // samples are no nearer [s]
const KEPT = 12_000;
const LEAST = { kt: 40, mph: 40, "km/h": 80, ft: 400, "ft/min": 1000, "m/s": 5 };
const TITLES = { airspeed: "Airspeed", altitude: "Altitude", "vertical-speed": "Vertical speed" };

function niceStep(span, wanted) {
  const rough = span / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * [1, 2, 2.5, 5, 10].find((factor) => rough <= factor * power * (1 + 1e-9));
}

function around(low, high, least) {
  const middle = (low + high) / 2;
  const half = Math.max((high - low) * 0.54, least / 2);
  const step = niceStep(2 * half, 3);
  const floor = Math.floor((middle - half) / step) * step;
  return { low: low >= 0 ? Math.max(floor, 0) : floor, high: Math.ceil((middle + half) / step) * step, step };
}

const spoken = (value, step) => value.toLocaleString("en-US", { maximumFractionDigits: step < 1 ? 1 : 0 }).replace("-", "−");

// One chart for each quantity that is shown; encoders, which nobody looks at, have none.
function chartsOf(stage) {
  const found = new Map();
  for (const [name, { unit, one, shows }] of Object.entries(stage.figures)) {
    if (!shows) continue;
    if (!found.has(shows)) found.set(shows, { shows, unit, one, pointers: [] });
    found.get(shows).pointers.push(name);
  }
  return [...found.values()];
}

const shortName = (name) => {
  const rest = name.replace(/\..*$/, "").replace(/^(airspeed|altimeter|vertical-speed|variometer|air-data)-?/, "");
  return rest.replaceAll("-", " ") || (name.startsWith("air-data") ? "computer" : "dial");
};

export function charts(holder) {
  const svg = draw("svg", { class: "picture strip", role: "img", "aria-labelledby": "charts-name" });
  const name = draw("title", { id: "charts-name" });
  name.textContent = "Pointers against truth over the last minutes";
  svg.append(name);
  holder.append(svg);
  let stage = null;
  let rows = [];
  let times = [];
  let values = {};
  let wide = 600;
  let tall = 0;

  function build() {
    rows = chartsOf(stage).map((chart, i) => {
      const top = GAP + i * (TALL + GAP);
      const title = draw("text", { x: LEFT, y: top - 8, class: "name" });
      title.textContent = TITLES[chart.shows];
      const unit = draw("tspan", { class: "small", dx: 6 });
      unit.textContent = chart.unit;
      title.append(unit);
      const grid = draw("g");
      const truth = draw("path", { class: "truth" });
      const lines = chart.pointers.map((_, k) => draw("path", { class: `pointer p${k}` }));
      const ends = [...chart.pointers, "true"].map((pointer) => {
        const words = draw("text", { class: pointer === "true" ? "truth-words" : "pointer-words" });
        words.textContent = pointer === "true" ? "true" : chart.pointers.length > 1 ? shortName(pointer) : "shows";
        return words;
      });
      return { ...chart, top, title, grid, truth, lines, ends, extent: null };
    });
    tall = GAP + rows.length * (TALL + GAP) - GAP + 4;
    const parts = rows.flatMap((row) => [row.grid, row.title, row.truth, ...row.lines, ...row.ends]);
    svg.replaceChildren(name, draw("g", { class: "onsets" }), ...parts, draw("line", { class: "cursor on" }));
    size();
  }

  function size() {
    wide = Math.max(holder.clientWidth, 280);
    svg.setAttribute("viewBox", `0 0 ${wide} ${tall}`);
    svg.setAttribute("width", wide);
    svg.setAttribute("height", tall);
  }

  const across = (leaf, t) => LEFT + ((t - leaf.start) / leaf.span) * (wide - LEFT - RIGHT);

  function extent(row, first) {
    let low = Infinity;
    let high = -Infinity;
    for (const pointer of [...row.pointers, `true:${row.pointers[0]}`]) {
      for (let i = first; i < times.length; i += 1) {
        const value = values[pointer][i] / row.one;
        if (value < low) low = value;
        if (value > high) high = value;
      }
    }
    const kept = row.extent;
    if (high < low) return kept ?? { low: 0, high: 1, step: 1 };
    const wanted = around(low, high, LEAST[row.unit] ?? 1);
    const fits = kept && low >= kept.low && high <= kept.high && kept.high - kept.low <= 2.2 * (wanted.high - wanted.low);
    return fits ? kept : wanted;
  }

  function lineOf(pointer, row, leaf, first, level) {
    let d = "";
    let pen = "M";
    let before = -9;
    for (let i = first; i < times.length; i += 1) {
      const x = across(leaf, times[i]);
      const value = values[pointer][i];
      if (Number.isNaN(value)) pen = "M";
      else if (x - before >= 0.8 || i === times.length - 1 || pen === "M") {
        d += `${pen}${x.toFixed(1)} ${level(value / row.one).toFixed(1)}`;
        pen = "L";
        before = x;
      }
    }
    return d;
  }

  function drawRow(row, leaf, first) {
    const scale = extent(row, first);
    const floor = row.top + TALL;
    const level = (value) => floor - ((value - scale.low) / (scale.high - scale.low)) * TALL;
    if (scale !== row.extent || row.wide !== wide) {
      row.extent = scale;
      row.wide = wide;
      row.grid.replaceChildren();
      for (let value = scale.low; value <= scale.high + scale.step / 9; value += scale.step) {
        const y = level(value).toFixed(1);
        const words = draw("text", { x: LEFT - 7, y: +y + 4, class: "small", "text-anchor": "end" });
        words.textContent = spoken(value, scale.step);
        row.grid.append(draw("line", { x1: LEFT, x2: wide - RIGHT, y1: y, y2: y, class: value === 0 && scale.low < 0 ? "zero" : "grid" }), words);
      }
    }
    const truth = `true:${row.pointers[0]}`;
    row.truth.setAttribute("d", lineOf(truth, row, leaf, first, level));
    row.pointers.forEach((pointer, k) => row.lines[k].setAttribute("d", lineOf(pointer, row, leaf, first, level)));
    const last = times.length - 1;
    const at = [...row.pointers, truth].map((pointer) => values[pointer][last] / row.one).map((v) => (Number.isNaN(v) ? null : level(v)));
    const order = at.map((y, k) => [y ?? floor, k]).sort((a, b) => a[0] - b[0]);
    order.forEach(([y], k) => {
      if (k && y - order[k - 1][0] < 13) order[k][0] = order[k - 1][0] + 13;
    });
    // and back up where they would stand under the chart
    for (let k = order.length - 1, low = floor - 3; k >= 0; low = order[k][0] - 13, k -= 1) order[k][0] = Math.min(order[k][0], low);
    for (const [y, k] of order) {
      row.ends[k].setAttribute("x", wide - RIGHT + 6);
      row.ends[k].setAttribute("y", (y + 4).toFixed(1));
      row.ends[k].setAttribute("visibility", at[k] === null ? "hidden" : "visible");
    }
  }

  function clear() {
    times = [];
    values = {};
    for (const pointer of Object.keys(stage.figures)) {
      values[pointer] = [];
      values[`true:${pointer}`] = [];
    }
  }

  return {
    across,
    begin: () => times[0] ?? 0,
    stage(given) {
      stage = given;
      clear();
      build();
    },
    resize: size,
    history({ time_s: then, shown, true: truth }) {
      clear();
      const figure = (value) => (value === null ? NaN : value);
      times = [...then];
      for (const pointer of Object.keys(stage.figures)) {
        values[pointer] = (shown[pointer] ?? then.map(() => null)).map(figure);
        values[`true:${pointer}`] = (truth[pointer] ?? then.map(() => null)).map(figure);
      }
    },
    add(time, read) {
      while (times.length && times[times.length - 1] > time - 1e-6) {
        times.pop();
        for (const kept of Object.values(values)) kept.pop();
      }
      if (times.length && time - times[times.length - 1] < EVERY_S) return;
      times.push(time);
      for (const [pointer, kept] of Object.entries(values)) kept.push(read(pointer));
      if (times.length > KEPT) {
        times.splice(0, KEPT / 4);
        for (const kept of Object.values(values)) kept.splice(0, KEPT / 4);
      }
    },
    cursor(leaf, t) {
      const x = across(leaf, t).toFixed(1);
      const line = svg.lastElementChild;
      line.setAttribute("x1", x);
      line.setAttribute("x2", x);
      line.setAttribute("y1", GAP - 6);
      line.setAttribute("y2", tall);
    },
    onsets(leaf, at) {
      const marks = at.filter((t) => t > leaf.start && t < leaf.start + leaf.span).map((t) => {
        const x = across(leaf, t).toFixed(1);
        return draw("line", { x1: x, x2: x, y1: GAP - 6, y2: tall, class: "onset" });
      });
      svg.querySelector(".onsets").replaceChildren(...marks);
    },
    draw(leaf) {
      if (!times.length) return;
      let first = times.findIndex((t) => t >= leaf.start);
      if (first < 0) first = times.length;
      for (const row of rows) drawRow(row, leaf, Math.max(first - 1, 0));
      name.textContent = `Pointers against truth from ${clock(leaf.start)} to ${clock(times[times.length - 1])}`;
    },
  };
}
