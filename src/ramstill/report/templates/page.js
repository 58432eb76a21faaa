import { ledgerOf, moveCursor, moveLedger, moveWall, number, put, settingWords, there, trendMark, turn, wallOf } from "./moving.js";

const data = JSON.parse(document.getElementById("frames").textContent);
const slider = document.getElementById("time");
const clock = document.getElementById("clock");
const phase = document.getElementById("phase");
const stillFrame = document.getElementById("still-frame");
const play = document.getElementById("play");
const jumps = [...document.querySelectorAll(".jumps button")];
const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
const last = data.time.length - 1;
const shows = [...document.querySelectorAll(".show")];
const all = (selector) => shows.flatMap((part) => [...part.querySelectorAll(selector)]);
const reading = (set, name, i) => `${number(data[set][name][i])} ${data.units[name]}`;

const walls = all("svg.wall").map(wallOf);
const timed = all("[data-from]");
const hands = all("[data-hand]");
const trueHands = all("[data-true-hand]");
const shown = all("[data-shown]");
const truths = all("[data-true]");
const digits = all("[data-digits]");
const trends = all("[data-trend]");
const settings = all("[data-setting]");
const dials = all("svg.dial");
const ledgers = all("svg.ledger").map(ledgerOf);
const strips = [...document.querySelectorAll("svg.strip")];

const both = (name, i) => `shows ${reading("shown", name, i)}, true ${reading("true", name, i)}`;

function ledgerAt(ledger, i) {
  const { parts, total, far, titles } = data.ledgers[ledger.name];
  moveLedger(ledger, {
    parts: parts.map((amounts) => amounts[i]),
    total: total[i],
    far: far[i],
    titles,
    unit: data.units[ledger.name],
    reads: both(ledger.name, i),
    clock: data.clock[i],
  });
}

const spoken = (i) =>
  [
    data.clock[i] + (data.phase[i] ? `, ${data.phase[i]}` : ""),
    ...Object.keys(data.names).map((name) => `${data.names[name]} ${both(name, i)}`),
  ].join("; ");

function show(i) {
  const t = data.time[i];
  slider.value = i;
  slider.setAttribute("aria-valuetext", spoken(i));
  clock.textContent = data.clock[i];
  phase.textContent = data.phase[i];
  stillFrame.textContent = `At ${data.clock[i]}${data.phase[i] ? `, ${data.phase[i]}` : ""}`;
  for (const wall of walls) {
    moveWall(wall, (name) => data.columns[name][i], (mark) => data.feet[mark][i], data.clock[i]);
  }
  for (const ledger of ledgers) ledgerAt(ledger, i);
  for (const part of timed) part.setAttribute("visibility", there(part, t) ? "visible" : "hidden");
  for (const hand of hands) turn(hand, data.hands[hand.dataset.hand][i]);
  for (const hand of trueHands) turn(hand, data.trueHands[hand.dataset.trueHand][i]);
  for (const words of shown) words.textContent = reading("shown", words.dataset.shown, i);
  for (const words of truths) {
    const name = words.dataset.true;
    words.textContent = `true ${"bare" in words.dataset ? number(data.true[name][i]) : reading("true", name, i)}`;
  }
  for (const words of digits) words.textContent = number(data.shown[words.dataset.digits][i]);
  for (const mark of trends) mark.textContent = trendMark(data.trend[mark.dataset.trend][i]);
  for (const words of settings) {
    words.textContent = settingWords(words.dataset.setting, data.setting[i], data.hpaPerInch);
  }
  for (const dial of dials) {
    const name = dial.querySelector("[data-shown]").dataset.shown;
    dial.querySelector("desc").textContent =
      `At ${data.clock[i]} shows ${reading("shown", name, i)}; true ${reading("true", name, i)}, the hollow mark.`;
  }
  for (const svg of strips) moveCursor(svg, t);
  for (const jump of jumps) {
    if (nearest(+jump.dataset.at) === i) jump.setAttribute("aria-current", "true");
    else jump.removeAttribute("aria-current");
  }
}

function nearest(t) {
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (data.time[middle] <= t) low = middle;
    else high = middle;
  }
  return t - data.time[low] <= data.time[high] - t ? low : high;
}

// The whole run in three quarters of a minute, or in steps of one a second where motion is not wanted.
const span = data.time[last] - data.time[0];
const pace = Math.max(span / 45, 1);
let playing = 0;
let before = 0;
let at = 0;

function halt() {
  playing = 0;
  play.textContent = "Play";
  play.setAttribute("aria-pressed", "false");
}

function step(now) {
  if (!playing) return;
  if (!calm.matches || now - before >= 1000) {
    at += ((now - before) / 1000) * pace;
    before = now;
    show(nearest(at));
    if (at >= data.time[last]) return halt();
  }
  requestAnimationFrame(step);
}

play.addEventListener("click", () => {
  if (playing) return halt();
  playing = 1;
  at = +slider.value >= last ? data.time[0] : data.time[+slider.value];
  play.textContent = "Pause";
  play.setAttribute("aria-pressed", "true");
  before = performance.now();
  requestAnimationFrame(step);
});
slider.addEventListener("input", () => {
  halt();
  show(+slider.value);
});
for (const jump of jumps) {
  jump.addEventListener("click", () => {
    halt();
    show(nearest(+jump.dataset.at));
  });
}
for (const svg of strips) {
  const pick = (event) => {
    if (event.type === "pointermove" && !(event.buttons & 1)) return;
    const box = svg.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
    const { start, end, left, wide } = svg.dataset;
    halt();
    show(nearest(+start + ((x - left) / wide) * (end - start)));
  };
  svg.addEventListener("pointerdown", pick);
  svg.addEventListener("pointermove", pick);
}

document.documentElement.classList.add("js");
for (const part of document.querySelectorAll(".live")) part.hidden = false;
show(+slider.value);
