// Dialogs: another airplane or flight, saving, and why a pointer reads what it reads.

import { clock, make, place, tell } from "./words.js";

const byId = (id) => document.getElementById(id);

// Shows the one dialog of the page with a heading and a body; gives it back.
export function show(heading, ...body) {
  const dialog = byId("dialog");
  byId("dialog-head").textContent = heading;
  byId("dialog-body").replaceChildren(...body);
  if (!dialog.open) dialog.showModal();
  return dialog;
}

export const shut = () => byId("dialog").close();

// Hands over a text that the server made, as a file.
export function download({ name, text }) {
  const kind = name.endsWith(".html") ? "text/html" : "text/plain";
  const url = URL.createObjectURL(new Blob([text], { type: `${kind};charset=utf-8` }));
  make("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
  tell(`Saved as ${name}.`);
}

export function saveDialog(bench) {
  const title = make("input", { id: "save-title", maxlength: "120", autocomplete: "off" });
  const form = make(
    "form",
    { class: "rows" },
    make("label", { for: "save-title" }, "What it is called"),
    title,
    make("p", { class: "soft" }, "The whole session becomes a scenario file, which ramstill run works out again to the same figures."),
    make("button", { class: "strong" }, "Save the scenario"),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (await bench.act("save", { title: title.value })) shut();
  });
  show("Save this session", form);
  title.focus();
}

export async function accountDialog(bench, pointer, title) {
  const body = make("div", { class: "account" }, make("p", {}, "Working it out without each part in turn …"));
  show(`Why the ${title.toLowerCase()} reads what it reads`, body);
  const found = await bench.act("account", { pointer });
  if (!found) return shut();
  const drawing = make("div", {});
  place(drawing, found.svg);
  const rows = found.lines.map(({ title: what, words }) => make("tr", {}, make("th", { scope: "row" }, what), make("td", {}, words)));
  const more = [];
  if (rows.length) more.push(make("details", {}, make("summary", {}, "The ledger in figures"), make("table", {}, make("tbody", {}, ...rows))));
  for (const words of found.words) more.push(make("p", {}, words));
  body.replaceChildren(make("p", { class: "soft" }, `At ${clock(found.at_s)}. Each bar is what one part puts into the reading; they add up to what is shown less what is true.`), drawing, ...more);
  return undefined;
}

const radio = (name, value, words, checked) => {
  const input = make("input", { type: "radio", name, value });
  input.checked = checked;
  return make("label", {}, input, ` ${words}`);
};

const options = (choices, chosen) =>
  choices.map(({ name, title }) => make("option", { value: name, selected: name === chosen }, title));

const figure = (id, words, unit) => [
  make("label", { for: id }, words),
  make("span", {}, make("input", { id, type: "number", step: "any", size: "8" }), ` ${unit}`),
];

export function setUpDialog(bench) {
  const { stage } = bench;
  if (!stage) return;
  const { airplanes, scenarios } = stage.choices;
  const airplane = make("select", { id: "set-airplane" }, ...options(airplanes, stage.airplane));
  const scenario = make("select", { id: "set-scenario" }, ...options(scenarios));
  const file = make("input", { id: "set-file", type: "file", accept: ".toml" });
  const form = make(
    "form",
    { class: "rows" },
    make("fieldset", {}, make("legend", {}, "Who flies"),
      radio("mode", "levers", "You, by the levers", stage.mode === "levers"),
      radio("mode", "ground", "Nobody: on the ground, at the openings", stage.mode === "ground"),
      radio("mode", "scenario", "A scenario: a planned or recorded flight, or a pilot", stage.mode === "scenario"),
      radio("mode", "file", "A scenario file of your own", false)),
    make("div", { class: "rows", "data-for": "levers ground" }, make("label", { for: "set-airplane" }, "Airplane"), airplane),
    make("div", { class: "rows", "data-for": "scenario" }, make("label", { for: "set-scenario" }, "Scenario"), scenario),
    make("div", { class: "rows", "data-for": "file" }, make("label", { for: "set-file" }, "File"), file),
    make("div", { class: "grid-2", "data-for": "levers" },
      ...figure("set-altitude", "Altitude", "ft"), ...figure("set-speed", "Airspeed", "kt"),
      ...figure("set-elevation", "Field elevation", "ft"), ...figure("set-setting", "Altimeter setting", "inHg"),
      make("label", { class: "whole" }, make("input", { type: "checkbox", id: "set-ground" }), " begin on the runway")),
    make("p", { class: "soft" }, "What is left empty is as usual for the airplane. What was flown so far is saved first, in the folder of the session."),
    make("button", { class: "strong" }, "Begin"),
  );
  const choose = () => {
    const mode = form.elements.mode.value;
    for (const part of form.querySelectorAll("[data-for]")) part.hidden = !part.dataset.for.split(" ").includes(mode);
  };
  form.addEventListener("change", choose);
  choose();
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const mode = form.elements.mode.value;
    const message = { mode: mode === "file" ? "scenario" : mode };
    if (mode === "scenario") message.scenario = scenario.value;
    else if (mode === "file") {
      if (!file.files.length) return tell("Choose a file first.");
      message.toml = await file.files[0].text();
    } else message.airplane = airplane.value;
    if (mode === "levers") {
      const start = { on_ground: byId("set-ground").checked };
      for (const [id, name] of [["set-altitude", "altitude_ft"], ["set-speed", "speed_kt"], ["set-elevation", "elevation_ft"], ["set-setting", "setting_inhg"]]) {
        if (byId(id).value !== "") start[name] = +byId(id).value;
      }
      message.start = start;
    }
    if (await bench.act("stage", message)) shut();
    return undefined;
  });
  show("Set up the bench", form);
}
