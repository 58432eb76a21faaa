// Laying a fault: choose a part on the line map, then from what can happen there; how bad, and when.

import { draw, make, percent, place, secondsOf, tell } from "./words.js";

const byId = (id) => document.getElementById(id);
const KINDS = [["opening", "Openings"], ["line", "Lines"], ["fitting", "Fittings"], ["valve", "Valves"], ["instrument", "Instruments"]];
const NEAR_SPOT = 18; // in the units of the drawing
const NEAR_LINE = 14;

function fromLine(x, y, points) {
  let least = Infinity;
  for (let i = 1; i < points.length; i += 1) {
    const [ax, ay] = points[i - 1];
    const [bx, by] = points[i];
    const long = (bx - ax) ** 2 + (by - ay) ** 2 || 1;
    const t = Math.min(Math.max(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long, 0), 1);
    least = Math.min(least, Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)));
  }
  return least;
}

function halfway(points) {
  let best = 0;
  let middle = points[0];
  for (let i = 1; i < points.length; i += 1) {
    const [[ax, ay], [bx, by]] = [points[i - 1], points[i]];
    const long = Math.hypot(bx - ax, by - ay);
    if (long > best) [best, middle] = [long, [(ax + bx) / 2, (ay + by) / 2]];
  }
  return middle;
}

export function placing(bench) {
  const form = byId("placing");
  let svg = null;
  let spots = [];
  let lines = [];
  let part = null;
  let happenings = null;
  let rest = null;
  let stage = null;

  const possibleAt = (name) =>
    stage.faults.flatMap((fault) =>
      fault.places.filter(({ parts }) => parts.includes(name)).map((where) => ({ fault, where })),
    );

  function ring(name) {
    for (const element of svg.querySelectorAll(".chosen")) element.classList.remove("chosen");
    for (const element of svg.querySelectorAll(`[data-part="${CSS.escape(name)}"]`)) element.classList.add("chosen");
    const spot = spots.find((one) => one.name === name);
    const circle = svg.querySelector(".picked");
    if (spot) {
      circle.setAttribute("cx", spot.x);
      circle.setAttribute("cy", spot.y);
      circle.removeAttribute("display");
    } else circle.setAttribute("display", "none");
  }

  function pick(event) {
    const box = svg.getBoundingClientRect();
    const one = svg.viewBox.baseVal.width / box.width;
    const x = (event.clientX - box.left) * one;
    const y = (event.clientY - box.top) * one;
    const nearest = (all, far) => all.map((it) => [far(it), it]).sort((a, b) => a[0] - b[0])[0] ?? [Infinity];
    const [off, spot] = nearest(spots, (it) => Math.hypot(it.x - x, it.y - y));
    const [away, line] = nearest(lines, (it) => fromLine(x, y, it.points));
    const found = off < NEAR_SPOT && off < away + 6 ? spot : away < NEAR_LINE ? line : null;
    if (found) choose(found.name);
  }

  function choose(name) {
    part.value = name;
    ring(name);
    const can = possibleAt(name);
    const title = stage.parts.find((one) => one.name === name)?.title ?? name;
    const legend = make("legend", {}, `What can happen at: ${title}`);
    const choices = can.map(({ fault, where }, i) => {
      const input = make("input", { type: "radio", name: "happening", value: String(i), onchange: () => chosen(can[i]) });
      const several = fault.places.length > 1 && where.where !== name;
      return make("label", {}, input, ` ${fault.title}${several ? ` (${where.title})` : ""}`);
    });
    happenings.replaceChildren(legend, make("div", { class: "few" }, ...choices));
    rest.hidden = true;
  }

  const field = (id, words, input) => [make("label", { for: id }, words), input];

  function chosen({ fault, where }) {
    rest.hidden = false;
    const severity = make("input", { id: "place-severity", type: "range", min: "0.05", max: "1", step: "0.05", value: "1" });
    const said = make("output", { for: "place-severity", "aria-live": "off" }, "100 %");
    severity.addEventListener("input", () => { said.textContent = percent(+severity.value); });
    const size = make("input", { id: "place-size", autocomplete: "off", maxlength: "40", placeholder: fault.size?.usual ?? "", size: "10", "aria-describedby": "place-size-why" });
    const gradual = make("input", { id: "place-gradual", type: "number", min: "0", max: "3600", step: "1", value: "0", size: "5" });
    const at = make("input", { id: "place-at", size: "7", autocomplete: "off", placeholder: "m:ss", "aria-label": "time, minutes and seconds" });
    const feet = make("input", { id: "place-feet", type: "number", step: "100", size: "7", "aria-label": "pressure altitude in feet" });
    const radio = (value, words, ...more) => {
      const input = make("input", { type: "radio", name: "when", value });
      input.checked = value === "now";
      const take = () => { input.checked = true; };
      for (const one of more) for (const name of ["input", "pointerdown"]) one.addEventListener(name, take);
      return make("label", {}, input, ` ${words} `, ...more);
    };
    const rows = [make("p", { class: "soft" }, fault.sentence)];
    if (fault.severity) {
      rows.push(make("div", { class: "lever" }, ...field("place-severity", "How bad", severity), said), make("p", { class: "soft small" }, `What it measures: ${fault.severity}.`));
    }
    if (fault.size) {
      rows.push(make("div", { class: "pair" }, ...field("place-size", "Size", size), make("span", { id: "place-size-why", class: "soft small" }, fault.size.meaning)));
    }
    rows.push(make("fieldset", { class: "when" }, make("legend", {}, "When"), radio("now", "now"), radio("time", "at", at), radio("altitude", "at", feet, make("span", {}, "ft"))));
    const grows = fault.comes === "suddenly" ? [] : [make("span", { class: "pair" }, ...field("place-gradual", "Grows over", gradual), "s")];
    rows.push(make("div", { class: "pair last" }, make("button", { class: "strong" }, "Lay it on"), ...grows));
    rest.replaceChildren(...rows);
    form.onsubmit = (event) => {
      event.preventDefault();
      const message = { name: fault.name, where: where.where, severity: fault.severity ? +severity.value : 1, gradual_s: +gradual.value || 0 };
      if (size.value.trim()) message.size = size.value.trim();
      const when = form.elements.when.value;
      if (when === "time") {
        message.onset_s = secondsOf(at.value);
        if (message.onset_s === null) return tell("Write the time as minutes and seconds, such as 2:05.");
      } else if (when === "altitude") {
        if (feet.value === "") return tell("Write the altitude in feet.");
        message.at_altitude_ft = +feet.value;
      }
      bench.act("fault", message);
      return undefined;
    };
  }

  function marks(timeline) {
    const layer = svg.querySelector(".laid");
    const taken = new Set();
    const discs = [];
    timeline.faults.forEach((fault, i) => {
      const entry = stage.faults.find(({ name }) => name === fault.name);
      const where = entry?.places.find((one) => one.where === fault.where) ?? entry?.places[0];
      for (const name of where?.parts ?? []) {
        const spot = spots.find((one) => one.name === name);
        const line = lines.find((one) => one.name === name);
        if (!spot && !line) continue;
        let [x, y] = spot ? [spot.x, spot.y] : halfway(line.points);
        [x, y] = [x + 15, y - 13];
        while (taken.has(`${Math.round(x / 12)} ${Math.round(y / 12)}`)) x += 24;
        taken.add(`${Math.round(x / 12)} ${Math.round(y / 12)}`);
        const words = draw("text", { x, y: y + 4.5, class: "fault-number", "text-anchor": "middle" });
        words.textContent = String(i + 1);
        const mark = draw("g", { "data-onset": fault.onset_s ?? "", "data-end": fault.end_s ?? "" }, draw("circle", { cx: x, cy: y, r: 11, class: "fault-disc" }), words);
        discs.push(mark);
      }
    });
    layer.replaceChildren(...discs);
  }

  return {
    stage(given) {
      stage = given;
      svg = place(byId("map"), stage.map);
      spots = [...svg.querySelectorAll("[data-x]")].map(({ dataset }) => ({ name: dataset.part, x: +dataset.x, y: +dataset.y }));
      lines = [...svg.querySelectorAll("[data-line]")].map(({ dataset }) => ({
        name: dataset.part,
        points: dataset.line.split(" ").map((point) => point.split(",").map(Number)),
      }));
      svg.addEventListener("click", pick);
      const groups = KINDS.map(([kind, title]) => {
        const own = stage.parts.filter((one) => one.kind === kind && possibleAt(one.name).length);
        return make("optgroup", { label: title }, ...own.map(({ name, title: words, tag }) => make("option", { value: name }, tag ? `${tag}  ${words}` : words)));
      }).filter((group) => group.children.length);
      part = make("select", { id: "part", onchange: () => choose(part.value) }, make("option", { value: "", disabled: true, selected: true }, "choose here or on the map"), ...groups);
      happenings = make("fieldset", { class: "happenings" });
      rest = make("div", { class: "rows", hidden: true });
      form.replaceChildren(make("div", { class: "lever" }, make("label", { for: "part" }, "Part"), part), happenings, rest);
      happenings.replaceChildren(make("legend", {}, "What can happen there"), make("p", { class: "soft" }, "Choose a part first."));
    },
    timeline: marks,
  };
}
