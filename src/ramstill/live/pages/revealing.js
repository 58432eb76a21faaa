// What the instructor let the class see: what was laid on this panel, beside what was written down.

import { clock, make, place as draw } from "./words.js";

const until = ({ end_s }) => (end_s === null || end_s === undefined ? "" : `, gone at ${clock(end_s)}`);
const since = ({ onset_s }) => {
  if (onset_s === null) return "not yet come";
  return onset_s <= 0 ? "there before the start" : `from ${clock(onset_s)}`;
};
const place = ({ where }) => (where ? `, ${where.replaceAll("-", " ")}` : "");

function whatItWas(faults, mine, title) {
  const beside = mine
    ? `You wrote down at ${clock(mine.at_s)}: ${title(mine.fault)}${mine.since_s === null ? "" : `, since ${clock(mine.since_s)}`}.`
    : "You wrote nothing down.";
  const list = make("ul", { class: "it" });
  for (const fault of faults) {
    const named = make("strong", {}, fault.title ?? title(fault.name));
    list.append(make("li", {}, named, `${place(fault)}: ${since(fault)}${until(fault)}`));
  }
  return [
    make("h2", {}, "What it was"),
    faults.length ? list : make("p", { class: "it" }, "Nothing was wrong with this airplane."),
    make("p", {}, beside),
  ];
}

function truths(rows) {
  const cells = (tag, row) => row.map((words, i) => make(i ? tag : "th", i ? {} : { scope: "row" }, words));
  const heads = ["what", "shows", "is true"].map((words) => make("th", { scope: "col" }, words));
  return make(
    "table",
    {},
    make("caption", {}, "What is true, when it was revealed"),
    make("thead", {}, make("tr", {}, ...heads)),
    make("tbody", {}, ...rows.map((row) => make("tr", {}, ...cells("td", [row.title, row.shown, row.true])))),
  );
}

function wall({ title, wide, narrow }) {
  const figure = make("figure", {}, make("figcaption", {}, title || "The pressure wall, when it was revealed"));
  for (const [kind, svg] of Object.entries({ wide, narrow })) {
    if (!svg) continue;
    const holder = make("div", { class: kind });
    draw(holder, svg);
    figure.append(holder);
  }
  return figure;
}

// holder: the section; message: of the server; mine: what was written down, or null; title(name).
export function reveal(holder, message, mine, title) {
  const what = [message.what ?? []].flat().filter((one) => one !== "nothing");
  const parts = what.includes("faults") ? whatItWas(message.faults ?? [], mine, title) : [];
  if (message.truth?.length) parts.push(truths(message.truth));
  for (const one of message.walls ?? []) parts.push(wall(one));
  holder.hidden = !parts.length;
  holder.replaceChildren(...parts);
}
