"use strict";
(() => {
  // The arithmetic is that of BehaviourTable.weigh; the table is packed as report/behaviour_form.py says.
  const data = JSON.parse(document.getElementById("behaviours").textContent);
  const bytes = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const numbers = ({ size, bytes: text }) => {
    const raw = bytes(text);
    const found = new Uint32Array(raw.length / size);
    for (let i = 0; i < raw.length; i += 1) found[Math.floor(i / size)] += raw[i] * 256 ** (i % size);
    return found;
  };
  const table = Object.fromEntries(
    ["finding", "place", "onset", "rows", "sets", "sources"].map((name) => [name, numbers(data[name])]),
  );
  const view = new DataView(bytes(data.weights).buffer);
  const weights = Float64Array.from({ length: view.byteLength / 8 }, (_, i) => view.getFloat64(8 * i, true));
  const [P, I, B] = [data.phases.length, data.instruments.length, data.behaviours.length];
  const chance = (c, [p, i, b]) => table.rows[table.sets[table.sources[c * P + p] * I + i] * B + b] / data.finest;

  function onsetsInUse(said) {
    const order = [...new Set(said.map(([p]) => data.order.indexOf(data.phases[p])))].sort((a, b) => a - b);
    const flown = order.filter((i) => data.order[i] !== data.ground);
    const before = flown.length ? flown[0] - 1 : -1;
    if (before >= 0 && !data.standing.includes(data.order[before])) flown.unshift(before);
    return flown.map((i) => data.order[i]);
  }

  // Probability of each candidate, and of none fitting, given [phase, instrument, behaviour] each once.
  function weigh(said) {
    const used = onsetsInUse(said);
    const shares = data.onsets.map((name) => {
      if (name === "") return 1;
      if (name === data.before) return used.length ? data.beforeShare : 1;
      return used.includes(name) ? (1 - data.beforeShare) / used.length : 0;
    });
    const logs = Array.from(weights, (weight, c) =>
      said.reduce((sum, one) => sum + Math.log(chance(c, one)), Math.log(weight * shares[table.onset[c]])),
    );
    const none = said.reduce((sum, [p, i, b]) => sum + Math.log(data.noneFits[p][i][b]), Math.log(data.noneWeight));
    const most = logs.reduce((a, b) => Math.max(a, b), none);
    const parts = logs.map((log) => Math.exp(log - most));
    const rest = Math.exp(none - most);
    const total = parts.reduce((a, b) => a + b, rest);
    return { parts: parts.map((part) => part / total), none: rest / total };
  }

  const form = document.getElementById("report");
  const out = document.getElementById("reported");
  const says = document.getElementById("reported-answer");
  const list = document.getElementById("reported-rows");
  const line = document.getElementById("reported-command");
  const pattern = document.getElementById("reported-row");
  const [copy, clear] = ["copy", "clear"].map((name) => document.getElementById(name));
  const phaseBoxes = [...form.querySelectorAll("[data-phase-box]")];
  const selects = [...form.querySelectorAll("select")];

  const percent = (p) => `${p <= 0 ? "0" : p < 0.01 ? "< 1" : p > 0.99 ? "> 99" : Math.round(100 * p)} %`.replaceAll(" ", "\u00a0");

  const chosen = () =>
    selects
      .filter((select) => select.value !== "" && phaseBoxes[+select.dataset.phase].checked)
      .map((select) => [+select.dataset.phase, +select.dataset.instrument, +select.value])
      .filter((one, i, all) => all.findIndex((other) => `${other}` === `${one}`) === i);

  function commandLine(said) {
    const phases = [...new Set(said.map(([p]) => p))].sort((a, b) => a - b);
    const texts = phases.map((phase) => {
      const things = said.filter(([p]) => p === phase);
      return `${data.phases[phase]}: ${things.map(([, i, b]) => `${data.instruments[i]} ${data.behaviours[b]}`).join(", ")}`;
    });
    return `${line.dataset.command} --saw "${texts.join("; ")}"`;
  }

  function grouped({ parts }) {
    const findings = data.findings.map((finding) => ({ ...finding, probability: 0, places: new Map() }));
    parts.forEach((part, c) => {
      const finding = findings[table.finding[c]];
      const where = data.placeNames[table.place[c]];
      finding.probability += part;
      finding.places.set(where, (finding.places.get(where) ?? 0) + part);
    });
    return findings.sort((a, b) => b.probability - a.probability);
  }

  function sentence(findings, none) {
    const first = findings[0];
    const much = `(${percent(first.probability)})`;
    if (none >= first.probability) return `No fault of the catalogue explains this, alone (${percent(none)}).`;
    const clear = first.probability >= 0.5;
    if (!first.clause) return `${clear ? "Most likely" : "Perhaps"} nothing is wrong ${much}.`;
    if (clear) return `Most likely ${first.clause} ${much}.`;
    const near = findings.slice(1, 3).filter((one) => one.probability >= 0.1);
    const others = near.map((one) => `${one.low} (${percent(one.probability)})`).join(" and ");
    return `Perhaps ${first.clause} ${much}` + (others ? `, but this does not stand out: ${others} may be as well.` : "; nothing stands out.");
  }

  function places(finding) {
    const all = [...finding.places].sort((a, b) => b[1] - a[1]);
    const likely = all.filter(([, part]) => part > 0.1 * finding.probability).slice(0, 3);
    if (!finding.clause || all.length < 2 || !likely.length) return "";
    return `Where: ${likely.map(([where, part]) => `${where} (${percent(part / finding.probability)})`).join(", ")}.`;
  }

  function row({ title, probability, sentence: words = "", places: where }) {
    const made = pattern.content.cloneNode(true);
    made.querySelector("th").prepend(title);
    made.querySelector("tr").dataset.probability = probability;
    made.querySelector(".sentence").textContent = probability >= 0.05 ? words : "";
    made.querySelector(".at").textContent = probability >= 0.05 && where ? places({ clause: true, probability, places: where }) : "";
    made.querySelector(".bar-part").setAttribute("width", (100 * probability).toFixed(1));
    made.querySelector(".chance span").textContent = percent(probability);
    return made;
  }

  function show() {
    for (const box of phaseBoxes) document.getElementById(box.dataset.phaseBox).hidden = !box.checked;
    for (const select of selects.filter((one) => one.dataset.second !== undefined)) {
      const first = document.getElementById(select.dataset.second);
      select.hidden = first.value === "";
      if (select.hidden) select.value = "";
    }
    const said = chosen();
    out.hidden = said.length === 0;
    clear.disabled = said.length === 0 && !phaseBoxes.some((box) => box.checked);
    if (!said.length) {
      says.textContent = "Nothing is said yet: choose a phase, then what an instrument did in it.";
      return;
    }
    const answer = weigh(said);
    const findings = grouped(answer);
    says.textContent = sentence(findings, answer.none);
    const told = findings.filter((finding, i) => !finding.clause || finding.probability >= 0.01 || i === 0);
    const rows = [...told, { title: form.dataset.noneFits, probability: answer.none, places: null }];
    rows.sort((a, b) => b.probability - a.probability);
    list.replaceChildren(...rows.map((one) => row(one.clause ? one : { ...one, places: null })));
    line.textContent = commandLine(said);
  }

  form.addEventListener("change", show);
  clear.addEventListener("click", () => {
    for (const box of phaseBoxes) box.checked = false;
    for (const select of selects) select.value = "";
    show();
    phaseBoxes[0].focus();
  });
  copy.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(line.textContent);
      copy.textContent = "Copied";
    } catch {
      getSelection().selectAllChildren(line); // a page from a disk may not copy: it marks the line instead
      copy.textContent = "Marked: copy it";
    }
    setTimeout(() => { copy.textContent = "Copy"; }, 2000);
  });
  form.hidden = false;
  show();
})();
