// The shop page's weighing and its form for readings against the command `suspect`: random readings over a machine, said to
// both, must leave the same suspects with the same weights, equally sure, and the same readings to take next.
// node weigh_twin.mjs PINLOOM SHOP.js TEXT FOLDER-OF-ITS-BOOK SEED COUNT; prints "N passed, N failed" and what differed.
import { execFile } from "node:child_process";
import { readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { promisify } from "node:util";

const [pinloom, script, text, folder, seed, count] = process.argv.slice(2);
const AT_ONCE = 2, CLOSE = 1e-6;

/* ---- the page's functions, without a page ---- */

const html = readFileSync(join(folder, "shop.html"), "utf8");
const dataOf = (id) => new RegExp(`<script id="${id}"[^>]*>([^<]*)<`).exec(html)[1].trim();
const nothing = { textContent: "", addEventListener() {} };
const window = { atob, Blob, Response, DecompressionStream, TextDecoder, setTimeout };
const document = { getElementById: () => nothing };
const wantedNames = ["ASK", "OPEN", "readModel", "unpackText", "readTable", "kindsOf", "pairWords", "weigh", "nextReadings"];
const load = new Function("window", "document", readFileSync(script, "utf8") + `; return { ${wantedNames.join(", ")} };`);
const shop = load(window, document), { ASK, OPEN } = shop;
const model = shop.readModel(await shop.unpackText(dataOf("harness")));
const table = await shop.readTable(await shop.unpackText(dataOf("faults")));
const page = { model, trouble: { table, evidences: [], failed: "" } };
const kinds = shop.kindsOf(page);

/* ---- random readings: [kind of the form, its fields, the same in words] ---- */

let state = Number(seed) >>> 0;
function random() {  // a 32-bit linear congruential generator: Press et al., Numerical Recipes, "quick and dirty"
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  return state / 2 ** 32;
}
const below = (n) => Math.floor(random() * n);
const pick = (list) => list[below(list.length)];
const idsOf = (ask) => Array.from(new Set(table.questions.filter((question) => question.ask === ask).map((question) => question.id)));
const ids = Object.fromEntries(Object.entries(ASK).map(([name, ask]) => [name, idsOf(ask)]));
const name = (id) => model.devices[id].name;
const wired = model.pins.filter((pin) => pin.wires.length > 0);
const unfed = table.questions.filter((question) => question.ask === ASK.gauge && question.healthy === OPEN);
const when = () => below(model.states.length);
const inState = (s) => ", " + model.states[s].name;

function ohms() {
  return below(4) === 0 ? "open" : String(Number((10 ** (random() * 6 - 1)).toPrecision(3)));
}
const ohmsWords = (read) => (read === "open" ? "open" : read + " ohm");

const SAYINGS = {
  runs() {
    const id = pick(ids.runs), s = when(), word = below(3);
    return ["runs", { id, state: s, word }, name(id) + " " + ["dead", "weak", "runs"][word] + inState(s)];
  },
  needle() {
    const id = pick(ids.gauge), s = when(), word = below(4);
    return ["needle", { id, state: s, word, read: "" }, name(id) + " reads " + ["nothing", "low", "as it should", "high"][word] + inState(s)];
  },
  unfed() {  // a gauge that has no feed in that state
    const question = pick(unfed);
    return ["needle", { id: question.id, state: question.state, word: 2, read: "" }, name(question.id) + " reads as it should" + inState(question.state)];
  },
  figure() {
    const id = pick(ids.gauge), s = when(), gauge = table.gauges.get(id);
    if (gauge === undefined || gauge.unit === "") return null;
    const read = String(pick(gauge.shown));
    return ["needle", { id, state: s, word: 0, read }, name(id) + " reads " + read + " " + gauge.unit + inState(s)];
  },
  link() {
    const all = below(2) === 0, id = pick(ids.link), word = below(2);
    return ["link", { id: all ? -1 : id, word }, (all ? "" : name(id) + " ") + "data link " + (word ? "dead" : "heard")];
  },
  fuse() {
    const id = pick(ids.fuse), word = below(2);
    return ["fuse", { id, word }, name(id) + (word ? " blown" : " good")];
  },
  warm() {
    const id = pick(ids.warm), s = when(), word = below(2);
    return ["warm", { id, state: s, word }, name(id) + (word ? " warm" : " cold") + inState(s)];
  },
  code() {
    const pin = pick(wired).name, s = when(), word = below(2);
    return ["code", { pin, state: s, word }, (word ? "code " : "no code ") + pin + inState(s)];
  },
  volts() {
    const pin = pick(wired).name, s = when(), read = String(Number((random() * 1.2 * table.supply).toFixed(2)));
    const other = below(4) === 0 ? pick(wired).name : "";
    if (other === pin) return null;
    return ["volts", { pin, other, state: s, read }, pin + " to " + (other || "ground") + inState(s) + ": " + read + " V"];
  },
  wire() {
    const wire = pick(model.wires).number, read = ohms();
    return ["ohms", { wire, read }, "wire " + wire + ": " + ohmsWords(read)];
  },
  leak() {
    const wire = pick(model.wires), end = below(2), pin = end === 0 ? wire.from : wire.to, read = ohms();
    if (pin < 0) return null;
    return ["leak", { wire: wire.number, end, read }, "wire " + wire.number + " off at " + model.pins[pin].name + " to ground: " + ohmsWords(read)];
  },
  inside() {
    const id = pick(ids.inside), read = ohms();
    return ["inside", { id, read }, name(id) + " inside: " + ohmsWords(read)];
  },
  between() {
    const id = pick(ids.between), read = ohms();
    return ["between", { id, read }, shop.pairWords(model, id) + ", power off: " + ohmsWords(read)];
  },
  refit() {
    const id = pick(ids.refit), s = when(), holds = below(2) === 0;
    return ["refit", { id, word: holds ? 0 : s + 1 }, "new " + name(id) + (holds ? " holds" : " blows" + inState(s))];
  },
  search() {
    const id = pick(ids.search), wire = pick(model.wires).number, found = below(3) > 0;
    return ["search", { id, at: found ? wire : "" }, "search from " + name(id) + ": " + (found ? "wire " + wire : "nothing")];
  },
  rest() {
    const s = when();
    return ["rest", { state: s }, "all as it should" + inState(s)];
  }
};
const NEEDED = { needle: "gauge", figure: "gauge", link: "link", fuse: "fuse", warm: "warm", inside: "inside", between: "between", refit: "refit", search: "search" };
const usable = Object.keys(SAYINGS).filter((one) => (one === "unfed" ? unfed.length > 0 : NEEDED[one] === undefined || ids[NEEDED[one]].length > 0));

/** One to four readings that the page takes; "all the rest" is said last, as the command reads it. */
function randomReadings() {
  const words = [], wanted = 1 + below(4);
  let rest = null;
  page.trouble.evidences = [];
  for (let tries = 0; words.length < wanted && tries < 40; tries++) {
    const saying = SAYINGS[pick(usable)]();
    if (saying === null) continue;
    if (saying[0] === "rest") rest = saying;
    else if (kinds[saying[0]].take(saying[1]) === "") words.push(saying[2]);
  }
  if (rest !== null && kinds.rest.take(rest[1]) === "") words.push(rest[2]);
  return { words, evidences: page.trouble.evidences };
}

/* ---- comparing ---- */

const alike = (a, b) => Math.abs(a - b) <= 1e-9 + CLOSE * Math.abs(b);

/** What differs, in words; "" when nothing does. */
function differenceOf(command, verdict, next) {
  const shown = new Map(verdict.list.map((one) => [one.suspect.id, one]));
  for (const one of command.suspects) {
    const ours = shown.get(one.suspect);
    if (!alike(ours.weight, one.weight)) return `${one.text}: weight ${ours.weight} against ${one.weight}`;
    if (ours.against !== undefined && ours.against.length !== one.against) return `${one.text}: ${ours.against.length} readings against it, not ${one.against}`;
  }
  for (const key of ["certain", "likely", "borne", "healthy"]) {
    if (verdict[key] !== command[key]) return `${key}: ${verdict[key]} against ${command[key]}`;
  }
  if (next.length !== command.next.length) return `${next.length} next readings, not ${command.next.length}`;
  for (const [i, one] of command.next.entries()) {
    const same = next[i].again === one.again && next[i].sure === one.sure && alike(next[i].bits, one.bits);
    if (!same) return `next reading ${i}: ${JSON.stringify(next[i])} against ${JSON.stringify(one)}`;
  }
  return "";
}

async function compareOne({ words, evidences }) {
  const run = await promisify(execFile)(pinloom, ["suspect", text, ...words, "--json", "-o", folder]).catch((error) => error);
  const command = JSON.parse(run.stdout);
  if (command.suspects === undefined) return "the command refuses what the page takes: " + command.findings[0].text;
  const verdict = shop.weigh(table, evidences);
  return differenceOf(command, verdict, shop.nextReadings(table, evidences, verdict, 3));
}

let passed = 0, failed = 0, left = Number(count);
const used = new Set();
async function worker() {
  while (left-- > 0) {
    const readings = randomReadings();
    for (const evidence of readings.evidences) used.add(evidence.said);
    const difference = await compareOne(readings);
    if (difference === "") passed++;
    else {
      failed++;
      console.log(`${basename(text)}, ${readings.words.join("; ")}\n  ${difference}`);
    }
  }
}
await Promise.all(Array.from({ length: AT_ONCE }, worker));
console.log(`${basename(text)}: ${passed} passed, ${failed} failed (readings of ${used.size} kinds, seed ${seed})`);
process.exitCode = failed === 0 && passed > 0 ? 0 : 1;
