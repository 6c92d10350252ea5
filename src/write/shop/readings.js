/* Readings in words: what a question asks, what an answer shows, and what a person may say of it. */

function stateWords(model, state) {
  return state < 0 ? "" : ", " + model.states[state].name;
}

function minutesWords(minutes) {
  return "about " + Math.round(minutes) + " min";
}

/** What to do, as one sentence of parts. */
function questionWords(model, question) {
  const state = stateWords(model, question.state);
  const pin = () => link("pin", model.pins[question.id].name);
  const device = () => link("device", model.devices[question.id].name);
  switch (question.ask) {
    case ASK.volts: return ["Volts from ", pin(), " to the battery's earthed post, everything plugged in" + state];
    case ASK.runs: return ["Look at ", device(), state];
    case ASK.warm: return ["Feel the fuse ", device(), state];
    case ASK.look: return ["Look and listen what everything does" + state];
    case ASK.fuse: return ["Is the fuse ", device(), " blown?"];
    case ASK.panel: return ["Look at all fuses at ", said(model.places[question.id].text || model.places[question.id].name)];
    case ASK.refit: return ["A new fuse in ", device(), ", better a test lamp in its place, then through all states"];
    case ASK.search: return ["Search for the short behind ", device(), ": power off, fuses out, ohm-meter from behind it to chassis, " +
      "work the switches, pull the plugs that hang there one after the other until the short goes"];
    case ASK.wire: return ["Ohms of ", link("wire", model.wires[question.id].number, "wire " + model.wires[question.id].number),
      " from end to end, power off, both ends off"];
    case ASK.leak: return leakWords(model, question.id);
    case ASK.between: return ["Ohms from ", pin(), " to ", link("pin", lowOf(model, question.id).name),
      ", the other line of the data link, power off, everything plugged in"];
    case ASK.link: return ["Is ", device(), " heard on the data link?"];
    case ASK.gauge: return ["Look at the gauge ", device(), state];
    default: return ["Ohms inside ", device(), ", unplugged, cold"];
  }
}

function leakWords(model, id) {
  const wire = model.wires[id >> 1], end = id % 2 === 0 ? wire.from : wire.to;
  return ["Ohms to chassis of ", link("wire", wire.number, "wire " + wire.number), ", taken off at ",
    end < 0 ? "its end" : link("pin", model.pins[end].name), ", the rest of it as it is, power off, fuses out"];
}

/** Where the hand has to go: a place of the machine; "". */
function questionPlace(model, question) {
  const at = (device) => placeWords(model, model.devices[device]);
  if (question.ask === ASK.volts || question.ask === ASK.between) return at(model.pins[question.id].device);
  if (question.ask === ASK.look || question.ask === ASK.panel || question.ask === ASK.wire || question.ask === ASK.leak) return "";
  return at(question.id);
}

const RUN_WORDS = ["dead", "weak", "runs"];

/** Words for an answer that is a number of a list. */
const ANSWER_LISTS = { [ASK.runs]: RUN_WORDS, [ASK.warm]: ["cold", "warm"], [ASK.fuse]: ["good", "blown"], [ASK.link]: ["heard", "not heard"] };

function answerWords(model, table, number, answer) {
  const { ask } = table.questions[number];
  if (answer === UNKNOWN) return "not known";
  if (ANSWER_LISTS[ask]) return ANSWER_LISTS[ask][answer];
  switch (ask) {
    case ASK.volts: return answer === OPEN ? "open (0 V)" : voltsWords(answer * table.volt);
    case ASK.gauge: return gaugeWords(table, table.questions[number], answer);
    case ASK.look: return answer === 0 ? "all as it should be" : "something not as it should be (sight " + answer + ")";
    case ASK.panel: return answer === 0 ? "none blown" : "some blown (sight " + answer + ")";
    case ASK.refit: return answer === 0 ? "it holds" : "blows in " + model.states[answer - 1].name;
    case ASK.search: return searchWords(model, answer);
    default: return ohmsWords(table, answer);
  }
}

function searchWords(model, answer) {
  if (answer === 0) return "no short";
  if (answer <= model.wires.length) return "in wire " + model.wires[answer - 1].number + " and what is spliced to it";
  return "in " + model.devices[answer - 1 - model.wires.length].name + " or its plug";
}

/** Its figure, or what the needle does when it has none. */
function gaugeWords(table, question, answer) {
  const gauge = table.gauges.get(question.id), [first, ...more] = gauge === undefined ? [NaN] : gauge.answers;
  const inside = answer === OPEN ? NaN : Math.min(Math.max(answer, Math.min(first, ...more)), Math.max(first, ...more));
  const figure = gauge === undefined ? NaN : alongScale(gauge.answers, gauge.shown, inside);
  return Number.isNaN(figure) ? NEEDLE_WORDS[needleOf(table, question, answer)] : String(Number(figure.toPrecision(2))) + " " + gauge.unit;
}

function voltsWords(volts) {
  if (Math.abs(volts) < 0.005) return "0 V";
  return volts.toFixed(Math.abs(volts) < 0.995 ? 2 : 1) + " V";
}

function ohmsWords(table, answer) {
  const ohms = 10 ** (answer / 1000);
  if (answer >= ohmsAnswer(table, Infinity)) return "open";
  if (ohms >= 1000) return String(Number((ohms / 1000).toPrecision(2))) + " kohm";
  return String(Number(Math.max(ohms - likelyOf(table, "LEADS"), 0).toPrecision(ohms < 10 ? 1 : 2))) + " ohm";
}

/** A number as people type it: "9,8", "0.4 V", "open"; NaN when it is none. */
function readNumber(typed) {
  const words = typed.trim().toLowerCase().replace(",", ".");
  if (/^(open|ol|o\.l\.?|infinite)$/.test(words)) return Infinity;
  const match = /^([-+]?(?:\d+\.?\d*|\.\d+))\s*(k|m)?\s*(?:v|volts?|ohms?)?$/.exec(words);
  if (match === null) return NaN;
  return Number(match[1]) * ({ k: 1e3, m: 1e6 }[match[2]] || 1);
}
