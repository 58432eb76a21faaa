// The class corner: opening it, who is there, who has called what and when, what each is given, what is revealed.

import { show, shut } from "./desk.js";
import { clock, draw, make, percent, secondsOf, tell } from "./words.js";

const byId = (id) => document.getElementById(id);
const REVEALS = [["faults", "What was wrong"], ["wall", "The pressure wall"], ["truth", "What is true"]];
const OPEN_ANSWERS = { none: "nothing is wrong", unsure: "something, cannot say what" };

const shown = (seat, i) => seat.name || `Seat ${i + 1}`;
const initials = (words) => words.split(/\s+/).map((word) => word[0]).join("").slice(0, 3).toUpperCase();

export function classroom(bench) {
  const holder = byId("classroom");
  let room; // not known yet
  let seats = [];
  let table = null;
  let asking = null;
  let holding = null;
  let revealing = [];

  const titleOf = (name) => OPEN_ANSWERS[name] ?? bench.stage?.faults.find((fault) => fault.name === name)?.title ?? name;

  function closed() {
    holder.replaceChildren(
      make("p", {}, "Learners join from phones and laptops with a word. They see only the panel, and write down what they think is wrong before you reveal it."),
      make("button", { type: "button", class: "strong", onclick: () => bench.act("class", { open: true }) }, "Open a class"),
    );
  }

  function code({ size, path }) {
    const svg = draw("svg", { viewBox: `0 0 ${size} ${size}`, class: "qr", role: "img", "aria-label": "QR code of the address with the word" });
    svg.append(draw("rect", { width: size, height: size, class: "qr-paper" }), draw("path", { d: path, class: "qr-ink" }));
    return svg;
  }

  const button = (words, press, more = {}) => make("button", { type: "button", onclick: press, ...more }, words);

  function build() {
    const minutes = Math.round((room.expires_s ?? 0) / 60);
    const invitation = make("div", { class: "invitation" },
      room.qr ? code(room.qr) : "",
      make("dl", {},
        make("dt", {}, "Address"), make("dd", {}, room.url ?? ""),
        make("dt", {}, "Class word"), make("dd", { class: "word" }, room.word),
        make("dt", {}, "Good for"), make("dd", {}, `${minutes} min`)),
      make("p", { class: "soft" }, room.on_network ? "On this network, not encrypted: no names are needed, and nothing leaves this machine." : "On this machine only. Start ramstill live with --on-network to let others in."));
    asking = button("Ask: what is wrong?", () => bench.act("ask"), { class: "strong" });
    holding = button("Hold their panels", () => bench.act("hold", { on: !room.held }));
    revealing = REVEALS.map(([what, words]) => [what, button(words, () => bench.act("reveal", { what }))]);
    const hide = button("Nothing again", () => bench.act("reveal", { what: "nothing" }));
    table = make("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": "Who is there, and who called what" });
    holder.replaceChildren(
      invitation,
      make("div", { class: "acts" },
        make("div", { role: "group", "aria-label": "The question", class: "pair" }, asking, holding),
        make("div", { role: "group", "aria-label": "Reveal", class: "pair" }, make("span", {}, "Reveal"), ...revealing.map(([, one]) => one), hide),
        make("div", { role: "group", "aria-label": "Faults of the class", class: "pair" },
          button("Give all …", () => give("all", "all")),
          button("A different one to each", deal),
          button("All as on the bench", () => bench.act("give", { seat: "all", faults: "bench" }))),
        make("div", { role: "group", "aria-label": "The end", class: "pair" },
          button("Debrief page", () => { tell("Making the debrief page."); bench.act("debrief"); }),
          button("Close the class", () => bench.act("class", { open: false })))),
      table,
    );
    fill();
  }

  // How the question, the panels and what is revealed stand, as the server says it.
  function stands() {
    holding.setAttribute("aria-pressed", String(Boolean(room.held)));
    for (const [what, one] of revealing) one.setAttribute("aria-pressed", String((room.revealed ?? []).includes(what)));
    asking.disabled = Boolean(room.asked);
    fill();
  }

  const told = ({ own, faults }) =>
    !own ? "as on the bench" : faults?.length ? faults.map((one) => `${titleOf(one.name)}${one.onset_s === null || one.onset_s === undefined ? "" : ` from ${clock(one.onset_s)}`}`).join("; ") : "nothing";

  function fill() {
    if (!table) return;
    const heads = ["Who", "There", "Has", "Called", "At", "Would do", ""];
    const rows = seats.map((seat, i) => {
      const call = seat.calls?.at(-1);
      const answer = call?.fault ? `${titleOf(call.fault)}${call.since_s === null || call.since_s === undefined ? "" : `, since ${clock(call.since_s)}`}` : "–";
      return make("tr", {},
        make("th", { scope: "row" }, shown(seat, i)),
        make("td", {}, seat.here ? "yes" : "away"),
        make("td", {}, told(seat)),
        make("td", {}, answer),
        make("td", {}, call?.fault ? clock(call.at_s) : ""),
        make("td", { class: "would" }, call?.would_do ?? ""),
        make("td", {}, make("button", { type: "button", class: "plain", "aria-label": `Give ${shown(seat, i)} a fault`, onclick: () => give(seat.id, shown(seat, i)) }, "Give …")));
    });
    const calls = seats.filter((seat) => seat.calls?.at(-1)?.fault).length;
    const words = seats.length ? `${seats.length} there or away, ${calls} have called${room?.asked ? "; the question is open" : ""}` : "Nobody has joined yet.";
    const focus = document.activeElement?.getAttribute("aria-label");
    table.replaceChildren(
      make("table", {}, make("caption", {}, words),
        make("thead", {}, make("tr", {}, ...heads.map((head) => (head ? make("th", { scope: "col" }, head) : make("td", {}))))),
        make("tbody", {}, ...rows)));
    if (focus) [...table.querySelectorAll("button")].find((one) => one.getAttribute("aria-label") === focus)?.focus();
  }

  // A dialog: which fault somebody gets, where, how bad and when.
  function give(seat, who) {
    const fault = make("select", { id: "give-fault" }, ...bench.stage.faults.map(({ name, title }) => make("option", { value: name }, title)));
    const where = make("select", { id: "give-where" });
    const places = () => where.replaceChildren(...bench.stage.faults.find(({ name }) => name === fault.value).places.map((one) => make("option", { value: one.where }, one.title)));
    fault.addEventListener("change", places);
    places();
    const severity = make("input", { id: "give-severity", type: "range", min: "0.05", max: "1", step: "0.05", value: "1" });
    const said = make("output", { for: "give-severity", "aria-live": "off" }, "100 %");
    severity.addEventListener("input", () => { said.textContent = percent(+severity.value); });
    const at = make("input", { id: "give-at", size: "7", autocomplete: "off", placeholder: "now" });
    const send = async (faults) => {
      if (await bench.act("give", { seat, faults })) shut();
    };
    const form = make("form", { class: "rows" },
      make("div", { class: "lever" }, make("label", { for: "give-fault" }, "Fault"), fault),
      make("div", { class: "lever" }, make("label", { for: "give-where" }, "Where"), where),
      make("div", { class: "lever" }, make("label", { for: "give-severity" }, "How bad"), severity, said),
      make("div", { class: "lever" }, make("label", { for: "give-at" }, "From (m:ss)"), at),
      make("div", { class: "pair" }, make("button", { class: "strong" }, "Give it"), button("Nothing wrong", () => send([])), button("As on the bench", () => send("bench"))));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const entry = bench.stage.faults.find(({ name }) => name === fault.value);
      const onset = at.value.trim() ? secondsOf(at.value) : null;
      if (at.value.trim() && onset === null) return tell("Write the time as minutes and seconds, such as 2:05.");
      return send([{ name: fault.value, where: where.value, severity: entry.severity ? +severity.value : 1, onset_s: onset }]);
    });
    show(`Give ${who} a fault`, form);
  }

  // A fault of their own to each, none twice before all were given, all from now on.
  async function deal() {
    const all = bench.stage.faults.map((fault) => fault);
    for (let i = all.length - 1; i > 0; i -= 1) {
      const j = Math.floor(Math.random() * (i + 1));
      [all[i], all[j]] = [all[j], all[i]];
    }
    for (const [i, seat] of seats.entries()) {
      const { name, places } = all[i % all.length];
      if (!(await bench.act("give", { seat: seat.id, faults: [{ name, where: places[0].where, severity: 1, onset_s: null }] }))) return;
      if (i % 20 === 19) await new Promise((done) => { setTimeout(done, 1000); });
    }
    tell(`${seats.length} learners have a fault of their own.`);
  }

  closed();
  return {
    opened(message) {
      const open = Boolean(message.word) && message.open !== false;
      const was = room;
      room = open ? message : null;
      if (!room) {
        table = null;
        seats = [];
        bench.calls?.([]);
        return closed();
      }
      if (!was || was.word !== room.word) {
        build();
        if (was !== undefined) tell(`The class is open. Its word: ${room.word}.`);
      }
      stands();
      return undefined;
    },
    roll(message) {
      if (!room) return; // what a class that is over had written down
      seats = message.seats;
      fill();
      bench.calls?.(seats.flatMap((seat, i) => (seat.calls ?? []).slice(-1).filter((call) => call.fault).map((call) => ({ at: call.at_s, who: initials(shown(seat, i)), what: `${shown(seat, i)} called ${titleOf(call.fault)}` }))));
    },
    stage: fill,
  };
}
