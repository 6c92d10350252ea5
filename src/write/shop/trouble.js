/* What is wrong: what the person has seen and measured, the suspects it leaves, and the reading to take next. */

const SHOWN_GROUPS = 6;

function newTrouble() {
  return { evidences: [], table: null, failed: "" };
}

/** Evidence with the words it is listed by. */
function sayEvidence(page, kind, question, value, words, other = -1) {
  const asShould = kind === "runs" && page.trouble.table.questions[question].healthy === value;
  page.trouble.evidences.push({ said: kind, question, other, value, words, asShould });
}

function troubleView(page) {
  const { model, trouble } = page;
  const parts = [make("h2", null, "What is wrong?"), make("p", { class: "care" },
    "It helps to think; it proves nothing. Before you part a connector: key off, battery disconnect open, wait for the controllers to shut down. " +
    "Block the machine, never bridge an interlock, keep away from fan, belts and fuel lines. The makers' papers and local codes come first.")];
  const view = { title: "What is wrong?", parts, lit: new Set(), first: [] };
  if (trouble.table === null) {
    parts.push(make("p", { role: "status" }, trouble.failed || "Reading the table of faults ..."));
    return view;
  }
  parts.push(knownList(page), addForm(page));
  if (trouble.evidences.length === 0) {
    parts.push(make("p", null, "Say first what you see: what does not work, or a reading that is not as the pin's page says. The suspects follow."));
    return view;
  }
  const verdict = weigh(trouble.table, trouble.evidences);
  parts.push(...verdictParts(page, verdict), ...nextParts(page, verdict));
  const head = verdict.list[0].suspect;
  if (head.wire >= 0) view.lit = new Set([model.wires[head.wire].number]);
  view.first = Array.from(view.lit);
  return view;
}

/* ---- what is known ---- */

function knownList(page) {
  const { trouble } = page;
  if (trouble.evidences.length === 0) return make("p", null, "Nothing is said yet.");
  const item = (evidence) => make("li", null, said(evidence.words), " ", button("Take back", () => {
    trouble.evidences.splice(trouble.evidences.indexOf(evidence), 1);
    show(page, false);
  }, evidence.words));
  const plain = trouble.evidences.filter((evidence) => evidence.said !== "seen" && evidence.asShould !== true);
  const usual = trouble.evidences.filter((evidence) => evidence.asShould === true);
  return make("section", { "aria-label": "What you know so far" }, make("h3", null, "What you know so far"),
    make("ol", { class: "known" }, ...plain.map(item)),
    usual.length === 0 ? null : make("details", null, make("summary", null, "As it should be: " + usual.length),
      make("ul", { class: "known" }, ...usual.map(item))),
    button("Start again", () => { trouble.evidences.length = 0; show(page, false); }));
}

function button(words, act, about) {
  const element = make("button", { type: "button", "aria-label": about ? words + ": " + about : null }, words);
  element.addEventListener("click", act);
  return element;
}

function field(id, label, input) {
  input.setAttribute("id", id);
  return make("p", { class: "field" }, make("label", { for: id }, label), input);
}

function choose(options) {
  return make("select", null, ...options.map(([value, words]) => make("option", { value: String(value) }, words)));
}

/* ---- saying something ---- */

function addForm(page) {
  const kinds = kindsOf(page);
  const kind = choose(Object.entries(kinds).map(([name, one]) => [name, one.words]));
  const body = make("div"), told = make("p", { role: "alert", class: "wrong" });
  let inputs = [];
  const fill = () => {
    inputs = Object.entries(kinds[kind.value].fields()).map(([name, [label, input]]) => [name, label, input]);
    body.replaceChildren(...inputs.map(([name, label, input]) => field("say-" + name, label, input)));
    told.textContent = "";
  };
  const form = make("form", { class: "say", "aria-label": "Say what you see or measure" }, make("h3", null, "Say what you see or measure"),
    field("say-kind", "What is it", kind), body, make("button", { type: "submit" }, "Add"), told);
  kind.addEventListener("change", fill);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const value = {};
    for (const [name, , input] of inputs) value[name] = input.tagName === "SELECT" ? Number(input.value) : input.value.trim();
    told.textContent = kinds[kind.value].take(value);
    if (told.textContent === "") showAgain(page);
  });
  fill();
  return form;
}

/** The view anew, at the suspects. */
function showAgain(page) {
  show(page, false);
  const heading = document.getElementById("suspects");
  if (heading === null) return;
  heading.focus({ preventScroll: true });
  heading.scrollIntoView();
}

/* ---- the suspects ---- */

function groupsOf(verdict) {
  const groups = [];
  for (const ranked of verdict.list) {
    if (ranked.group < 0) break;
    if (groups[ranked.group] === undefined) groups[ranked.group] = [];
    groups[ranked.group].push(ranked);
  }
  return groups.sort((a, b) => weightOf(b) - weightOf(a));
}

function weightOf(group) {
  return group.reduce((sum, ranked) => sum + ranked.weight, 0);
}

function shareWords(weight) {
  return weight >= 0.995 ? "over 99 %" : weight < 0.01 ? "under 1 %" : Math.round(weight * 100) + " %";
}

function suspectLink(model, suspect) {
  if (suspect.wire >= 0) return link("wire", model.wires[suspect.wire].number, suspect.text);
  if (suspect.connector >= 0) return link("connector", connectorName(model, model.connectors[suspect.connector]), suspect.text);
  if (suspect.device >= 0) return link("device", model.devices[suspect.device].name, suspect.text);
  return said(suspect.text);
}

function verdictParts(page, verdict) {
  const groups = groupsOf(verdict), best = verdict.list[0];
  const against = best.against.map((evidence) => evidence.words);
  const words = verdict.certain ? "That is it, as far as readings can say: any " + verdict.borne + " of them may be wrong and it would still be."
    : verdict.healthy ? "A machine with nothing broken explains this, too: say what is not as it should be."
      : against.length > 0 ? "No single fault explains everything. The best does not explain: " + against.join("; ") + ". Read that again."
        : verdict.likely ? borneWords(verdict.borne) : "";
  return [
    make("h3", { id: "suspects", tabindex: "-1" }, "Suspects"),
    words === "" ? make("p", null, "Most likely first.") : make("p", { class: verdict.certain ? "" : "care" }, said(words)),
    make("ol", { class: "suspects" }, ...groups.slice(0, SHOWN_GROUPS).map((group) => groupItem(page.model, group))),
    groups.length > SHOWN_GROUPS ? make("p", null, "And " + (groups.length - SHOWN_GROUPS) + " less likely ones.") : make("p")];
}

/** One has nearly all the weight; how much that may be trusted. */
function borneWords(borne) {
  return "Likely, but not certain: " + (borne === 0 ? "one wrong reading could make it so." : borne === 1 ? "two wrong readings could make it so."
    : borne + 1 + " wrong readings could make it so.");
}

function groupItem(model, group) {
  const weight = weightOf(group);
  const lines = group.slice(0, 4).map((ranked) => make("div", null, suspectLink(model, ranked.suspect),
    ranked.suspect.where === "" ? "" : " (" + ranked.suspect.where + ")"));
  const notes = [];
  if (group.length > 4) notes.push("and " + (group.length - 4) + " more like it");
  if (group.length > 1) notes.push("no reading here tells these apart");
  if (group[0].against.length > 0) notes.push("does not explain " + group[0].against.map((evidence) => evidence.words).join("; "));
  const bar = make("progress", { max: "1", value: String(weight), "aria-label": shareWords(weight) });
  return make("li", null, make("b", null, shareWords(weight)), " ", bar, ...lines,
    notes.length === 0 ? null : make("small", null, said(notes.join("; "))));
}

/* ---- the next reading ---- */

function nextParts(page, verdict) {
  const { table, evidences } = page.trouble;
  const next = nextReadings(table, evidences, verdict, 3);
  if (next.length === 0) return [make("p", null, verdict.certain ? "Mend it, then look again whether everything works." : "No further reading tells more.")];
  return [make("h3", null, next[0].again ? "Take this reading once more" : next[0].sure ? "To be sure, take this reading next" : "Take this reading next"),
    nextReading(page, verdict, next[0].question, "next"),
    next.length === 1 ? null : folded("Or, almost as good", () => next.slice(1).map((one, i) => nextReading(page, verdict, one.question, "or" + i)))
  ].filter((part) => part !== null);
}

function nextReading(page, verdict, number, id) {
  const { model, trouble: { table } } = page, question = table.questions[number];
  const groups = groupsOf(verdict).slice(0, SHOWN_GROUPS);
  const shown = (suspect) => answerWords(model, table, number, answerOf(table, heaviestVariant(table, suspect, verdict.shares), number));
  const rows = () => groups.map((group) => [said(group[0].suspect.text), shown(group[0].suspect)])
    .concat([["nothing broken", answerWords(model, table, number, question.healthy)]]);
  const place = questionPlace(model, question);
  return make("section", { class: "next" },
    make("p", null, ...questionWords(model, question), ". ", make("small", null, (place === "" ? "" : place + "; ") + minutesWords(question.minutes))),
    answerForm(page, number, id),
    folded("What each would show", () => [makeTable("What each suspect would show", ["Suspect", "Shows"], rows())]));
}

/** By the number of what is asked. */
const SAID = ["volts", "runs", "warm", "seen", "fuse", "seen", "found", "found", "ohms", "ohms", "ohms", "ohms", "link", "needle"];

function answerForm(page, number, id) {
  const { model, trouble: { table } } = page, { ask } = table.questions[number];
  if (ask === ASK.look || ask === ASK.panel) return lookForm(page, number, id);
  const told = make("p", { role: "alert", class: "wrong" });
  const options = optionsOf(model, table, number);
  const input = options === null ? make("input", { inputmode: ask === ASK.volts ? "decimal" : null, autocomplete: "off" }) : choose(options);
  const label = options !== null ? "You found" : ask === ASK.volts ? "Volts" : "Ohms (or open)";
  const form = make("form", { class: "answer" }, field(id, label, input),
    make("button", { type: "submit" }, "Add"), told);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const value = options === null ? readNumber(input.value) : Number(input.value);
    if (Number.isNaN(value) || (ask === ASK.volts && !Number.isFinite(value))) {
      told.textContent = ask === ASK.volts ? "Volts are a number, for example 9.8." : "Ohms are a number, or the word open.";
      return;
    }
    const shown = options === null ? input.value.trim() + (ask === ASK.volts ? " V" : " ohm") : options.find(([answer]) => answer === value)[1];
    const needle = ask === ASK.gauge ? needleSaid(table, number, value) : value;
    sayEvidence(page, SAID[ask], number, needle, make("p", null, ...questionWords(model, table.questions[number])).textContent + ": " + shown);
    showAgain(page);
  });
  return form;
}

/** What may be found, where it is not a number: [[answer, words]]; null where it is one. */
function optionsOf(model, table, number) {
  const { ask } = table.questions[number];
  if (ask === ASK.volts || isOhms(ask)) return null;
  if (ask === ASK.gauge) return NEEDLE_WORDS.map((words, i) => [i, words]);
  const answers = new Set([table.questions[number].healthy]);
  for (const variant of table.variants) answers.add(answerOf(table, variant, number));
  answers.delete(UNKNOWN);
  if (ask === ASK.runs) [0, 1, 2].forEach((answer) => answers.add(answer));
  if (ask === ASK.fuse || ask === ASK.warm) [0, 1].forEach((answer) => answers.add(answer));
  return Array.from(answers).sort((a, b) => a - b).map((answer) => [answer, answerWords(model, table, number, answer)]);
}

/** What is seen at one look: [{question, at: its number}]. */
function partsOf(model, table, number) {
  const look = table.questions[number], ask = look.ask === ASK.look ? ASK.runs : ASK.fuse, relays = new Set(["relay", "module"]);
  return table.questions.map((question, at) => ({ question, at })).filter(({ question }) => question.ask === ask && question.state === look.state &&
    (ask === ASK.runs ? !relays.has(model.devices[question.id].kind) : model.devices[question.id].place === look.id));
}

/** A look at everything in a state, or at all fuses of a place: each as it should be, unless said otherwise. */
function lookForm(page, number, id) {
  const { model, trouble: { table, evidences } } = page, look = table.questions[number];
  const ask = look.ask === ASK.look ? ASK.runs : ASK.fuse;
  const parts = partsOf(model, table, number);
  const words = ask === ASK.runs ? RUN_WORDS : ["good", "blown"];
  const boxes = parts.map(({ question, at }) => ({ question, at, select: null }));
  const fill = () => boxes.map((box, i) => {
    const { question } = box;
    box.select = choose(words.map((word, at) => [at, word + (at === question.healthy ? " (as it should)" : "")]));
    box.select.value = String(question.healthy);
    return field(id + "-" + i, deviceWords(model.devices[question.id]), box.select);
  });
  const take = (asShould) => {
    evidences.push({ said: "seen", question: number, other: -1, value: 0, words: "" });
    for (const { question, at, select } of boxes) {
      if (question.healthy === UNKNOWN) continue;
      const value = asShould || select === null ? question.healthy : Number(select.value);
      sayEvidence(page, ask === ASK.runs ? "runs" : "fuse", at, value, model.devices[question.id].name + " " + words[value] + stateWords(model, look.state));
    }
    showAgain(page);
  };
  const form = make("form", { class: "answer" }, button("All is as it should be", () => take(true)),
    folded("Something is not", () => [make("p", null, "Change what is not as it should be, then add it all."), ...fill(),
      make("button", { type: "submit" }, "Add what you saw")]));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    take(false);
  });
  return form;
}

/** Reads the table once; the view follows when it is there. */
async function openTrouble(page) {
  const { trouble } = page;
  if (trouble.table !== null || trouble.failed !== "") return;
  try {
    trouble.table = await readTable(await unpackText(document.getElementById("faults").textContent));
    window.setTimeout(() => nextReadings(trouble.table, [], weigh(trouble.table, []), 1));  // the first answer is then as quick as the others
  } catch (error) {
    trouble.failed = "The table of faults cannot be read here (" + error.message + "). Use a newer browser, or the command suspect.";
  }
  if (readAddress().kind === "trouble") show(page, false);
}
