"use strict";
// Numbers in other units, and margins with other things aboard. Everything it shows is worked out as the engine does it.
const given = (id) => JSON.parse(document.getElementById(id)?.textContent ?? "null");
const units = given("units"), sums = given("what-if-sums");
let systems = units.systems;

// A whole number, and a half to the even one.
const nearest = (x) => { const low = Math.floor(x), rest = x - low; return rest < 0.5 ? low : rest > 0.5 ? low + 1 : low + (low % 2 ? 1 : 0); };
const rounded = { up: Math.ceil, down: Math.floor, near: nearest };
const inOne = (value, dimension, system, rounding, bare) => {
  if (dimension === "inflation") {
    dimension = "pressure";
    if (system !== "us") value = units.gauge * Math.ceil(value / units.gauge - 1e-6);
  }
  const row = units.rows[dimension].find(([upTo]) => upTo === null || Math.abs(value) < upTo);
  const [unit, places] = system === "us" ? row[1] : row[2];
  const scaled = Number((value / units.scales[unit] * 10 ** places).toFixed(6));
  let text = (rounded[rounding](scaled) / 10 ** places + 0).toFixed(places);
  if (unit === "in") text = text.replace(/\.0$/, "");
  return bare ? text : `${text} ${unit}`;
};
const written = (value, dimension, rounding = "near", bare = false) => {
  const own = systems === units.systems ? units.own[dimension] ?? systems : systems;  // the file's or the region's for some
  const shown = dimension === "ratio" ? own.slice(0, 1) : own;
  const [first, ...rest] = shown.map((system) => inOne(value, dimension, system, rounding, bare));
  return rest.length ? `${first} (${rest[0]})` : first;
};

const rewrite = () => {
  for (const each of document.querySelectorAll("data[data-as]")) {
    const [dimension, rounding, bare] = each.dataset.as.split(" ");
    each.textContent = written(Number(each.value), dimension, rounding, Boolean(bare));
  }
};

// A margin is a sum over the dials, or one such sum over another; its doubt is as long as the vector of its inputs' parts.
const sumsAt = (check, settings) => {
  const made = check.now.map((sum) => [...sum]);
  for (const [dial, range, low, high = low] of check.moved) {
    const { now, ranges } = sums.dials[dial], [from, to] = ranges[range], at = settings[dial];
    if (at === now || at < from || at > to) continue;
    const far = to > from ? (at - from) / (to - from) : 0;
    made.forEach((sum, s) => sum.forEach((_, i) => { sum[i] += low[s][i] * (1 - far) + high[s][i] * far; }));
  }
  return made;
};
const marginAt = (check, settings) => {
  const [part, whole] = sumsAt(check, settings);
  if (!whole) return part;
  const share = part[0] / whole[0];
  return part.map((x, i) => check.sign * (i ? (x - share * whole[i]) / whole[0] : share - check.limit));
};
const ZERO = 1e-9, spread = (parts) => 2 * Math.hypot(...parts);
const decided = (margin, doubt, failing) =>
  doubt < ZERO && Math.abs(margin) < ZERO ? "at_limit" : margin >= doubt - ZERO ? "within" : margin <= -doubt + ZERO ? failing : "too_close";
const judge = (check, settings) => {
  const [margin, ...parts] = marginAt(check, settings);
  if (check.either) { // of these two doubts the larger counts
    const [one, other] = check.either.map((i) => i - 1);
    parts[Math.abs(parts[one]) < Math.abs(parts[other]) ? one : other] = 0;
  }
  const doubt = spread(parts), verdict = decided(margin, doubt, check.failing);
  if (verdict === "too_close" && check.even) { // what axles pass on average one of them passes, however they share
    const sure = spread(parts.filter((_, i) => i !== check.even - 1));
    if (decided(margin, sure, check.failing) === check.failing) return { margin, doubt: sure, verdict: check.failing };
  }
  return { margin, doubt, verdict };
};

const whatIf = () => {
  const section = document.getElementById("what-if"), form = section.querySelector("form"), status = section.querySelector(".then");
  const every = section.querySelector('input[type="checkbox"]'), FEW = 10; // rows shown of what is within by most
  const rows = [...section.querySelectorAll("tbody tr")];
  const controls = sums.dials.map((_, i) => document.getElementById(`dial-${i}`));
  let settings = sums.dials.map((dial) => dial.now);
  const said = ({ kind, volume }, at) => kind === "tank"
    ? `${Math.round(at)} %, ${written(volume * at / 100, "volume")}` : written(at, "mass");
  const show = () => {
    sums.dials.forEach((dial, i) => {
      const output = section.querySelector(`output[for="dial-${i}"]`);
      if (!output) return;
      output.textContent = said(dial, settings[i]);
      controls[i].setAttribute("aria-valuetext", output.textContent);
    });
    const counts = {}, changed = settings.some((at, i) => at !== sums.dials[i].now);
    rows.forEach((row, i) => {
      const check = sums.checks[i], { margin, doubt, verdict } = judge(check, settings), cell = row.cells[2];
      counts[verdict] = (counts[verdict] ?? 0) + 1;
      const [word, mark] = sums.verdicts[verdict], known = doubt >= ZERO ? ` ± ${written(doubt, check.dimension, "up")}` : "";
      cell.className = `cell v-${verdict}`;
      cell.querySelector(".mark").textContent = mark;
      cell.lastChild.textContent = ` ${word}: ${written(margin, check.dimension, "down")}${known}`;
      row.classList.toggle("turned", verdict !== check.verdict);
      row.hidden = !every.checked && i >= FEW && verdict === "within" && check.verdict === "within";
    });
    section.querySelector(".few").hidden = !rows.some((row) => row.hidden) && !every.checked;
    const parts = Object.entries(sums.verdicts).filter(([verdict]) => counts[verdict]).map(([verdict, [word]]) => `${counts[verdict]} ${word}`);
    status.textContent = `${changed ? "Set otherwise" : "As on file"}: of the ${rows.length} checks that follow, ${parts.join(", ")}.`;
  };
  const place = () => sums.dials.forEach((dial, i) => { controls[i].value = controls[i].type === "range" ? inSteps(dial, settings[i]) : settings[i]; });
  // A person's slider moves by whole units of the reader's; a tank's by percents.
  const stepOf = ({ kind }) => kind === "person" ? units.scales[systems[0] === "us" ? "lb" : "kg"] : 1;
  const inSteps = (dial, at) => Math.round(at / stepOf(dial));
  const fit = () => sums.dials.forEach((dial, i) => { if (dial.kind === "person") controls[i].max = Math.floor(dial.ranges.at(-1)[1] / stepOf(dial)); });
  every.addEventListener("change", () => show());
  form.addEventListener("input", (event) => {
    const i = controls.indexOf(event.target), dial = sums.dials[i], set = Number(event.target.value);
    settings[i] = dial.kind !== "thing" && set === inSteps(dial, dial.now) ? dial.now : set * (dial.kind === "person" ? stepOf(dial) : 1);
    show();
  });
  form.addEventListener("reset", (event) => { event.preventDefault(); settings = sums.dials.map((dial) => dial.now); place(); show(); });
  form.addEventListener("submit", (event) => event.preventDefault());
  section.hidden = false;
  return () => { fit(); place(); show(); };
};

// A word as another region says it, in the form that it has there; what no region says otherwise is said alike in all.
const vocabularies = given("vocabularies"), own = new Map();
const glossary = document.querySelector("#glossary dl"), asReported = [...glossary.children];
// What the words of a region mean that stand on the page and are not those of no region.
const explain = (region) => {
  const rows = Object.entries(given("explained")).map(([term, meaning]) => {
    const said = vocabularies[term][region], row = document.createElement("div");
    if (!said || said[0] === vocabularies[term].neutral[0] || !document.querySelector(`.findings span[data-word^="${term} "]`)) return null;
    for (const [name, text] of [["dt", said[3] || said[0]], ["dd", meaning]]) row.appendChild(document.createElement(name)).textContent = text;
    return row;
  });
  glossary.replaceChildren(...(region ? rows.filter(Boolean) : asReported));
  glossary.parentElement.hidden = !glossary.children.length;
};
const resay = (region) => {
  for (const each of document.querySelectorAll("span[data-word]")) {
    if (!own.has(each)) own.set(each, each.textContent);
    const [term, form] = each.dataset.word.split(" "), said = vocabularies[term];
    const [one, many] = said[region] ?? said.neutral, plain = form.endsWith("s") ? many : one;
    each.textContent = !region ? own.get(each) : form.startsWith("W") ? plain[0].toUpperCase() + plain.slice(1) : plain;
  }
  for (const each of document.querySelectorAll("span[data-label]")) {
    if (!own.has(each)) own.set(each, each.hidden);
    const label = each.textContent.slice(2, -1), terms = each.dataset.label.split(".").map((term) => vocabularies[term]);
    const told = terms.some((said) => { const [one, , field] = said[region] ?? said.neutral; return label === one || label === field; });
    each.hidden = region ? told : own.get(each);
  }
  explain(region);
};

const again = sums ? whatIf() : () => {};
again();
const choices = document.getElementById("as-read");
choices.elements.units.addEventListener("change", (event) => {
  systems = event.target.value ? event.target.value.split(" ") : units.systems;
  rewrite();
  again();
});
choices.elements.words.addEventListener("change", (event) => resay(event.target.value));
addEventListener("pageshow", () => { // a browser that comes back to a page may put fields as they were left
  choices.reset();
  systems = units.systems;
  rewrite();
  resay("");
  again();
});
choices.addEventListener("submit", (event) => event.preventDefault());
choices.hidden = false;
