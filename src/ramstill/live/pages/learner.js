// A learner's page: the panel, what the instructor reveals, and a plain form for an answer. Nothing else
// reaches it.

import { answering } from "./answering.js";
import { drawings } from "./drawings.js";
import { atTheDoor, door, sayWhy } from "./joining.js";
import { open } from "./link.js";
import { reveal } from "./revealing.js";
import { forget, keep, kept } from "./seat-token.js";
import { clock, make, place, tell } from "./words.js";

const NOT_KNOWN = 4403;
const ELSEWHERE = 4409;
const OVER = 4410;

const at = (id) => document.getElementById(id);
const views = { joining: at("joining"), seat: at("seat") };
const notices = at("notices");
const dials = at("dials");

let link = null;
let stage = null;
let moving = null;
let answer = null;
let last = null;
let revealed = null;
let wasLost = false;

function view(name) {
  for (const [one, section] of Object.entries(views)) section.hidden = one !== name;
}

// A plain banner, one for each matter; words null takes it away.
function notice(matter, words, ...more) {
  const before = notices.querySelector(`[data-matter="${matter}"]`);
  if (before && words !== null && before.firstElementChild.textContent === words) return;
  before?.remove();
  if (words === null) return;
  notices.append(make("div", { class: "banner", "data-matter": matter }, make("p", {}, words), ...more));
  tell(words);
}

const now = () => last?.time ?? stage?.now_s ?? 0;

function setUp(message) {
  stage = message;
  at("title").textContent = message.title;
  document.title = `${message.title}: your seat`;
  at("safety").textContent = [message.invented, message.safety].filter(Boolean).join(" ");
  const whose = at("whose");
  whose.hidden = false;
  whose.replaceChildren(
    message.name ? `You sit here as ${message.name}. ` : "You sit here without a name. ",
    make("button", { type: "button", class: "plain", onclick: leave }, "Leave this seat"),
  );
  dials.replaceChildren();
  for (const { svg } of message.dials) {
    const holder = make("div", { class: "dial-cell" });
    place(holder, svg);
    dials.append(holder);
  }
  for (const { title, wide, narrow } of message.walls ?? []) {
    const kinds = [["wide", wide], ["narrow", narrow]];
    const pair = kinds.map(([name, svg]) => {
      const holder = make("div", { class: name });
      place(holder, svg);
      return holder;
    });
    dials.append(make("figure", { class: "wall-cell" }, make("figcaption", {}, title || "The pressure wall"), ...pair));
  }
  moving = drawings(document, message);
  answer.list(message.answers ?? []);
  if (last) redraw(last);
}

function redraw(frame) {
  // a frame of an earlier stage may have fewer figures; those that it has stand in the same order
  if (!moving || frame.figures.length < stage.fields.length) return;
  last = frame;
  moving.move(frame);
  at("clock").textContent = clock(frame.time);
  const still = frame.held ? "held" : frame.ended ? "the flight is over" : frame.running ? "" : "standing still";
  if (at("pace").textContent !== still) at("pace").textContent = still;
}

function show(message) {
  revealed = message;
  reveal(at("revealed"), message, answer.standing(), answer.title);
  if (at("revealed").hidden) return;
  at("revealed").scrollIntoView({ block: "nearest" });
  tell("The instructor has revealed something: it stands above the panel.");
}

const heard = {
  stage: setUp,
  asked: (message) => answer.ask(message),
  called(message) {
    answer.called(message);
    if (revealed) reveal(at("revealed"), revealed, answer.standing(), answer.title);
  },
  held: ({ on }) => notice("held", on ? "The instructor holds your panel: it stands still until they let it go." : null),
  revealed: show,
  over,
};

function over() {
  forget();
  answer.shut();
  link?.close();
  notice("lost", null);
  notice("held", null);
  notice(
    "over",
    "The class is over. Nothing more comes; what you see stays until you close this page.",
    make("p", {}, make("button", { type: "button", onclick: startAgain }, "Join another class")),
  );
  at("whose").hidden = true;
}

function startAgain() {
  location.replace(location.pathname);
}

function leave() {
  forget();
  link.close();
  startAgain();
}

function state(name, code) {
  if (name === "open") {
    if (wasLost) tell("The link is back.");
    wasLost = false;
    notice("lost", null);
    return;
  }
  if (name === "lost") {
    wasLost = true;
    notice("lost", "The link is lost. Your seat and your answer are kept; this page tries again by itself.");
  }
  if (name !== "shut") return;
  if (code === OVER) over();
  else if (code === ELSEWHERE) {
    notice(
      "elsewhere",
      "This seat is open in another window.",
      make("p", {}, make("button", { type: "button", onclick: () => location.reload() }, "Use it here")),
    );
  } else if (code === NOT_KNOWN) {
    forget();
    view("joining");
    at("whose").hidden = true;
    sayWhy("Your seat is not known any more: the class is over, or another has begun. Join with its class word");
  }
}

function sit(token) {
  keep(token);
  view("seat");
  link = open("/seat/socket", { token }, {
    onSay: (message) => heard[message.say]?.(message),
    onFrame: redraw,
    onState: state,
  });
  answer = answering(at("answer"), { send: (...what) => link.send(...what) }, now);
}

at("aloud").addEventListener("click", () => {
  if (last && moving) tell(`At ${clock(last.time)}: ${moving.readings(last).join("; ")}.`);
});

door(sit);
const token = kept();
if (token) sit(token);
else {
  view("joining");
  atTheDoor();
}
