// The paper: strip charts, and under them the time line on which faults lie, with what the class called.

import { LEFT, RIGHT, charts } from "./charts.js";
import { faultBars } from "./bars.js";
import { clock, make, secondsOf, tell } from "./words.js";

const byId = (id) => document.getElementById(id);
const REDRAW_MS = 200; // charts are drawn again so often at most
const CALM_MS = 1000; // where motion is not wanted
const CALL_WIDE = 0.07; // of the leaf
const KEEP_FREE = 0.82; // the leaf is turned when this share of it is full

export function paper(bench) {
  const holder = byId("paper");
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const strips = make("div", { class: "charts" });
  const ruler = make("div", { class: "ruler", "aria-hidden": "true" });
  const phases = make("div", { class: "phases", "aria-hidden": "true" });
  const faults = make("div", { class: "faults", role: "group", "aria-label": "Faults on the time line" });
  const called = make("div", { class: "called", hidden: true });
  const now = make("div", { class: "now-line", "aria-hidden": "true" });
  holder.append(strips, make("div", { class: "line" }, ruler, phases, faults, called, now));
  const plot = charts(strips);
  const leaf = { start: 0, span: 300 };
  let timeline = { faults: [], phases: [], branches: [], deeds: [], now_s: 0 };
  let marks = [];
  let drawn = 0;
  let known = null;

  const share = (t) => (t - leaf.start) / leaf.span;
  const bars = faultBars(bench, faults, byId("fault-sheet"), { leaf, share });

  // Calls that would lie on one another, as one.
  function together(calls) {
    const groups = [];
    for (const call of [...calls].sort((a, b) => a.at - b.at)) {
      const last = groups.at(-1);
      if (last && share(call.at) - share(last[0].at) < CALL_WIDE) last.push(call);
      else groups.push([call]);
    }
    return groups;
  }

  function turnTo(t) {
    const inside = t >= leaf.start && t <= leaf.start + KEEP_FREE * leaf.span;
    if (inside) return false;
    const step = leaf.span / 10;
    leaf.start = Math.max(Math.floor((t - leaf.span / 2) / step) * step, Math.min(plot.begin(), 0));
    return true;
  }

  function layOut() {
    const step = [5, 10, 15, 30, 60, 120, 300, 600, 900].find((s) => leaf.span / s <= (holder.clientWidth < 500 ? 5 : 10));
    const ticks = [];
    for (let t = Math.ceil(leaf.start / step) * step; t <= leaf.start + leaf.span; t += step) {
      const mark = make("span", {}, clock(t));
      mark.style.left = `${share(t) * 100}%`;
      ticks.push(mark);
    }
    ruler.replaceChildren(...ticks);
    const ends = timeline.phases.map(([t]) => t).slice(1).concat(Infinity);
    phases.replaceChildren(
      ...timeline.phases.map(([t, words], i) => {
        const a = Math.max(share(t), 0);
        const b = Math.min(share(Math.min(ends[i], timeline.end_s ?? Infinity)), 1);
        if (b <= a) return "";
        const band = make("span", { class: i % 2 ? "odd" : "even", title: words }, words);
        band.style.left = `${a * 100}%`;
        band.style.width = `${(b - a) * 100}%`;
        return band;
      }),
    );
    called.hidden = !marks.length;
    called.replaceChildren(
      make("b", {}, "called"),
      ...together(marks.filter(({ at }) => share(at) >= 0 && share(at) <= 1)).map(([first, ...more]) => {
        const said = [first, ...more].map(({ at, what }) => `${what} at ${clock(at)}`).join("; ");
        const mark = make("span", { class: "call", title: said }, more.length ? `${first.who} +${more.length}` : first.who);
        mark.style.left = `${share(first.at) * 100}%`;
        return mark;
      }),
    );
    bars.layOut();
    plot.onsets(leaf, timeline.faults.flatMap(({ onset_s, end_s }) => [onset_s, end_s]).filter((t) => t !== null && t !== undefined));
    plot.draw(leaf);
  }

  function lists() {
    const part = byId("branches");
    const branches = (timeline.branches ?? []).map((one) => {
      const { here } = one;
      const words = `${one.title ?? `Branch ${one.id}`}, from ${clock(one.from_s)}${here ? "" : `, come to ${clock(one.until_s)}`}`;
      const go = make("button", { type: "button", class: "plain", onclick: () => bench.act("branch", { branch: String(one.id) }) }, "Go there");
      return make("li", {}, `${words} `, here ? make("b", {}, "you are here") : go);
    });
    const deeds = (timeline.deeds ?? []).slice(-40).map((deed) => make("li", {}, `${clock(deed.at_s)} ${deed.title}`));
    const list = (heading, items, none) => [make("h3", {}, heading), items.length ? make("ul", {}, ...items) : make("p", { class: "soft" }, none)];
    part.replaceChildren(
      ...list("Branches", branches, "Go back and act otherwise: what was flown since stays here."),
      ...list("Deeds", deeds, "Nothing was done yet."),
    );
  }

  function announce(faultsNow) {
    const before = known;
    known = new Map(faultsNow.map((fault) => [String(fault.id), fault]));
    if (!before) return;
    const at = bench.frame?.time ?? timeline.now_s;
    for (const [id, { title, onset_s }] of known) {
      if (before.has(id)) continue;
      if (onset_s === null || onset_s === undefined) tell(`${title} is laid, and comes at its altitude.`);
      else tell(onset_s > at + 1 ? `${title} is laid for ${clock(onset_s)}.` : `${title} has come, at ${clock(onset_s)}.`);
    }
  }

  const waitedFor = new Set();
  function watch(time) {
    for (const { id, title, onset_s } of timeline.faults) {
      if (onset_s === null || onset_s === undefined) continue;
      if (onset_s > time) waitedFor.add(String(id));
      else if (waitedFor.delete(String(id))) tell(`${title} has come, at ${clock(onset_s)}.`);
    }
  }

  ruler.addEventListener("click", (event) => {
    const box = ruler.getBoundingClientRect();
    const t = leaf.start + ((event.clientX - box.left) / box.width) * leaf.span;
    if (bench.frame && t < bench.frame.time) bench.act("rewind", { to_s: Math.max(t, plot.begin()) });
  });
  byId("span").addEventListener("change", ({ target }) => {
    leaf.span = +target.value;
    leaf.start = Infinity;
    turnTo(bench.frame?.time ?? 0);
    layOut();
  });
  byId("back-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const to = secondsOf(byId("back-to").value);
    if (to === null) tell("Write the time as minutes and seconds, such as 2:05.");
    else bench.act("rewind", { to_s: to });
  });
  new ResizeObserver(() => {
    plot.resize();
    if (bench.stage) layOut();
  }).observe(holder);
  holder.style.setProperty("--left", `${LEFT}px`);
  holder.style.setProperty("--right", `${RIGHT}px`);

  return {
    begin: () => Math.min(plot.begin(), bench.frame?.time ?? 0),
    phaseAt: (t) => timeline.phases.filter(([since]) => since <= t).at(-1)?.[1] ?? "",
    stage(stage) {
      plot.stage(stage);
      known = null;
      waitedFor.clear();
      timeline = { ...timeline, faults: [], phases: [] };
      leaf.start = 0;
      layOut();
    },
    history(message) {
      plot.history(message);
      layOut();
    },
    timeline(given) {
      timeline = { faults: [], phases: [], branches: [], deeds: [], ...given };
      announce(timeline.faults);
      bars.set(timeline.faults);
      lists();
      layOut();
    },
    // Who called what and when, for the row of the class.
    called(given) {
      marks = given;
      layOut();
    },
    frame({ time, figures }) {
      plot.add(time, (pointer) => bench.moved.field(figures, pointer));
      if (!bars.dragging() && turnTo(time)) layOut();
      const x = Math.min(Math.max(share(time), 0), 1);
      now.style.transform = `translateX(${(x * (holder.clientWidth - LEFT - RIGHT)).toFixed(1)}px)`;
      plot.cursor(leaf, time);
      watch(time);
      const ms = performance.now();
      if (ms - drawn < (calm.matches ? CALM_MS : REDRAW_MS)) return;
      drawn = ms;
      plot.draw(leaf);
    },
  };
}
