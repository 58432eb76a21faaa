// What a learner writes down before the reveal: which fault, since when, and what they would do now.

import { clock, make, secondsOf, tell } from "./words.js";

const LONGEST = 300;
const STEP_S = 10;

// holder: an element; link: with send(); now(): the flight's clock [s] as it is shown.
export function answering(holder, link, now) {
  let titles = new Map();
  let standing = null;
  let open = false;
  let asked = null;
  let listed = "";

  const state = make("p", { class: "asked" });
  const written = make("div", { class: "written", hidden: true });
  const which = make("select", { id: "which", required: true });
  const since = make("input", {
    id: "since", type: "text", inputmode: "numeric", autocomplete: "off", maxlength: "8", placeholder: "2:05",
    "aria-describedby": "since-help",
  });
  const doing = make("textarea", { id: "doing", rows: "3", maxlength: String(LONGEST) });
  const wrong = make("p", { class: "wrong", id: "answer-wrong", role: "alert", hidden: true });
  const put = make("button", { type: "submit", class: "main" }, "Write it down");
  const back = make("button", { type: "button", hidden: true, onclick: takeBack }, "Take it back");
  const move = (by) => () => {
    const from = secondsOf(since.value) ?? now();
    since.value = clock(Math.min(Math.max(from + by, 0), now()));
    tell(`Since ${since.value}`);
  };
  const fields = make(
    "fieldset",
    {},
    make("legend", { class: "hidden" }, "Your answer"),
    make("p", { class: "field" }, make("label", { for: "which" }, "What is wrong?"), which),
    make(
      "div",
      { class: "field" },
      make("label", { for: "since" }, "Since when?"),
      make("span", { class: "soft", id: "since-help" }, "On the flight's clock, as minutes:seconds. Leave it empty if you cannot say."),
      make(
        "div",
        { class: "row" },
        since,
        make("button", { type: "button", onclick: () => ((since.value = clock(now())), tell(`Since ${since.value}`)) }, "Now"),
        make("button", { type: "button", onclick: move(-STEP_S) }, `${STEP_S} s earlier`),
        make("button", { type: "button", onclick: move(STEP_S) }, `${STEP_S} s later`),
      ),
    ),
    make("p", { class: "field" }, make("label", { for: "doing" }, "What would you do now?"), doing),
    wrong,
    make("p", { class: "row" }, put, back),
  );
  const form = make("form", { novalidate: true, onsubmit: writeDown }, fields);
  holder.replaceChildren(state, written, form);
  show();

  function refuse(words, field) {
    wrong.textContent = words;
    wrong.hidden = false;
    for (const one of [which, since]) one.removeAttribute("aria-invalid");
    if (!field) return;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", field === since ? "since-help answer-wrong" : "answer-wrong");
    field.focus();
  }

  const allow = () => {
    wrong.hidden = true;
    for (const one of [which, since]) one.removeAttribute("aria-invalid");
    which.removeAttribute("aria-describedby");
    since.setAttribute("aria-describedby", "since-help");
  };

  async function writeDown(event) {
    event.preventDefault();
    allow();
    if (!which.value) return refuse("Choose from the list what is wrong; that nothing is wrong stands there too.", which);
    const since_s = since.value.trim() ? secondsOf(since.value) : null;
    if (since.value.trim() && since_s === null) return refuse("Write the time as minutes:seconds, such as 2:05.", since);
    if (since_s !== null && since_s > now() + 1) return refuse(`That is later than now, ${clock(now())}.`, since);
    try {
      await link.send("call", { fault: which.value, since_s, would_do: doing.value.trim() });
    } catch (error) {
      refuse(`It was not written down: ${error.message}.`, null);
    }
  }

  async function takeBack() {
    allow();
    try {
      await link.send("recall");
    } catch (error) {
      refuse(`It still stands: ${error.message}.`, null);
    }
  }

  const sinceWords = (call) => (call.since_s === null ? "" : `, since ${clock(call.since_s)}`);

  function show() {
    fields.disabled = !open;
    form.hidden = !open && standing !== null;
    put.textContent = standing ? "Write it down anew" : "Write it down";
    back.hidden = !standing || !open;
    if (open) state.textContent = "You are asked. Write down what you make of the panel; you may change it until the reveal.";
    else if (asked !== null) state.textContent = "The answers are in: nothing can be changed now.";
    else state.textContent = "Nothing is asked yet. Watch the panel.";
    written.hidden = !standing && (open || asked === null);
    written.replaceChildren();
    if (written.hidden) return;
    if (!standing) {
      written.append(make("p", {}, "You wrote nothing down."));
      return;
    }
    written.append(
      make("h3", {}, `Written down at ${clock(standing.at_s)}`),
      make("p", { class: "call" }, `${titles.get(standing.fault) ?? standing.fault}${sinceWords(standing)}`),
    );
    if (standing.would_do) written.append(make("p", { class: "would-do" }, standing.would_do));
  }

  function fill(call) {
    which.value = call.fault;
    since.value = call.since_s === null ? "" : clock(call.since_s);
    doing.value = call.would_do;
  }

  return {
    // The list, as the server has it: [{name, title, group}] in order.
    list(answers) {
      titles = new Map(answers.map(({ name, title }) => [name, title]));
      const key = JSON.stringify(answers);
      if (key === listed) return show();
      listed = key;
      const chosen = which.value;
      which.replaceChildren(make("option", { value: "" }, "Choose …"));
      let group = null;
      for (const { name, title, group: of } of answers) {
        if (!of) group = null;
        else if (group?.label !== of) which.append((group = make("optgroup", { label: of })));
        (group ?? which).append(make("option", { value: name }, title));
      }
      which.value = titles.has(chosen) ? chosen : "";
      show();
    },
    ask(message) {
      if (message.open && !open && message.round !== asked) {
        standing = null;
        fill({ fault: "", since_s: null, would_do: "" });
        if (asked !== null || message.round > 0) tell("You are asked: write down what you make of the panel.");
      } else if (!message.open && open) tell("The answers are in.");
      open = message.open;
      asked = message.round > 0 ? message.round : null;
      allow();
      show();
    },
    // What the server has; it fills the form only where nobody has begun to write.
    called({ call }) {
      const changed = JSON.stringify(call) !== JSON.stringify(standing);
      standing = call;
      if (call && !which.value && !since.value && !doing.value) fill(call);
      if (changed && open) tell(call ? `Written down at ${clock(call.at_s)}.` : "Taken back.");
      show();
    },
    shut() {
      open = false;
      show();
    },
    standing: () => standing,
    title: (name) => titles.get(name) ?? name,
  };
}
