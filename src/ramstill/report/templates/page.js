"use strict";
(() => {
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
  const number = (value) => (value === null ? "–" : (value < 0 ? "−" : "") + Math.abs(value).toLocaleString("en-US"));
  const reading = (set, name, i) => `${number(data[set][name][i])} ${data.units[name]}`;

  const walls = all("svg.wall").map((svg) => ({
    svg,
    zero: +svg.dataset.zero,
    scale: +svg.dataset.scale,
    inch: +svg.dataset.inch,
    top: +svg.dataset.top,
    floor: +svg.dataset.floor,
    columns: [...svg.querySelectorAll("[data-column]")],
    gaps: [...svg.querySelectorAll(".gap")],
    feet: [...svg.querySelectorAll("[data-feet]")],
  }));
  const timed = all("[data-from]");
  const hands = all("[data-hand]");
  const trueHands = all("[data-true-hand]");
  const shown = all("[data-shown]");
  const truths = all("[data-true]");
  const digits = all("[data-digits]");
  const trends = all("[data-trend]");
  const settings = all("[data-setting]");
  const ledgers = all("svg.ledger").map((svg) => ({
    svg,
    name: svg.dataset.ledger,
    zero: +svg.dataset.zero,
    half: +svg.dataset.half,
    decimals: +svg.dataset.decimals,
    bars: [...svg.querySelectorAll("[data-part]")],
    sum: svg.querySelector("[data-sum]"),
    amounts: [...svg.querySelectorAll("[data-amount]")],
    total: svg.querySelector("[data-total]"),
    error: svg.querySelector("[data-error]"),
    both: svg.querySelector("[data-both]"),
    worth: [...svg.querySelectorAll("[data-worth]")],
  }));
  const strips = [...document.querySelectorAll("svg.strip")];

  const put = (element, attributes) => {
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  };

  const levelOf = (wall, pa) => Math.min(Math.max(wall.zero - pa * wall.scale, wall.top), wall.floor);

  function moveGap(wall, gap, i) {
    const difference = data.columns[gap.dataset.left][i] - data.columns[gap.dataset.right][i];
    const a = levelOf(wall, data.columns[gap.dataset.left][i]);
    const b = levelOf(wall, data.columns[gap.dataset.right][i]);
    const lens = gap.querySelector(".lens-body");
    if (lens) {
      const tall = +lens.dataset.tall;
      const shift = Math.min(Math.max(((b - a) / 2) * lens.dataset.times, -tall / 2), tall / 2);
      const place = Math.min(Math.max((a + b) / 2, +lens.dataset.highest), +lens.dataset.lowest);
      lens.setAttribute("transform", `translate(${lens.dataset.x} ${place})`);
      put(lens.querySelector(".lens-left"), { y: -shift, height: tall / 2 + shift });
      put(lens.querySelector(".lens-right"), { y: shift, height: tall / 2 - shift });
      return;
    }
    put(gap.querySelector(".end-a"), { y1: a, y2: a });
    put(gap.querySelector(".end-b"), { y1: b, y2: b });
    put(gap.querySelector(".arrow"), { y1: a, y2: b });
    const label = gap.querySelector(".gap-label");
    if (label) {
      label.setAttribute("transform", `translate(${label.dataset.x} ${Math.min(a, b) - 7})`);
      const inches = difference / wall.inch;
      const sign = inches <= -0.05 ? "−" : "";
      label.firstElementChild.textContent = `${sign}${Math.abs(inches).toFixed(1)} in`;
    }
  }

  function moveWall(wall, i) {
    for (const column of wall.columns) {
      const level = levelOf(wall, data.columns[column.dataset.column][i]);
      for (const fluid of column.querySelectorAll(".fluid, .weaving")) {
        put(fluid, { y: level, height: wall.floor - level });
      }
      column.querySelector(".surface").setAttribute("transform", `translate(0 ${level})`);
      const beyond = column.querySelector(".beyond");
      if (beyond) {
        const pa = data.columns[column.dataset.column][i];
        const above = wall.zero - pa * wall.scale < wall.top;
        beyond.textContent = above ? `▲ ${Math.round(pa / wall.inch)}` : "";
      }
    }
    for (const gap of wall.gaps) moveGap(wall, gap, i);
    for (const mark of wall.feet) {
      const y = wall.zero - data.feet[mark.dataset.feet][i] * wall.scale;
      put(mark, {
        transform: `translate(0 ${y})`,
        visibility: y >= wall.top && y <= wall.floor ? "visible" : "hidden",
      });
    }
    wall.svg.querySelector("title").textContent = `${wall.svg.dataset.name} at ${data.clock[i]}`;
  }

  const signed = (value, decimals) => {
    if (value === null) return "–";
    const digits = { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
    const words = Math.abs(value).toLocaleString("en-US", digits);
    return value === 0 ? words : (value < 0 ? "−" : "+") + words;
  };

  function moveBar(ledger, bar, value, far) {
    const wide = (Math.abs(value ?? 0) / far) * ledger.half;
    put(bar, { x: value < 0 ? ledger.zero - wide : ledger.zero, width: wide });
  }

  function moveLedger(ledger, i) {
    const { parts, total, far, titles } = data.ledgers[ledger.name];
    const unit = data.units[ledger.name];
    const say = (value) => signed(value, ledger.decimals);
    for (const bar of ledger.bars) moveBar(ledger, bar, parts[+bar.dataset.part][i], far[i]);
    moveBar(ledger, ledger.sum, total[i], far[i]);
    for (const words of ledger.amounts) words.textContent = say(parts[+words.dataset.amount][i]);
    ledger.total.textContent = say(total[i]);
    ledger.error.textContent = `${say(total[i])} ${unit}`;
    const reads = `shows ${reading("shown", ledger.name, i)}, true ${reading("true", ledger.name, i)}`;
    ledger.both.textContent = reads;
    for (const words of ledger.worth) words.textContent = number(+(words.dataset.worth * far[i]).toFixed(2));
    ledger.svg.querySelector("title").textContent = `Ledger, ${ledger.svg.dataset.title} at ${data.clock[i]}`;
    const said = titles.map((title, k) => `${title} ${say(parts[k][i])}`).join(", ");
    ledger.svg.querySelector("desc").textContent =
      `S${reads.slice(1)}; together ${say(total[i])} ${unit}: ${said}.`;
  }

  const spoken = (i) =>
    [
      data.clock[i] + (data.phase[i] ? `, ${data.phase[i]}` : ""),
      ...Object.keys(data.names).map(
        (name) => `${data.names[name]} shows ${reading("shown", name, i)}, true ${reading("true", name, i)}`,
      ),
    ].join("; ");

  function show(i) {
    const t = data.time[i];
    slider.value = i;
    slider.setAttribute("aria-valuetext", spoken(i));
    clock.textContent = data.clock[i];
    phase.textContent = data.phase[i];
    stillFrame.textContent = `At ${data.clock[i]}${data.phase[i] ? `, ${data.phase[i]}` : ""}`;
    for (const wall of walls) moveWall(wall, i);
    for (const ledger of ledgers) moveLedger(ledger, i);
    for (const part of timed) {
      const there = t >= +part.dataset.from && (part.dataset.to === undefined || t < +part.dataset.to);
      part.setAttribute("visibility", there ? "visible" : "hidden");
    }
    for (const hand of hands) hand.setAttribute("transform", `rotate(${data.hands[hand.dataset.hand][i]})`);
    for (const hand of trueHands) {
      hand.setAttribute("transform", `rotate(${data.trueHands[hand.dataset.trueHand][i]})`);
    }
    for (const words of shown) words.textContent = reading("shown", words.dataset.shown, i);
    for (const words of truths) {
      const name = words.dataset.true;
      words.textContent = `true ${"bare" in words.dataset ? number(data.true[name][i]) : reading("true", name, i)}`;
    }
    for (const words of digits) words.textContent = number(data.shown[words.dataset.digits][i]);
    for (const mark of trends) mark.textContent = ["▼", "", "▲"][data.trend[mark.dataset.trend][i] + 1];
    for (const words of settings) {
      const inches = data.setting[i];
      words.textContent =
        words.dataset.setting === "inhg" ? `${inches.toFixed(2)} inHg` : `${Math.round(inches * data.hpaPerInch)} hPa`;
    }
    for (const dial of all("svg.dial")) {
      const name = dial.querySelector("[data-shown]").dataset.shown;
      dial.querySelector("desc").textContent =
        `At ${data.clock[i]} shows ${reading("shown", name, i)}; true ${reading("true", name, i)}, the hollow mark.`;
    }
    for (const svg of strips) {
      const { start, end, left, wide } = svg.dataset;
      const x = +left + ((t - start) / (end - start)) * wide;
      put(svg.querySelector(".cursor"), { x1: x, x2: x, class: "cursor on" });
    }
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
})();
