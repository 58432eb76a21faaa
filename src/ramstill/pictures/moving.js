// What moves the drawings of this folder: a page hands it figures, it sets attributes. Nothing is laid out
// again. The offline page has it inlined; the live pages load it as a module.

export const number = (value) =>
  value === null || Number.isNaN(value) ? "–" : (value < 0 ? "−" : "") + Math.abs(value).toLocaleString("en-US");

export const signed = (value, decimals) => {
  if (value === null) return "–";
  const digits = { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
  const words = Math.abs(value).toLocaleString("en-US", digits);
  return value === 0 ? words : (value < 0 ? "−" : "+") + words;
};

export const put = (element, attributes) => {
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
};

const say = (element, words) => {
  if (element.textContent !== words) element.textContent = words;
};

const within = (value, low, high) => Math.min(Math.max(value, low), high);

// The parts of a wall that move, found once.
export function wallOf(svg) {
  return {
    svg,
    zero: +svg.dataset.zero,
    scale: +svg.dataset.scale,
    inch: +svg.dataset.inch,
    top: +svg.dataset.top,
    floor: +svg.dataset.floor,
    columns: [...svg.querySelectorAll("[data-column]")].map((column) => ({
      name: column.dataset.column,
      fluids: [...column.querySelectorAll(".fluid, .weaving")],
      surface: column.querySelector(".surface"),
      beyond: column.querySelector(".beyond"),
      lid: column.querySelector("[data-lid]"),
    })),
    gaps: [...svg.querySelectorAll(".gap")].map((gap) => ({
      left: gap.dataset.left,
      right: gap.dataset.right,
      lens: gap.querySelector(".lens-body"),
      lensLeft: gap.querySelector(".lens-left"),
      lensRight: gap.querySelector(".lens-right"),
      endA: gap.querySelector(".end-a"),
      endB: gap.querySelector(".end-b"),
      arrow: gap.querySelector(".arrow"),
      label: gap.querySelector(".gap-label"),
    })),
    feet: [...svg.querySelectorAll("[data-feet]")],
    title: svg.querySelector("title"),
  };
}

const levelOf = (wall, pa) => within(wall.zero - pa * wall.scale, wall.top, wall.floor);

function moveGap(wall, gap, columns) {
  const a = levelOf(wall, columns(gap.left));
  const b = levelOf(wall, columns(gap.right));
  const { lens, label } = gap;
  if (lens) {
    const tall = +lens.dataset.tall;
    const shift = within(((b - a) / 2) * lens.dataset.times, -tall / 2, tall / 2);
    const place = within((a + b) / 2, +lens.dataset.highest, +lens.dataset.lowest);
    lens.setAttribute("transform", `translate(${lens.dataset.x} ${place})`);
    put(gap.lensLeft, { y: -shift, height: tall / 2 + shift });
    put(gap.lensRight, { y: shift, height: tall / 2 - shift });
    return;
  }
  put(gap.endA, { y1: a, y2: a });
  put(gap.endB, { y1: b, y2: b });
  put(gap.arrow, { y1: a, y2: b });
  if (label) {
    label.setAttribute("transform", `translate(${label.dataset.x} ${Math.min(a, b) - 7})`);
    const inches = (columns(gap.left) - columns(gap.right)) / wall.inch;
    const sign = inches <= -0.05 ? "−" : "";
    say(label.firstElementChild, `${sign}${Math.abs(inches).toFixed(1)} in`);
  }
}

// columns(name) and feet(mark): pressures over the still air outside [Pa]; clock: the time in words.
export function moveWall(wall, columns, feet, clock) {
  for (const { name, fluids, surface, beyond } of wall.columns) {
    const pa = columns(name);
    const level = levelOf(wall, pa);
    for (const fluid of fluids) put(fluid, { y: level, height: wall.floor - level });
    surface.setAttribute("transform", `translate(0 ${level})`);
    if (beyond) {
      const over = wall.zero - pa * wall.scale;
      const mark = over < wall.top ? "▲" : over > wall.floor && "below" in beyond.dataset ? "▼" : "";
      say(beyond, mark && `${mark} ${Math.round(Math.abs(pa) / wall.inch)}`);
    }
  }
  for (const gap of wall.gaps) moveGap(wall, gap, columns);
  for (const mark of wall.feet) {
    const y = wall.zero - feet(mark.dataset.feet) * wall.scale;
    const visibility = y >= wall.top && y <= wall.floor ? "visible" : "hidden";
    put(mark, { transform: `translate(0 ${y})`, visibility });
  }
  say(wall.title, `${wall.svg.dataset.name} at ${clock}`);
}

export function ledgerOf(svg) {
  return {
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
  };
}

function moveBar(ledger, bar, value, far) {
  const wide = (Math.abs(value ?? 0) / far) * ledger.half;
  put(bar, { x: value < 0 ? ledger.zero - wide : ledger.zero, width: wide });
}

// parts: amount of each line; total; far: how far the bars reach; titles of the lines; reads: "shows .., true ..".
export function moveLedger(ledger, { parts, total, far, titles, unit, reads, clock }) {
  const words = (value) => signed(value, ledger.decimals);
  for (const bar of ledger.bars) moveBar(ledger, bar, parts[+bar.dataset.part], far);
  moveBar(ledger, ledger.sum, total, far);
  for (const amount of ledger.amounts) amount.textContent = words(parts[+amount.dataset.amount]);
  ledger.total.textContent = words(total);
  ledger.error.textContent = `${words(total)} ${unit}`;
  ledger.both.textContent = reads;
  for (const mark of ledger.worth) mark.textContent = number(+(mark.dataset.worth * far).toFixed(2));
  ledger.svg.querySelector("title").textContent = `Ledger, ${ledger.svg.dataset.title} at ${clock}`;
  const said = titles.map((title, k) => `${title} ${words(parts[k])}`).join(", ");
  ledger.svg.querySelector("desc").textContent = `S${reads.slice(1)}; together ${words(total)} ${unit}: ${said}.`;
}

export const turn = (hand, degrees) => hand.setAttribute("transform", `rotate(${degrees})`);

export const trendMark = (way) => ["▼", "", "▲"][way + 1];

export const settingWords = (kind, inches, hpaPerInch) =>
  kind === "inhg" ? `${inches.toFixed(2)} inHg` : `${Math.round(inches * hpaPerInch)} hPa`;

// Whether a mark with data-from and data-to is there at a time.
export const there = (mark, t) =>
  t >= +mark.dataset.from && (mark.dataset.to === undefined || t < +mark.dataset.to);

export function moveCursor(svg, t) {
  const { start, end, left, wide } = svg.dataset;
  const x = +left + ((t - start) / (end - start)) * wide;
  put(svg.querySelector(".cursor"), { x1: x, x2: x, class: "cursor on" });
}

// Degrees of a hand at a reading (SI), by a law of hand_laws.py.
export function angleOf({ at, degrees, beyond }, reading) {
  const last = at.length - 1;
  const value = beyond ? reading : within(reading, at[0], at[last]);
  let i = 0;
  while (i < last - 1 && value >= at[i + 1]) i += 1;
  return degrees[i] + ((value - at[i]) / (at[i + 1] - at[i])) * (degrees[i + 1] - degrees[i]);
}

// A reading (SI) as finely as one reads it, by a figure of hand_laws.py; null for nothing.
export const figureOf = ({ one, step, decimals }, reading) =>
  Number.isNaN(reading) ? null : +(Math.round(reading / one / step) * step + 0).toFixed(decimals);

// Scales laid one on another on a wall of the live bench: show the one that is asked for.
export function scaleWall(wall, place) {
  const scales = [...wall.svg.querySelectorAll("g.scale")];
  const to = scales[place];
  for (const scale of scales) {
    if (scale === to) scale.removeAttribute("display");
    else scale.setAttribute("display", "none");
  }
  wall.zero = +to.dataset.zero;
  wall.scale = +to.dataset.perPa;
  wall.feet = [...to.querySelectorAll("[data-feet]")];
  const times = new Map((wall.svg.dataset.times || "").split(";").map((one) => one.split(/ (.*)/s)));
  for (const { left, lens } of wall.gaps) {
    if (!lens) continue;
    const by = (times.get(left.slice(0, left.lastIndexOf("."))) || "1").split(" ")[place];
    lens.dataset.times = by;
    lens.querySelector("text").textContent = `×${by}`;
  }
}

// Pressure of the standard atmosphere [Pa] at an altitude [m], and back; ISO 2533, to 20 km.
const SEA_PA = 101325;
const TROPOPAUSE_PA = 22632.06;
export const stillAirAt = (m) =>
  m < 11000 ? SEA_PA * (1 - m / 44330.77) ** 5.255880 : TROPOPAUSE_PA * Math.exp((11000 - m) / 6341.62);
export const altitudeOf = (pa) =>
  pa > TROPOPAUSE_PA ? 44330.77 * (1 - (pa / SEA_PA) ** 0.1902632) : 11000 - 6341.62 * Math.log(pa / TROPOPAUSE_PA);
