// Faults as bars on the time line: dragged, or moved by arrow keys; the one chosen has its sheet under them.

import { clock, make, percent, secondsOf, tell } from "./words.js";

const FINE_S = 1;
const COARSE_S = 10;
const WAIT_MS = 350; // moves by key are sent when they have stopped for so long
const STEPS = { ArrowLeft: -FINE_S, ArrowRight: FINE_S, ArrowDown: -FINE_S, ArrowUp: FINE_S, PageDown: -COARSE_S, PageUp: COARSE_S };

const plain = (name) => (name ?? "").replaceAll("-", " ").replaceAll(".", " ");
const none = (value) => value === null || value === undefined;

export function faultBars(bench, holder, sheet, { leaf, share }) {
  let faults = [];
  let rows = new Map();
  let chosen = null;
  let drag = null;
  let timer = 0;
  let moving = ""; // the fault that is moved here and not yet there

  const find = (id) => faults.find((fault) => String(fault.id) === id);
  const when = ({ onset_s: onset, end_s: end, at_altitude_ft: feet }) => {
    if (none(onset)) return none(feet) ? "not come yet" : `comes at ${Math.round(feet).toLocaleString("en-US")} ft`;
    return `from ${clock(onset)}${none(end) ? " on" : ` to ${clock(end)}`}`;
  };
  const called = (fault, i) => `${i + 1} ${fault.title}${fault.where && fault.where !== "all" ? `, ${plain(fault.where)}` : ""}`;

  async function send(id) {
    clearTimeout(timer);
    timer = 0;
    const fault = find(id);
    if (fault) {
      const end = none(fault.end_s) ? {} : { end_s: fault.end_s };
      const done = await bench.act("move_fault", { fault: id, onset_s: fault.onset_s, ...end });
      if (!timer) moving = "";
      if (!done) set(bench.timeline.faults); // it stays where it was
    }
  }

  const later = (id) => {
    clearTimeout(timer);
    if (moving && moving !== id) send(moving);
    moving = id;
    timer = setTimeout(() => send(id), WAIT_MS);
  };

  // Moves the whole fault, or its end, by so much; it never ends before it begins.
  function shift(fault, by, end) {
    if (none(fault.onset_s)) return;
    if (end) fault.end_s = Math.max((none(fault.end_s) ? leaf.start + leaf.span : fault.end_s) + by, fault.onset_s + FINE_S);
    else {
      const to = Math.max(fault.onset_s + by, 0);
      if (!none(fault.end_s)) fault.end_s += to - fault.onset_s;
      fault.onset_s = to;
    }
    layOut();
    fill();
  }

  function keyed(event, id, end) {
    const fault = find(id);
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      if (timer) send(moving);
      bench.act("lift", { fault: id });
      return;
    }
    const by = STEPS[event.key];
    if (!by || !fault) return;
    event.preventDefault();
    shift(fault, by * (event.shiftKey ? 10 : 1), end);
    later(id);
  }

  function grab(event, id, end) {
    if (event.button !== 0) return;
    const fault = find(id);
    if (!fault || none(fault.onset_s)) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    drag = { id, end, x: event.clientX, moved: false };
  }

  function pull(event) {
    if (!drag) return;
    const by = ((event.clientX - drag.x) / holder.clientWidth) * leaf.span;
    if (!drag.moved && Math.abs(event.clientX - drag.x) < 3) return;
    drag.moved = true;
    drag.x = event.clientX;
    shift(find(drag.id), by, drag.end);
  }

  function drop() {
    if (!drag) return;
    const { id, moved } = drag;
    drag = null;
    if (!moved) return;
    moving = id;
    send(id);
  }

  function slider(id, class_, end) {
    const bar = make("div", { class: class_, role: "slider", tabindex: "0", "aria-orientation": "horizontal" });
    bar.addEventListener("keydown", (event) => keyed(event, id, end));
    bar.addEventListener("pointerdown", (event) => grab(event, id, end));
    bar.addEventListener("pointermove", pull);
    bar.addEventListener("pointerup", drop);
    bar.addEventListener("pointercancel", drop);
    bar.addEventListener("focus", () => choose(id));
    bar.addEventListener("click", () => choose(id));
    return bar;
  }

  function layOut() {
    faults.forEach((fault, i) => {
      const row = rows.get(String(fault.id));
      if (!row) return;
      const waiting = none(fault.onset_s);
      const a = Math.min(Math.max(waiting ? 1 : share(fault.onset_s), 0), 1);
      const b = Math.min(Math.max(none(fault.end_s) ? 1 : share(fault.end_s), 0), 1);
      row.bar.style.left = `${a * 100}%`;
      row.bar.style.width = `${Math.max(b - a, 0) * 100}%`;
      row.end.style.left = `${b * 100}%`;
      row.end.hidden = waiting;
      row.words.textContent = called(fault, i);
      row.words.style[a > 0.5 ? "right" : "left"] = a > 0.5 ? `${(1 - a) * 100}%` : `${a * 100}%`;
      row.words.style[a > 0.5 ? "left" : "right"] = "auto";
      row.words.classList.toggle("before", a > 0.5);
      const name = `${called(fault, i)}, ${percent(fault.severity ?? 1)}`;
      const say = (element, label, value, text) => {
        element.setAttribute("aria-label", label);
        element.setAttribute("aria-valuemin", "0");
        element.setAttribute("aria-valuemax", String(Math.round(Math.max(leaf.start + leaf.span, value))));
        element.setAttribute("aria-valuenow", String(Math.round(value)));
        element.setAttribute("aria-valuetext", text);
      };
      say(row.bar, name, fault.onset_s ?? 0, when(fault));
      say(row.end, `End of ${called(fault, i)}`, fault.end_s ?? leaf.start + leaf.span, none(fault.end_s) ? "no end" : clock(fault.end_s));
      row.box.classList.toggle("chosen", String(fault.id) === chosen);
    });
  }

  function choose(id) {
    if (chosen === id) return;
    chosen = id;
    for (const [key, { box }] of rows) box.classList.toggle("chosen", key === id);
    build();
  }

  let fields = null;
  function build() {
    const fault = find(chosen);
    sheet.hidden = !fault;
    if (!fault) return;
    const entry = bench.stage.faults.find(({ name }) => name === fault.name);
    const whole = entry && !entry.severity;
    const severity = make("input", { id: "sheet-severity", type: "range", min: "0.05", max: "1", step: "0.05", disabled: whole });
    const said = make("output", { for: "sheet-severity", "aria-live": "off" });
    const begins = make("input", { id: "sheet-begins", size: "7", autocomplete: "off" });
    const ends = make("input", { id: "sheet-ends", size: "7", autocomplete: "off", placeholder: "never" });
    severity.addEventListener("input", () => { said.textContent = percent(+severity.value); });
    severity.addEventListener("change", () => bench.act("move_fault", { fault: chosen, severity: +severity.value }));
    const form = make("form", { class: "sheet-row" },
      make("b", { class: "sheet-name" }),
      make("label", { for: "sheet-severity" }, "How bad"), severity, said,
      make("label", { for: "sheet-begins" }, "begins"), begins,
      make("label", { for: "sheet-ends" }, "ends"), ends,
      make("button", {}, "Change"),
      make("button", { type: "button", onclick: () => bench.act("lift", { fault: chosen }) }, "Lift it out now"),
      make("button", { type: "button", onclick: () => bench.act("drop", { fault: chosen }) }, "As if it never was"));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const message = { fault: chosen };
      for (const [input, name] of [[begins, "onset_s"], [ends, "end_s"]]) {
        if (!input.value.trim()) continue;
        const at = secondsOf(input.value);
        if (at === null) return tell("Write times as minutes and seconds, such as 2:05.");
        message[name] = at;
      }
      bench.act("move_fault", message);
      return undefined;
    });
    fields = { form, severity, said, begins, ends };
    sheet.replaceChildren(form);
    fill();
  }

  function fill() {
    const fault = find(chosen);
    if (!fault || !fields) return;
    const i = faults.indexOf(fault);
    fields.form.querySelector(".sheet-name").textContent = called(fault, i);
    const write = (input, value) => { if (document.activeElement !== input) input.value = value; };
    write(fields.severity, fault.severity ?? 1);
    fields.said.textContent = percent(+fields.severity.value);
    write(fields.begins, none(fault.onset_s) ? "" : clock(fault.onset_s));
    write(fields.ends, none(fault.end_s) ? "" : clock(fault.end_s));
  }

  function set(given) {
    if (drag) return;
    const mine = find(moving);
    faults = given.map((fault) => (mine && String(fault.id) === moving ? { ...fault, onset_s: mine.onset_s, end_s: mine.end_s } : { ...fault }));
    const there = new Set(faults.map(({ id }) => String(id)));
    for (const [id, { box }] of rows) {
      if (there.has(id)) continue;
      box.remove();
      rows.delete(id);
    }
    for (const { id } of faults) {
      const key = String(id);
      if (rows.has(key)) continue;
      const bar = slider(key, "bar", false);
      const end = slider(key, "grip", true);
      const words = make("span", { class: "bar-words", "aria-hidden": "true" });
      const box = make("div", { class: "fault-row" }, bar, end, words);
      holder.append(box);
      rows.set(key, { box, bar, end, words });
    }
    faults.forEach(({ id }, i) => {
      const { box } = rows.get(String(id));
      if (holder.children[i] !== box) holder.insertBefore(box, holder.children[i] ?? null);
    });
    holder.classList.toggle("empty", !faults.length);
    if (chosen && !there.has(chosen)) chosen = null;
    if (!chosen || sheet.hidden || !fields) build();
    else fill();
    layOut();
  }

  return { layOut, set, dragging: () => drag !== null };
}
