// On the ground: press and hold an opening to blow, pull or lay a finger on it; the force, and how near limits are.

import { make, percent, tell } from "./words.js";

const byId = (id) => document.getElementById(id);
const KT = 1852 / 3600;
const PA_PER_INCH = 248.64; // of water at 20 degC
const HOWS = [
  ["blow", "Blow"],
  ["pull", "Pull"],
  ["finger", "Finger"],
];

// Impact pressure [Pa] as calibrated airspeed [kt]: the law of the airspeed indicator below the speed of sound.
const knotsOf = (pa) => (340.294 * Math.sqrt(5 * ((Math.max(pa, 0) / 101325 + 1) ** (2 / 7) - 1))) / KT;

export function ground(bench) {
  const holder = byId("ground");
  let force = null;
  let opening = null;
  let keep = null;
  let words = null;
  let gauges = null;
  let held = null;
  let openings = [];

  const chosen = () => openings.find(({ name }) => name === opening.value);

  function describe() {
    const inches = +force.value;
    const knots = chosen()?.ram ? `, at the inlet worth ${Math.round(knotsOf(inches * PA_PER_INCH))} kt` : "";
    words.textContent = `${inches} in of water${knots}`;
    force.setAttribute("aria-valuetext", words.textContent);
  }

  function let_go() {
    if (!held) return;
    held.button.setAttribute("aria-pressed", "false");
    bench.act("press", { opening: held.opening, how: "free" });
    held = null;
  }

  function press(button, how) {
    if (held) let_go();
    held = { button, opening: opening.value };
    button.setAttribute("aria-pressed", "true");
    bench.act("press", { opening: opening.value, how, inh2o: how === "finger" ? 0 : +force.value });
  }

  function hold(how, title) {
    const button = make("button", { type: "button", class: "hold", "aria-pressed": "false" }, title);
    button.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      button.setPointerCapture(event.pointerId);
      if (keep.checked && held?.button === button) let_go();
      else press(button, how);
    });
    for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) {
      button.addEventListener(name, () => !keep.checked && held?.button === button && let_go());
    }
    button.addEventListener("keydown", (event) => {
      if ((event.key !== " " && event.key !== "Enter") || event.repeat) return;
      event.preventDefault();
      if (keep.checked && held?.button === button) let_go();
      else press(button, how);
    });
    button.addEventListener("keyup", (event) => {
      if ((event.key === " " || event.key === "Enter") && !keep.checked) let_go();
    });
    button.addEventListener("blur", () => !keep.checked && let_go());
    button.addEventListener("contextmenu", (event) => event.preventDefault());
    return button;
  }

  return {
    stage(stage) {
      held = null;
      openings = stage.openings;
      const choices = openings.map(({ name, title }) => make("option", { value: name }, title));
      opening = make("select", { id: "ground-opening", onchange: () => { let_go(); describe(); } }, ...choices);
      force = make("input", { id: "ground-force", type: "range", min: "0.5", max: "40", step: "0.5", value: "8", oninput: describe });
      keep = make("input", { type: "checkbox", id: "ground-keep", onchange: let_go });
      words = make("output", { for: "ground-force", class: "soft", "aria-live": "off" });
      gauges = make("ul", { class: "limits", "aria-label": "How near each limit is" });
      holder.replaceChildren(
        make("div", { class: "lever" }, make("label", { for: "ground-opening" }, "Opening"), opening),
        make("div", { class: "lever" }, make("label", { for: "ground-force" }, "Force"), force),
        words,
        make("div", { class: "holds", role: "group", "aria-label": "Press and hold" }, ...HOWS.map((how) => hold(...how))),
        make("label", { class: "toggle" }, keep, " Keep it up until I press again"),
        gauges,
        make("p", { class: "soft small" }, "Only here. Never blow into or pull on a live system."),
      );
      describe();
    },
    force({ opening: name, inh2o, knots, near }) {
      const worth = knots === null || knots === undefined ? "" : `, ${Math.round(knots)} kt`;
      const now = `Now ${inh2o < -0.05 ? "−" : ""}${Math.abs(inh2o).toFixed(1)} in of water${worth} at ${openings.find((one) => one.name === name)?.title ?? name}`;
      if (held) words.textContent = now;
      else describe();
      near.forEach(({ instrument, limit, share }, i) => {
        let item = gauges.children[i];
        if (!item) {
          item = make("li", {}, make("span", {}), make("meter", { min: 0, max: 1, high: 0.8, optimum: 0 }), make("b", {}));
          gauges.append(item);
        }
        const [title, meter, said] = item.children;
        const name_ = `${instrument.replaceAll("-", " ")}, ${limit}`;
        if (title.textContent !== name_) {
          title.textContent = name_;
          meter.setAttribute("aria-label", name_);
        }
        meter.value = Math.min(Math.max(share, 0), 1);
        said.textContent = share >= 1 ? "passed" : percent(Math.max(share, 0));
        if (share >= 1 && !item.classList.contains("over")) tell(`Limit passed: ${name_}.`);
        item.classList.toggle("over", share >= 1);
      });
      while (gauges.children.length > near.length) gauges.lastElementChild.remove();
    },
  };
}
