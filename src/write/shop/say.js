/* What a person may say of the machine: the same kinds of reading as the command takes, each with its fields and how it becomes evidence. */

const NEEDLE_WORDS = ["nothing", "low", "as it should", "high"];

function deviceWords(device) {
  return device.name + (device.text === "" ? "" : ", " + device.text);
}

/** A box to type in; nothing is corrected or remembered. */
function inputBox(mode) {
  return make("input", { inputmode: mode || null, autocapitalize: "off", autocomplete: "off", spellcheck: "false" });
}

/** By name, the case of a letter does not matter. */
function findNamed(map, name) {
  if (map.has(name)) return map.get(name);
  const small = name.toLowerCase();
  return Array.from(map).find(([key]) => key.toLowerCase() === small)?.[1];
}

/** Why this cannot be said, in words; "" when it is said. */
const NOT_HERE = "This tells nothing here: the machine as described gives no figure for it.";
const NO_OHMS = "Ohms are a number, or the word open.";

/** {name: {words, fields(), take(values)}}; take returns an error in words, or "". */
function kindsOf(page) {
  const kinds = { ...kindsSeen(page), ...kindsRead(page), ...kindsSearched(page) };
  return Object.fromEntries(Object.entries(kinds).filter(([, one]) => one !== null));
}

/** The state said last is offered first: readings are taken several in one state. */
function chooseState(page) {
  const select = choose(page.model.states.map((state, i) => [i, state.name + (state.text === "" ? "" : ": " + state.text)]));
  select.value = String(page.trouble.lastState || 0);
  select.addEventListener("change", () => { page.trouble.lastState = Number(select.value); });
  return select;
}

/** What the kinds share: lists to choose from, and saying it. */
function sayingTools(page) {
  const { model, trouble: { table } } = page;
  const idsOf = (ask) => Array.from(new Set(table.questions.filter((question) => question.ask === ask).map((question) => question.id)));
  return {
    idsOf,
    states: () => chooseState(page),
    devices: (ask) => choose(idsOf(ask).map((id) => [id, deviceWords(model.devices[id])])),
    name: (id) => model.devices[id].name,
    pin: (name) => findNamed(model.pinByName, name),
    put(words, ask, state, id, how, value, other = -1) {
      const question = findQuestion(table, ask, state, id);
      if (question < 0) return NOT_HERE;
      sayEvidence(page, how, question, value, words, other);
      return "";
    }
  };
}

/* ---- what is seen, heard and felt ---- */

function kindsSeen(page) {
  const { model } = page, tools = sayingTools(page), { idsOf, states, devices, name, put } = tools;
  return {
    runs: {
      words: "Something works or does not",
      fields: () => ({ id: ["What", devices(ASK.runs)], state: ["When", states()],
        word: ["It is", choose([[0, "dead, dark, silent"], [1, "weak, dim, slow"], [2, "running, lit"]])] }),
      take: (value) => put(name(value.id) + " " + RUN_WORDS[value.word] + stateWords(model, value.state),
        ASK.runs, value.state, value.id, "runs", value.word)
    },
    needle: idsOf(ASK.gauge).length === 0 ? null : {
      words: "A gauge reads wrong, or nothing",
      fields: () => ({ id: ["Gauge", devices(ASK.gauge)], state: ["When", states()],
        word: ["Its needle shows", choose(NEEDLE_WORDS.map((words, i) => [i, words]))],
        read: ["Or its figure", inputBox("decimal")] }),
      take: (value) => takeNeedle(page, tools, value)
    },
    link: idsOf(ASK.link).length === 0 ? null : {
      words: "The data link is dead",
      fields: () => ({ id: ["Who", choose([[-1, "all of it"], ...idsOf(ASK.link).map((id) => [id, deviceWords(model.devices[id])])])],
        word: ["Is", choose([[1, "not heard"], [0, "heard"]])] }),
      take: (value) => takeLink(page, tools, value)
    },
    fuse: {
      words: "A fuse is blown or good",
      fields: () => ({ id: ["Fuse", devices(ASK.fuse)], word: ["It is", choose([[1, "blown"], [0, "good"]])] }),
      take: (value) => put(name(value.id) + (value.word ? " blown" : " good"), ASK.fuse, -1, value.id, "fuse", value.word)
    },
    warm: {
      words: "A fuse is warm or cold",
      fields: () => ({ id: ["Fuse", devices(ASK.warm)], state: ["When", states()], word: ["It is", choose([[1, "warm"], [0, "cold"]])] }),
      take: (value) => put(name(value.id) + (value.word ? " warm" : " cold") + stateWords(model, value.state),
        ASK.warm, value.state, value.id, "warm", value.word)
    },
    code: {
      words: "A controller has a code",
      fields: () => ({ pin: ["For which of its pins", inputBox()], state: ["When", states()], word: ["It has", choose([[1, "a code"], [0, "no code"]])] }),
      take: (value) => takeCode(model, tools, value)
    }
  };
}

/** "As it should" of a gauge that has no feed in that state is a needle that shows nothing. */
function needleSaid(table, number, word) {
  const question = table.questions[number];
  return word === 2 && question !== undefined ? needleOf(table, question, question.healthy) : word;
}

function takeNeedle(page, { put, name }, value) {
  const { model, trouble: { table } } = page, gauge = table.gauges.get(value.id), when = stateWords(model, value.state);
  if (value.read === "") {
    const needle = needleSaid(table, findQuestion(table, ASK.gauge, value.state, value.id), value.word);
    return put(name(value.id) + " reads " + NEEDLE_WORDS[value.word] + when, ASK.gauge, value.state, value.id, "needle", needle);
  }
  const figure = readNumber(value.read.replace(/[^\d.,+-].*$/, ""));
  if (gauge === undefined || !Number.isFinite(figure)) return "Choose what its needle does, or give a number of its scale.";
  const answer = alongScale(gauge.shown, gauge.answers, Math.min(Math.max(figure, Math.min(...gauge.shown)), Math.max(...gauge.shown)));
  return put(name(value.id) + " reads " + figure + " " + gauge.unit + when, ASK.gauge, value.state, value.id, "gauge",
    Math.max(10 ** (answer / 1000) - likelyOf(table, "LEADS"), 0));
}

function takeLink(page, { put, name, idsOf }, value) {
  const words = value.word ? " not heard on the data link" : " heard on the data link";
  for (const id of value.id < 0 ? idsOf(ASK.link) : [value.id]) {
    const wrong = put(name(id) + words, ASK.link, -1, id, "link", value.word);
    if (wrong !== "") return wrong;
  }
  return "";
}

function takeCode(model, { put, pin }, value) {
  const found = pin(value.pin);
  if (found === undefined) return "This harness has no pin " + value.pin + ".";
  return put((value.word ? "code " : "no code ") + found.name + stateWords(model, value.state), ASK.volts, value.state, found.id, "code", value.word);
}

/* ---- what a meter shows ---- */

function kindsRead(page) {
  const { model } = page, tools = sayingTools(page), { idsOf, states, devices, name, put } = tools;
  return {
    volts: {
      words: "Volts at a pin",
      fields: () => ({ pin: ["Pin (as on the tables, ECM.A12)", inputBox()],
        other: ["Black lead: empty is the battery's earthed post, or another pin", inputBox()],
        state: ["When", states()], read: ["Volts", inputBox("decimal")] }),
      take: (value) => takeVolts(page, tools, value)
    },
    between: idsOf(ASK.between).length === 0 ? null : {
      words: "Ohms between the lines of a data link",
      fields: () => ({ id: ["At", choose(idsOf(ASK.between).map((id) => [id, pairWords(model, id)]))],
        read: ["Ohms (or open), power off, all plugged in", inputBox()] }),
      take: (value) => takeOhms(tools, pairWords(model, value.id), ASK.between, value.id, value.read)
    },
    ohms: {
      words: "Ohms of a wire, both ends off",
      fields: () => ({ wire: ["Wire number", inputBox()], read: ["Ohms (or open)", inputBox()] }),
      take: (value) => withWire(model, value, (wire) => takeOhms(tools, "wire " + wire.number, ASK.wire, wire.id, value.read))
    },
    leak: {
      words: "Ohms to chassis of a wire, one end off",
      fields: () => ({ wire: ["Wire number", inputBox()], end: ["Taken off at its", choose([[0, "first end (from)"], [1, "second end (to)"]])],
        read: ["Ohms (or open)", inputBox()] }),
      take: (value) => withWire(model, value, (wire) => takeOhms(tools, "wire " + wire.number + " off at " + endName(model, wire, value.end) + " to chassis",
        ASK.leak, 2 * wire.id + value.end, value.read))
    },
    inside: {
      words: "Ohms inside a part, unplugged",
      fields: () => ({ id: ["Part", devices(ASK.inside)], read: ["Ohms (or open)", inputBox()] }),
      take: (value) => takeOhms({ put }, name(value.id) + " inside", ASK.inside, value.id, value.read)
    }
  };
}

function takeVolts(page, { put, pin }, value) {
  const { model, trouble: { table } } = page, found = pin(value.pin), volts = readNumber(value.read);
  const against = value.other === "" ? null : pin(value.other);
  if (found === undefined) return "This harness has no pin " + value.pin + ".";
  if (against === undefined) return "This harness has no pin " + value.other + ".";
  if (!Number.isFinite(volts)) return "Volts are a number, for example 9.8.";
  const other = against === null ? -1 : findQuestion(table, ASK.volts, value.state, against.id);
  if (against !== null && other < 0) return NOT_HERE;
  return put(found.name + (against === null ? "" : " to " + against.name) + stateWords(model, value.state) + ": " + volts + " V",
    ASK.volts, value.state, found.id, "volts", volts, other);
}

function takeOhms({ put }, words, ask, id, read) {
  const ohms = readNumber(read);
  if (Number.isNaN(ohms) || ohms < 0) return NO_OHMS;
  return put(words + ": " + (Number.isFinite(ohms) ? ohms + " ohm" : "open"), ask, -1, id, "ohms", ohms);
}

function withWire(model, value, act) {
  const wire = findNamed(model.wireByNumber, value.wire);
  return wire === undefined ? "This harness has no wire " + value.wire + "." : act(wire);
}

function endName(model, wire, end) {
  const pin = end === 0 ? wire.from : wire.to;
  return pin < 0 ? "its end" : model.pins[pin].name;
}

/** The high pin of a data link, and the low one that follows it on its device. */
function lowOf(model, high) {
  const device = model.devices[model.pins[high].device];
  return pinsOf(model, device).find((pin) => pin.id > high && pin.role === "data low") || model.pins[high];
}

function pairWords(model, high) {
  return model.pins[high].name + " to " + lowOf(model, high).name;
}

/* ---- a new fuse, a search, the rest ---- */

function kindsSearched(page) {
  const { model } = page, tools = sayingTools(page), { states, devices, name, put } = tools;
  return {
    refit: {
      words: "A new fuse blows or holds",
      fields: () => ({ id: ["Fuse", devices(ASK.refit)],
        word: ["It", choose([[0, "holds in every state"], ...model.states.map((state, i) => [i + 1, "blows in " + state.name])])] }),
      take: (value) => put("new " + name(value.id) + (value.word === 0 ? " holds" : " blows" + stateWords(model, value.word - 1)),
        ASK.refit, -1, value.id, "found", value.word)
    },
    search: {
      words: "A search for a short",
      fields: () => ({ id: ["From", devices(ASK.search)], at: ["It was in (wire number, or a device; empty: no short)", inputBox()] }),
      take: (value) => takeSearch(page, tools, value)
    },
    rest: {
      words: "All the rest is as it should be",
      fields: () => ({ state: ["When", states()] }),
      take: (value) => takeRest(page, value)
    }
  };
}

function takeSearch(page, { put, name }, value) {
  const { model, trouble: { table } } = page, from = findQuestion(table, ASK.search, -1, value.id);
  const wire = findNamed(model.wireByNumber, value.at), device = findNamed(model.deviceByName, value.at);
  if (value.at !== "" && wire === undefined && device === undefined) return "This harness has no wire or device " + value.at + ".";
  const found = value.at === "" ? 0 : wire !== undefined ? pieceOf(model, table, from, wire) : 1 + model.wires.length + device.id;
  return put("search from " + name(value.id) + ": " + (value.at === "" ? "nothing" : value.at), ASK.search, -1, value.id, "found", found);
}

/** The answer of the piece a wire belongs to: that of a chafe of it. */
function pieceOf(model, table, question, wire) {
  const answers = table.suspects.filter((suspect) => suspect.wire === wire.id).map((suspect) => answerOf(table, table.variants[suspect.first], question));
  return answers.find((answer) => answer > 0) || 1 + wire.id;
}

/** Every load of the state that nothing was said of. */
function takeRest(page, { state }) {
  const { model, trouble: { table, evidences } } = page, look = findQuestion(table, ASK.look, state, state);
  if (look < 0) return NOT_HERE;
  const told = new Set(evidences.map((evidence) => evidence.question));
  evidences.push({ said: "seen", question: look, other: -1, value: 0, words: "" });
  partsOf(model, table, look).filter(({ question, at }) => question.healthy !== UNKNOWN && !told.has(at)).forEach(({ question, at }) =>
    sayEvidence(page, "runs", at, question.healthy, model.devices[question.id].name + " " + RUN_WORDS[question.healthy] + stateWords(model, state)));
  return "";
}
