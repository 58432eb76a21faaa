// The drawings of a stage, and how a frame moves them: dials on every page, walls and map where they are.

import {
  altitudeOf,
  angleOf,
  figureOf,
  moveWall,
  number,
  scaleWall,
  settingWords,
  stillAirAt,
  trendMark,
  turn,
  wallOf,
} from "./moving.js";
import { clock } from "./words.js";

const INHG = 3386.389;
const HPA_PER_INCH = INHG / 100;
const FOOT = 0.3048;
const DESCRIBED_MS = 1000;
const NARROWER_AFTER_S = 4; // a scale is left for a finer one only after so long [s]

const group = (elements, key) => {
  const found = new Map();
  for (const element of elements) {
    const name = element.dataset[key];
    if (!found.has(name)) found.set(name, []);
    found.get(name).push(element);
  }
  return found;
};

// Everything in `root` that follows from the figures of a stage. Ask for it again when drawings are exchanged.
export function drawings(root, stage) {
  const at = new Map(stage.fields.map((name, i) => [name, i]));
  const all = (selector) => [...root.querySelectorAll(selector)];
  const laws = new Map(stage.laws.map((law) => [law.hand, law]));
  const hands = group(all("[data-hand]"), "hand");
  const trueHands = group(all("[data-true-hand]"), "trueHand");
  const shown = group(all("[data-shown]"), "shown");
  const truths = group(all("[data-true]"), "true");
  const digits = group(all("[data-digits]"), "digits");
  const trends = group(all("[data-trend]"), "trend");
  const settings = all("[data-setting]");
  const walls = all("svg.wall").map(wallOf);
  const flows = all(".flow");
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const before = new Map();
  let scale = 0;
  let finerSince = performance.now();
  for (const wall of walls) scaleWall(wall, 0);
  const scales = walls.length
    ? [...walls[0].svg.querySelectorAll("g.scale")].map(({ dataset }) => [+dataset.low, +dataset.high])
    : [];

  const words = (element, said) => {
    if (element.textContent !== said) element.textContent = said;
  };
  // What a reading is called on the wall: of an instrument with several, the first.
  const pointerOf = (name) =>
    name in stage.figures ? name : Object.keys(stage.figures).find((one) => one.startsWith(`${name}.`));

  function said(name, value, bare = false) {
    const told = stage.figures[pointerOf(name)];
    const found = number(figureOf(told, value));
    return bare ? found : `${found} ${told.unit}`;
  }

  function moveHands(set, figures, prefix) {
    for (const [hand, elements] of set) {
      const law = laws.get(hand);
      const place = law && at.get(prefix + law.pointer);
      if (place === undefined || Number.isNaN(figures[place])) continue;
      const degrees = angleOf(law, figures[place]).toFixed(2);
      for (const element of elements) turn(element, degrees);
    }
  }

  function trendOf(name, time, value) {
    const past = before.get(name) ?? [];
    before.set(name, past);
    if (past.length && past[past.length - 1][0] > time) past.length = 0;
    past.push([time, value]);
    const { trend, trend_s: back } = stage.figures[name];
    while (past.length > 2 && past[1][0] <= time - back) past.shift();
    const moved = (value - past[0][1]) / trend;
    return Math.abs(moved) >= 1 ? Math.sign(moved) : 0;
  }

  function chooseScale(column) {
    const reach = (finest) =>
      walls[0].columns.every(({ name }) => name === "outside.cabin" || (column(name) >= finest[0] && column(name) <= finest[1]));
    const wanted = scales.findIndex(reach);
    const to = wanted < 0 ? scales.length - 1 : wanted;
    const now = performance.now();
    if (to >= scale) finerSince = now;
    if (to > scale || (to < scale && now - finerSince > NARROWER_AFTER_S * 1000)) {
      scale = to;
      for (const wall of walls) scaleWall(wall, scale);
    }
  }

  function moveWalls(figures, time) {
    const column = (name) => figures[at.get(`column:${name}`)];
    const still = figures[at.get("static")];
    const here = altitudeOf(still);
    chooseScale(column);
    for (const wall of walls) {
      moveWall(wall, column, (feet) => stillAirAt(here - feet * FOOT) - still, clock(time));
    }
    if (calm.matches) return;
    for (const flow of flows) {
      const pa = still + column(flow.dataset.node);
      flow.setAttribute("stroke-dashoffset", ((-flow.dataset.way * pa) / 40).toFixed(1));
    }
  }

  // What a screen reader finds on a drawing: put right once a second, and never said by itself.
  const dials = all("svg.dial").map((svg) => [svg.querySelector("desc"), svg.querySelector("[data-shown]").dataset.shown]);
  const bank = walls.map(({ svg, columns, inch }) => ({ desc: svg.querySelector("desc"), columns, inch }));
  const labels = new Map((stage.walls ?? []).flatMap((wall) => wall.columns).map(({ name, label }) => [name, label]));
  let described = -DESCRIBED_MS;
  function describe({ figures, time }) {
    const ms = performance.now();
    if (ms - described < DESCRIBED_MS) return;
    described = ms;
    for (const [desc, name] of dials) {
      const truth = at.get(`true:${name}`);
      const really = truth === undefined ? "" : `; true ${said(name, figures[truth])}, the hollow mark`;
      desc.textContent = `At ${clock(time)} shows ${said(name, figures[at.get(name)])}${really}.`;
    }
    for (const { desc, columns, inch } of bank) {
      const stands = columns.map(({ name }) => `${labels.get(name) ?? name} ${number(+(figures[at.get(`column:${name}`)] / inch).toFixed(1))}`);
      desc.textContent = `Inches of water from the still air outside: ${stands.join("; ")}.`;
    }
  }

  return {
    field: (figures, name) => figures[at.get(name)],
    words: said,
    move({ figures, time }) {
      moveHands(hands, figures, "");
      moveHands(trueHands, figures, "true:");
      for (const [name, elements] of shown) {
        const place = at.get(pointerOf(name));
        for (const element of elements) words(element, said(name, figures[place]));
      }
      for (const [name, elements] of truths) {
        const place = at.get(`true:${pointerOf(name)}`);
        for (const element of elements) {
          const bare = "bare" in element.dataset;
          words(element, place === undefined ? "" : `true ${said(name, figures[place], bare)}`); // not revealed: nothing
        }
      }
      for (const [name, elements] of digits) {
        const told = number(figureOf(stage.figures[name], figures[at.get(name)]));
        for (const element of elements) words(element, told);
      }
      for (const [name, elements] of trends) {
        const way = trendOf(name, time, figures[at.get(name)]);
        for (const element of elements) words(element, trendMark(way));
      }
      const inches = figures[at.get("setting")] / INHG;
      for (const element of settings) words(element, settingWords(element.dataset.setting, inches, HPA_PER_INCH));
      if (walls.length) moveWalls(figures, time);
      describe({ figures, time });
    },
    // Lids on the columns whose air is trapped: {column: since}.
    trap(trapped) {
      for (const wall of walls) {
        for (const { name, lid } of wall.columns) {
          lid?.setAttribute("visibility", name in trapped ? "visible" : "hidden");
        }
      }
    },
    // What every pointer shows, in words; with what is true where the frame has it.
    readings({ figures }) {
      return Object.values(stage.figures).map(({ pointer, title }) => {
        const truth = at.get(`true:${pointer}`);
        const shows = `${title} ${said(pointer, figures[at.get(pointer)])}`;
        return truth === undefined ? shows : `${shows}, true ${said(pointer, figures[truth])}`;
      });
    },
  };
}
