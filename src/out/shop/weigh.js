/* Weighing: how well each suspect explains what was read, and which reading to take next.  The same sums, in the same order, as the command `suspect`. */

const FAR = 3, TWICE = 2, DECADES = 8, FAR_FETCHED = 0.2, HEAD = 200, NEGLIGIBLE_WEIGHT = 1e-4, LEAST_BITS = 0.01;

function likelyOf(table, name) {
  return table.likely[name];
}

/** A volts reading is off by so much, give or take. */
function spreadOf(table, volts) {
  const size = Math.abs(volts);
  const meter = likelyOf(table, "METER_LEAST") + likelyOf(table, "METER_SHARE") * size;
  const parts = likelyOf(table, "PARTS_LEAST") + likelyOf(table, "PARTS_SHARE") * size;
  return Math.sqrt(meter * meter + parts * parts);
}

/** Ohms as answers have them. */
function ohmsAnswer(table, ohms) {
  return Math.round(1000 * Math.log10(Math.min(ohms + likelyOf(table, "LEADS"), likelyOf(table, "OPEN_OHMS"))));
}

function expectVolts(table, variant, evidence) {
  const one = answerOf(table, variant, evidence.question);
  const two = evidence.other >= 0 ? answerOf(table, variant, evidence.other) : 0;
  const open = one === OPEN || two === OPEN;
  const volts = open ? 0 : (one - two) * table.volt;
  return { known: one !== UNKNOWN && two !== UNKNOWN, value: volts, spread: open ? likelyOf(table, "GHOST") : spreadOf(table, volts) };
}

function expectOhms(table, variant, evidence) {
  const answer = answerOf(table, variant, evidence.question);
  return { known: answer !== UNKNOWN, value: (answer === OPEN ? 0 : answer) / 1000, spread: likelyOf(table, "OHMS_SPREAD") };
}

function bell(table, off, spread, range) {
  const z = off / spread, misread = likelyOf(table, "MISREAD");
  return (1 - misread) * Math.exp(-z * z / 2) / (spread * 2.5066282746310002) + misread / range;
}

function hasCode(table, variant, question) {
  const answer = answerOf(table, variant, question), healthy = answerOf(table, null, question);
  if ((answer === OPEN) !== (healthy === OPEN)) return 1;
  return answer !== OPEN && Math.abs(answer - healthy) * table.volt > likelyOf(table, "CODE") ? 1 : 0;
}

const SEEN_ROW = { fuse: 0, warm: 1, code: 2 };

function wordChance(table, variant, evidence) {
  const answer = answerOf(table, variant, evidence.question);
  if (evidence.said === "runs") return answer === UNKNOWN ? 1 / 3 : table.words[answer][evidence.value];
  if (answer === UNKNOWN) return 0.5;
  if (evidence.said === "found") return answer === evidence.value ? 1 - likelyOf(table, "MISREAD") : likelyOf(table, "MISREAD");
  const is = evidence.said === "code" ? hasCode(table, variant, evidence.question) : answer;
  const seen = table.seen[SEEN_ROW[evidence.said]][is];
  return evidence.value ? seen : 1 - seen;
}

/** A number with a spread, or null when the evidence is a word. */
function expectation(table, variant, evidence) {
  if (evidence.said === "volts") return { ...expectVolts(table, variant, evidence), read: evidence.value, range: 2 * table.supply };
  if (evidence.said === "ohms") return { ...expectOhms(table, variant, evidence), read: ohmsAnswer(table, evidence.value) / 1000, range: DECADES };
  return null;
}

function fit(table, variant, evidence) {
  if (evidence.said === "seen") return 1;
  const expected = expectation(table, variant, evidence);
  if (expected === null) return wordChance(table, variant, evidence);
  return expected.known ? bell(table, expected.read - expected.value, expected.spread, expected.range) : 1 / expected.range;
}

function explains(table, variant, evidence) {
  if (evidence.said === "seen") return true;
  const expected = expectation(table, variant, evidence);
  if (expected === null) return wordChance(table, variant, evidence) >= FAR_FETCHED;
  return !expected.known || Math.abs(expected.read - expected.value) <= FAR * expected.spread;
}

/** By variant: its share of all weight. */
function sharesOf(table, evidences) {
  const logs = table.variants.map((variant) => evidences.reduce((sum, evidence) => sum + Math.log(fit(table, variant, evidence)),
    Math.log(table.suspects[variant.suspect].prior * variant.share)));
  const most = logs.reduce((a, b) => Math.max(a, b), -Infinity);
  const weights = logs.map((log) => Math.exp(log - most));
  const sum = weights.reduce((a, b) => a + b, 0);
  return weights.map((weight) => weight / sum);
}

function heaviestVariant(table, suspect, shares) {
  let best = suspect.first;
  for (let v = suspect.first; v < suspect.first + suspect.count; v++) if (shares[v] > shares[best]) best = v;
  return table.variants[best];
}

/** {list: suspects by weight with {suspect, weight, against: evidences it does not explain, group}, certain, healthy}. */
function weigh(table, evidences) {
  const shares = sharesOf(table, evidences);
  const list = table.suspects.map((suspect) => {
    let weight = 0;
    for (let v = suspect.first; v < suspect.first + suspect.count; v++) weight += shares[v];
    return { suspect, weight, group: -1 };
  });
  list.sort((a, b) => b.weight - a.weight || a.suspect.id - b.suspect.id);
  groupUp(table, list);
  for (const ranked of list) {
    if (ranked.group < 0) break;
    const variant = heaviestVariant(table, ranked.suspect, shares);
    ranked.against = evidences.filter((evidence) => !explains(table, variant, evidence));
  }
  const first = list.filter((ranked) => ranked.group === 0).reduce((sum, ranked) => sum + ranked.weight, 0);
  return {
    list, shares,
    certain: list.length > 0 && first >= likelyOf(table, "CERTAIN") && list[0].against.length === 0,
    healthy: evidences.every((evidence) => explains(table, null, evidence))
  };
}

function groupUp(table, list) {
  const leaders = [];
  for (let i = 0; i < Math.min(list.length, HEAD); i++) {
    if (i > 0 && list[i].weight < NEGLIGIBLE_WEIGHT) break;
    let group = leaders.findIndex((leader) => areAlike(table, leader, list[i].suspect));
    if (group < 0) group = leaders.push(list[i].suspect) - 1;
    list[i].group = group;
  }
}

function answerSpread(table, answer) {
  return answer === OPEN ? likelyOf(table, "GHOST") : spreadOf(table, answer * table.volt);
}

function answersAlike(table, ask, a, b) {
  if (a === b || a === UNKNOWN || b === UNKNOWN) return true;
  if (ask === ASK.volts) {
    const apart = Math.abs(standing(a) - standing(b)) * table.volt;
    return apart <= TWICE * Math.max(answerSpread(table, a), answerSpread(table, b));
  }
  return ask >= ASK.wire && Math.abs(a - b) <= TWICE * 1000 * likelyOf(table, "OHMS_SPREAD");
}

/** No reading tells them apart.  What was found is kept: the same suspects are compared after every reading. */
function areAlike(table, a, b) {
  const pair = a.id * table.suspects.length + b.id;
  if (!table.alike.has(pair)) table.alike.set(pair, compare(table, a, b));
  return table.alike.get(pair);
}

function compare(table, a, b) {
  const x = table.variants[a.first], y = table.variants[b.first], { questions, answers } = table.byVariant;
  let i = x.first, j = y.first;
  while (i < x.end || j < y.end) {
    const p = i < x.end ? questions[i] : table.questions.length, q = j < y.end ? questions[j] : table.questions.length;
    const question = table.questions[p < q ? p : q];
    const ofX = p <= q ? answers[i++] : question.healthy, ofY = q <= p ? answers[j++] : question.healthy;
    if (question.minutes > 0 && !answersAlike(table, question.ask, ofX, ofY)) return false;
  }
  return true;
}

/* ---- the next reading ---- */

const bitsOf = (p) => (p > 0 ? -p * Math.log2(p) : 0);

/** Answers that a reading can tell apart, as clusters of neighbouring ones; `rest` is the weight of all that answer as a healthy machine does. */
function bitsOfClusters(table, question, shares, rest, known) {
  const { variants, answers } = table.byQuestion;
  let bits = 0, cluster = 0, last = null, healthy = false;
  const add = (answer, weight) => {
    if (last !== null && !answersAlike(table, question.ask, last, answer)) {
      bits += bitsOf(cluster / known);
      cluster = 0;
    }
    cluster += weight;
    last = answer;
  };
  for (let i = question.first; i < question.end; i++) {
    if (shares[variants[i]] < NEGLIGIBLE_WEIGHT || answers[i] === UNKNOWN) continue;
    if (!healthy && standing(answers[i]) > standing(question.healthy)) {
      healthy = true;
      add(question.healthy, rest);
    }
    add(answers[i], shares[variants[i]]);
  }
  if (!healthy) add(question.healthy, rest);
  return bits + bitsOf(cluster / known);
}

/** Words are not always right: what is learnt is less the doubt that each leaves. */
function bitsOfWords(table, question, shares, rest, known) {
  const { variants, answers } = table.byQuestion, weights = [0, 0, 0], words = question.ask === ASK.runs ? 3 : 2;
  weights[question.healthy] = rest;
  for (let i = question.first; i < question.end; i++) {
    if (shares[variants[i]] >= NEGLIGIBLE_WEIGHT && answers[i] !== UNKNOWN) weights[answers[i]] += shares[variants[i]];
  }
  let bits = 0;
  for (let word = 0; word < words; word++) {
    let called = 0;
    for (let is = 0; is < words; is++) {
      const seen = table.seen[question.ask === ASK.fuse ? 0 : 1][is];
      const chance = question.ask === ASK.runs ? table.words[is][word] : word ? seen : 1 - seen;
      called += weights[is] / known * chance;
      bits -= weights[is] / known * bitsOf(chance);
    }
    bits += bitsOf(called);
  }
  return Math.max(bits, 0);
}

function bitsOfQuestion(table, question, shares, all) {
  const { variants, answers } = table.byQuestion;
  let rest = all, known = all, others = 0;
  for (let i = question.first; i < question.end; i++) {
    const weight = shares[variants[i]];
    if (weight < NEGLIGIBLE_WEIGHT) continue;
    rest -= weight;
    if (answers[i] === UNKNOWN) known -= weight;
    else others++;
  }
  if (question.healthy === UNKNOWN || others === 0 || !(known > 0)) return 0;
  const words = question.ask === ASK.runs || question.ask === ASK.warm || question.ask === ASK.fuse;
  return known / all * (words ? bitsOfWords : bitsOfClusters)(table, question, shares, Math.max(rest, 0), known);
}

/** The best readings to take, most bits for the minute first: [{question, bits, score}]. */
function nextReadings(table, evidences, shares, most) {
  const asked = new Set(evidences.filter((evidence) => evidence.other < 0 && evidence.said !== "code").map((evidence) => evidence.question));
  const all = shares.reduce((sum, share) => (share < NEGLIGIBLE_WEIGHT ? sum : sum + share), 0);
  const next = [];
  table.questions.forEach((question, number) => {
    if (question.minutes === 0 || asked.has(number)) return;
    const bits = bitsOfQuestion(table, question, shares, all);
    if (bits >= LEAST_BITS) next.push({ question: number, bits, score: bits / question.minutes });
  });
  next.sort((a, b) => b.score - a.score || a.question - b.question);
  return next.slice(0, most);
}
