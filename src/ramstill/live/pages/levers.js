// A few levers: where they are set to, in the units of the trade. What the airplane makes of it is on the panel.

import { make, percent } from "./words.js";

const byId = (id) => document.getElementById(id);
const WAIT_MS = 80; // a lever that is being moved is sent so often at most

const FLAP = (share) => (share === 0 ? "up" : share === 1 ? "full" : percent(share));
const TITLES = {
  speed_kt: ["Airspeed", (v) => `${Math.round(v)} kt`],
  climb_fpm: ["Climb", (v) => `${v < 0 ? "−" : v > 0 ? "+" : ""}${Math.abs(Math.round(v)).toLocaleString("en-US")} ft/min`],
  altitude_ft: ["Level off", (v) => `${Math.round(v).toLocaleString("en-US")} ft`],
  flap: ["Flap", FLAP],
  gear: ["Gear", (v) => (v ? "down" : "up")],
  power: ["Power", percent],
  setting_inhg: ["Altimeter setting", (v) => `${v.toFixed(2)} inHg`],
};

export function levers(bench) {
  const form = byId("levers");
  let rows = new Map();
  let pending = {};
  let timer = 0;
  let switches = {};

  function send() {
    clearTimeout(timer);
    timer = 0;
    const message = pending;
    pending = {};
    bench.act("levers", message);
  }

  function moved(name, input, output) {
    output.textContent = TITLES[name][1](+input.value);
    input.setAttribute("aria-valuetext", output.textContent);
    if (name === "climb_fpm" && rows.has("altitude_ft")) free(rows.get("altitude_ft"));
    pending[name] = +input.value;
    timer ||= setTimeout(send, WAIT_MS);
  }

  const free = ({ input, output }) => {
    output.textContent = "let go";
    input.setAttribute("aria-valuetext", "let go");
  };

  function row(name, { low, high, step }) {
    const id = `lever-${name}`;
    const input = make("input", { id, type: "range", min: String(low), max: String(high), step: String(step) });
    const output = make("output", { for: id, "aria-live": "off" }, "–");
    input.addEventListener("input", () => moved(name, input, output));
    rows.set(name, { input, output });
    return make("div", { class: "lever" }, make("label", { for: id }, TITLES[name][0]), input, output);
  }

  function toggle(name, words, message) {
    const input = make("input", { type: "checkbox", id: `lever-${name}` });
    input.addEventListener("change", () => bench.act(name, { [message]: input.checked }));
    switches[name] = input;
    return make("label", { class: "toggle" }, input, ` ${words}`);
  }

  return {
    stage(stage) {
      rows = new Map();
      switches = {};
      const byHand = stage.mode === "levers";
      const there = byHand ? Object.keys(TITLES).filter((name) => stage.levers[name]) : [];
      byId("levers-head").textContent = byHand ? "Levers" : "Switches";
      form.replaceChildren(...there.map((name) => row(name, stage.levers[name])));
      const both = make("div", { class: "toggles" });
      if (stage.levers.heat) both.append(toggle("heat", "Inlet heat", "on"));
      if (stage.levers.alternate) both.append(toggle("alternate", "Alternate static source open", "open"));
      if (both.children.length) form.append(both);
      byId("levers-part").hidden = !form.children.length;
    },
    // How the levers stand, as the server says it; one that is under a hand is left alone.
    set(message) {
      for (const [name, { input, output }] of rows) {
        if (!(name in message) || name in pending || input.matches(":active")) continue;
        if (message[name] === null) free({ input, output });
        else {
          input.value = message[name];
          output.textContent = TITLES[name][1](message[name]);
          input.setAttribute("aria-valuetext", output.textContent);
        }
      }
      if (switches.heat && "heat" in message) switches.heat.checked = message.heat;
      if (switches.alternate && "alternate" in message) switches.alternate.checked = message.alternate;
    },
    // What was moved and is not sent yet is felt before anything else that is done.
    flush() {
      if (timer) send();
    },
  };
}
