// The instructor's page: what the server says goes to the parts of the page, what is done here goes to it.

import { accountDialog, saveDialog, setUpDialog, download } from "./desk.js";
import { classroom } from "./classroom.js";
import { drawings } from "./drawings.js";
import { ground } from "./ground.js";
import { levers } from "./levers.js";
import { open } from "./link.js";
import { put } from "./moving.js";
import { paper } from "./paper.js";
import { placing } from "./placing.js";
import { clock, make, place, tell } from "./words.js";

const byId = (id) => document.getElementById(id);
const key = decodeURIComponent(location.hash.slice(1));
const STATES = {
  joining: "Joining the bench …",
  lost: "The connection is lost. The page joins again by itself.",
  shut: "The bench does not let this page in: open it with the address that was printed at the start.",
};

const bench = {
  stage: null,
  frame: null,
  timeline: null,
  moved: null,
  // Do something on the server; what is refused is said.
  async act(what, more) {
    if (what !== "levers") parts.levers.flush();
    try {
      return await link.send(what, more);
    } catch (error) {
      tell(`Not done: ${error.message}`);
      return null;
    }
  },
};

const parts = {
  paper: paper(bench),
  placing: placing(bench),
  levers: levers(bench),
  ground: ground(bench),
  classroom: classroom(bench),
};

function walls(stage) {
  const holder = byId("wall");
  const shown = stage.walls.map((wall) => {
    const one = make("div", { class: "system" }, make("div", { class: "wide" }), make("div", { class: "narrow" }));
    place(one.querySelector(".wide"), wall.wide);
    place(one.querySelector(".narrow"), wall.narrow);
    return one;
  });
  holder.replaceChildren(...shown);
  const choice = byId("systems");
  choice.hidden = stage.walls.length < 2;
  choice.replaceChildren();
  if (choice.hidden) return;
  const pick = (i) => shown.forEach((one, k) => { one.hidden = k !== i; });
  stage.walls.forEach((wall, i) => {
    const input = make("input", { type: "radio", name: "system", value: String(i), onchange: () => pick(i) });
    input.checked = i === 0;
    choice.append(make("label", {}, input, ` ${wall.title.replace("System of the ", "")}`));
  });
  pick(0);
}

const EMPTY = 48; // of a dial with digits, above them

function dials(stage) {
  byId("dials").replaceChildren(
    ...stage.dials.map(({ name, title, svg }) => {
      const cell = make("div", { class: "dial-cell" }, make("div", {}));
      const dial = place(cell.firstElementChild, svg);
      if (!dial.querySelector("[data-hand]")) put(dial, { viewBox: `0 ${EMPTY} 220 ${292 - EMPTY}`, height: 292 - EMPTY });
      const ask = () => accountDialog(bench, name, title);
      cell.append(make("button", { type: "button", class: "why", "aria-label": `Why the ${title.toLowerCase()} reads what it reads`, onclick: ask }, "Why?"));
      return cell;
    }),
  );
}

function staged(stage) {
  byId("told").textContent = "";
  bench.stage = stage;
  document.title = `Ramstill bench: ${stage.title}`;
  byId("title").textContent = stage.title;
  const plane = stage.choices.airplanes.find(({ name }) => name === stage.airplane)?.title ?? "";
  byId("plane").textContent = plane === stage.title ? "" : plane;
  byId("safety").textContent = stage.safety;
  byId("invented").textContent = stage.invented;
  byId("invented").hidden = !stage.invented;
  walls(stage);
  dials(stage);
  const onGround = stage.mode === "ground";
  byId("ground-part").hidden = !onGround;
  for (const part of Object.values(parts)) part.stage?.(stage);
  bench.moved = drawings(document.body, stage);
  if (bench.frame) moved(bench.frame);
}

function heard(timeline) {
  bench.timeline = timeline;
  const trapped = timeline.trapped ?? {};
  bench.moved?.trap(trapped);
  const since = Object.entries(trapped);
  const labels = new Map(bench.stage?.walls.flatMap((wall) => wall.columns).map((c) => [c.name, c.label]));
  const named = since.filter(([name]) => labels.has(name)).map(([, at]) => at);
  const stopped = Object.values(timeline.stopped ?? {});
  const lids = named.length ? `Lids: air trapped since ${clock(Math.min(...named))}.` : "";
  byId("trapped").textContent = [lids, ...new Set(stopped)].filter(Boolean).join(" ");
  for (const part of Object.values(parts)) part.timeline?.(timeline);
}

// The choice that is nearest to what a frame says; only at first, after that the server tells.
let paced = false;
function pacedBy(times) {
  const choices = [...byId("pace").options];
  const off = ({ value }) => Math.abs(Math.log(value / times));
  if (times > 0) choices.sort((a, b) => off(a) - off(b))[0].selected = true;
  paced = times > 0;
}

let told = -1;
function moved(frame) {
  bench.frame = frame;
  if (!bench.stage || frame.figures.length !== bench.stage.fields.length) return;
  bench.moved.move(frame);
  const second = Math.round(frame.time);
  if (second !== told) {
    told = second;
    byId("clock").textContent = clock(frame.time);
    byId("phase").textContent = parts.paper.phaseAt(frame.time);
  }
  running(frame.running);
  if (!paced) pacedBy(bench.moved.field(frame.figures, "pace"));
  parts.paper.frame(frame);
}

const SAYS = {
  stage: staged,
  timeline: heard,
  levers: (message) => parts.levers.set(message),
  strip: (message) => parts.paper.history(message),
  force: (message) => parts.ground.force(message),
  class: (message) => parts.classroom.opened(message),
  roll: (message) => parts.classroom.roll(message),
  saved: download,
  debrief: download,
  pace: ({ times }) => pacedBy(times),
  note: ({ text }) => tell(text),
};

bench.calls = (marks) => parts.paper.called(marks);

const link = open("/bench/socket", { key }, {
  onSay: (message) => SAYS[message.say]?.(message),
  onFrame: moved,
  onState(state) {
    const line = byId("state");
    line.hidden = !(state in STATES);
    line.textContent = STATES[state] ?? "";
  },
});

function running(on) {
  const run = byId("run");
  const pressed = String(on);
  if (run.getAttribute("aria-pressed") === pressed) return;
  run.setAttribute("aria-pressed", pressed);
  run.textContent = on ? "Pause" : "Run";
}

byId("run").addEventListener("click", async () => {
  const on = byId("run").getAttribute("aria-pressed") !== "true";
  if (await bench.act("run", { on })) running(on);
});
byId("pace").addEventListener("change", ({ target }) => bench.act("pace", { times: +target.value }));
for (const button of document.querySelectorAll("[data-step]")) {
  button.addEventListener("click", () => bench.act("step", { seconds: +button.dataset.step }));
}
for (const button of document.querySelectorAll("[data-back]")) {
  const back = () => bench.act("rewind", { to_s: Math.max(bench.frame.time - button.dataset.back, parts.paper.begin()) });
  button.addEventListener("click", () => bench.frame && back());
}
byId("say").addEventListener("click", () => {
  if (bench.frame && bench.moved) tell(`At ${clock(bench.frame.time)}: ${bench.moved.readings(bench.frame).join("; ")}.`);
});
byId("keep").addEventListener("click", () => saveDialog(bench));
byId("set-up").addEventListener("click", () => setUpDialog(bench));
