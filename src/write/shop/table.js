/* The table of suspects: what every reading shows under every fault.  Its form, and every formula of weigh.js: docs/troubleshooting.md. */

const ASK = { volts: 0, runs: 1, warm: 2, look: 3, fuse: 4, panel: 5, refit: 6, search: 7, wire: 8, leak: 9, inside: 10, between: 11, link: 12, gauge: 13 };
const OPEN = -32768, UNKNOWN = -32767;

/** Its answers are ohms. */
function isOhms(ask) {
  return ask >= ASK.wire && ask <= ASK.between;
}

/** Whole numbers of 7 bits a byte, lowest first; signed ones as 0, -1, 1, -2, 2 -> 0, 1, 2, 3, 4. */
function numberReader(bytes) {
  let at = 0;
  const plain = () => {
    let value = 0, scale = 1, byte;
    do {
      byte = bytes[at++];
      value += (byte & 127) * scale;
      scale *= 128;
    } while (byte > 127);
    return value;
  };
  const signed = () => {
    const value = plain();
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  };
  return { plain, signed };
}

/** The table: `questions` {ask, state, id, healthy, minutes, first, end}, `suspects`, `variants` {suspect, share, first, end} and the figures.
 * The answers that differ from the healthy ones stand twice: by question, in the order of the answers (`byQuestion`), and by variant, in the order of
 * the questions (`byVariant`). */
async function readTable(json) {
  const data = JSON.parse(json);
  const table = { ...data, questions: [], variants: [], suspects: [], alike: new Map() };
  for (const [ask, state, ids] of data.questions) for (const id of ids) table.questions.push({ ask, state, id });
  data.suspects.forEach(([text, where, prior, shares, wire, device, connector], id) => {
    const first = table.variants.length;
    for (const share of shares) table.variants.push({ suspect: id, share });
    table.suspects.push({ id, text, where, prior, wire, device, connector, first, count: shares.length });
  });
  table.gauges = new Map(data.gauges.map(([device, unit, rising, shown, answers]) => [device, { unit, rising: rising === 1, shown, answers }]));
  table.priors = table.variants.map((variant) => Math.log(table.suspects[variant.suspect].prior * variant.share));
  const read = numberReader(new Uint8Array(await unpack(data.answers)));
  if (read.plain() !== table.questions.length || read.plain() !== table.variants.length) throw new Error("The table of suspects is not whole.");
  const variants = [], answers = [];
  for (const question of table.questions) readAnswers(question, read, variants, answers);
  table.byQuestion = { variants: Int32Array.from(variants), answers: Int16Array.from(answers) };
  table.byVariant = turnRound(table);
  for (const question of table.questions) sortAnswers(table.byQuestion, question);
  return table;
}

function readAnswers(question, read, variants, answers) {
  question.healthy = read.signed();
  question.minutes = read.plain() / 10;
  question.first = variants.length;
  question.end = question.first + read.plain();
  for (let i = question.first, variant = 0, answer = question.healthy; i < question.end; i++) {
    variant += read.plain();
    answer += read.signed();
    variants.push(variant);
    answers.push(answer);
  }
}

/** The same answers by variant. */
function turnRound(table) {
  const { variants, answers } = table.byQuestion, n = variants.length;
  const next = new Int32Array(table.variants.length + 1), turned = { questions: new Int32Array(n), answers: new Int16Array(n) };
  for (const variant of variants) next[variant + 1]++;
  for (let v = 0; v < table.variants.length; v++) next[v + 1] += next[v];
  table.variants.forEach((variant, v) => { [variant.first, variant.end] = [next[v], next[v + 1]]; });
  table.questions.forEach((question, number) => {
    for (let i = question.first; i < question.end; i++) {
      const at = next[variants[i]]++;
      turned.questions[at] = number;
      turned.answers[at] = answers[i];
    }
  });
  return turned;
}

/** Where an answer stands among the others: open reads as 0. */
function standing(answer) {
  return answer === OPEN ? 0 : answer;
}

function sortAnswers({ variants, answers }, question) {
  const pairs = [];
  for (let i = question.first; i < question.end; i++) pairs.push([standing(answers[i]), variants[i], answers[i]]);
  pairs.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  pairs.forEach(([, variant, answer], i) => {
    variants[question.first + i] = variant;
    answers[question.first + i] = answer;
  });
}

/** What a needle does: 0 nothing, 1 less than it should, 2 as it should, 3 more. */
function needleOf(table, question, answer) {
  const gauge = table.gauges.get(question.id);
  if (answer === OPEN) return 0;
  if (question.healthy === OPEN) return 3;
  if (Math.abs(answer - question.healthy) <= 2000 * table.likely.GAUGE_SPREAD) return 2;
  return (answer > question.healthy) === (gauge !== undefined && gauge.rising) ? 3 : 1;
}

/** Goes straight between the points of a scale; NaN beyond its ends. */
function alongScale(from, to, value) {
  for (let i = 0; i + 1 < from.length; i++) {
    const [a, b] = [from[i], from[i + 1]];
    if ((value >= a && value <= b) || (value <= a && value >= b)) return a === b ? to[i] : to[i] + (to[i + 1] - to[i]) * (value - a) / (b - a);
  }
  return NaN;
}

/** What a variant answers (null: nothing broken): its own answer, else the healthy one. */
function answerOf(table, variant, question) {
  const { healthy } = table.questions[question];
  if (variant === null) return healthy;
  const { questions, answers } = table.byVariant;
  let low = variant.first, high = variant.end;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (questions[middle] < question) low = middle + 1;
    else high = middle;
  }
  return low < variant.end && questions[low] === question ? answers[low] : healthy;
}

function findQuestion(table, ask, state, id) {
  return table.questions.findIndex((question) => question.ask === ask && question.state === state && question.id === id);
}
