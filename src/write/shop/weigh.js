/* Weighing: how well each suspect explains what was read, and which reading to take next.  The same sums, in the same order, as the command `suspect`. */

const NOWHERE = -100;
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

function expectVolts(table, one, two) {
  const open = one === OPEN || two === OPEN;
  const volts = open ? 0 : (one - two) * table.volt;
  return { known: one !== UNKNOWN && two !== UNKNOWN, value: volts, spread: open ? likelyOf(table, "GHOST") : spreadOf(table, volts) };
}

function expectOhms(table, evidence, answer) {
  const value = (answer === OPEN ? 0 : answer) / 1000, between = table.questions[evidence.question].ask === ASK.between;
  const spread = between ? likelyOf(table, "OHMS_BETWEEN") * (1 + 2 * likelyOf(table, "LEADS") / 10 ** value) : likelyOf(table, "OHMS_SPREAD");
  return { known: answer !== UNKNOWN, value, spread };
}

/** A needle that is not fed stands nowhere that ohms put it. */
function expectGauge(table, answer) {
  return { known: answer !== UNKNOWN, value: answer === OPEN ? NOWHERE : answer / 1000, spread: likelyOf(table, "GAUGE_SPREAD") };
}

function bell(table, off, spread, range) {
  const z = off / spread, misread = likelyOf(table, "MISREAD");
  return (1 - misread) * Math.exp(-z * z / 2) / (spread * 2.5066282746310002) + misread / range;
}

function hasCode(table, answer, healthy) {
  if ((answer === OPEN) !== (healthy === OPEN)) return 1;
  const usual = healthy === UNKNOWN ? 0 : healthy;
  return answer !== OPEN && Math.abs(answer - usual) * table.volt > likelyOf(table, "CODE") ? 1 : 0;
}

const SEEN_ROW = { fuse: 0, warm: 1, code: 2, link: 2 };

function wordChance(table, evidence, answer) {
  if (evidence.said === "runs") return answer === UNKNOWN ? 1 / 3 : table.words[answer][evidence.value];
  if (evidence.said === "needle") return answer === UNKNOWN ? 0.25 : table.needle[needleOf(table, table.questions[evidence.question], answer)][evidence.value];
  if (answer === UNKNOWN) return 0.5;
  if (evidence.said === "found") return answer === evidence.value ? 1 - likelyOf(table, "MISREAD") : likelyOf(table, "MISREAD");
  const is = evidence.said === "code" ? hasCode(table, answer, table.questions[evidence.question].healthy) : answer;
  const seen = table.seen[SEEN_ROW[evidence.said]][is];
  return evidence.value ? seen : 1 - seen;
}

/** A number with a spread, or null when the evidence is a word. */
function expectation(table, evidence, one, two) {
  if (evidence.said === "volts") return { ...expectVolts(table, one, two), read: evidence.value, range: 2 * table.supply };
  if (evidence.said === "ohms") return { ...expectOhms(table, evidence, one), read: ohmsAnswer(table, evidence.value) / 1000, range: DECADES };
  if (evidence.said === "gauge") return { ...expectGauge(table, one), read: ohmsAnswer(table, evidence.value) / 1000, range: DECADES };
  return null;
}

/** How likely the evidence is where these are the answers (`two`: of the other pin, 0 when there is none), and whether they explain it. */
function judgeAnswers(table, evidence, one, two) {
  if (evidence.said === "seen") return { fit: 1, explained: true };
  const expected = expectation(table, evidence, one, two);
  if (expected === null) {
    const chance = wordChance(table, evidence, one);
    return { fit: chance, explained: chance >= FAR_FETCHED };
  }
  if (!expected.known) return { fit: 1 / expected.range, explained: true };
  const off = expected.read - expected.value;
  return { fit: bell(table, off, expected.spread, expected.range), explained: Math.abs(off) <= FAR * expected.spread };
}

function judgeOne(table, variant, evidence) {
  return judgeAnswers(table, evidence, answerOf(table, variant, evidence.question), evidence.other < 0 ? 0 : answerOf(table, variant, evidence.other));
}

function explains(table, variant, evidence) {
  return judgeOne(table, variant, evidence).explained;
}

/** Logs of the fits of one evidence, by variant.  Most answer as a healthy machine does: only the others are looked at one by one. */
function logsOf(table, evidence) {
  if (evidence.logs) return evidence.logs;
  const logs = new Float64Array(table.variants.length).fill(Math.log(judgeOne(table, null, evidence).fit));
  for (const number of evidence.other < 0 ? [evidence.question] : [evidence.question, evidence.other]) {
    const { first, end } = table.questions[number];
    for (let i = first; i < end; i++) {
      const v = table.byQuestion.variants[i];
      logs[v] = Math.log(judgeOne(table, table.variants[v], evidence).fit);
    }
  }
  evidence.logs = logs;
  return logs;
}

/** By variant: its share of all weight. */
function sharesOf(table, evidences) {
  const columns = evidences.map((evidence) => logsOf(table, evidence));
  const logs = table.priors.map((prior, v) => columns.reduce((sum, column) => sum + column[v], prior));
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

/** {list: suspects by weight with {suspect, weight, against: evidences it does not explain, group}, shares, healthy, and of the first: likely,
 * contradiction, borne, doubt, certain}. */
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
  const healthy = evidences.every((evidence) => explains(table, null, evidence));
  return { list, shares, healthy, ...howSure(table, evidences, list, shares) };
}

/* ---- how sure ---- */

function isSameReading(a, b) {
  return a.said === b.said && a.question === b.question && a.other === b.other;
}

/** The last evidence that the variant does not explain and that was not read otherwise twice; null. */
function contradictionOf(table, variant, evidences) {
  return evidences.findLast((evidence) => !explains(table, variant, evidence) &&
    evidences.filter((other) => isSameReading(other, evidence) && explains(table, variant, other)).length < 2) || null;
}

/** So many readings, the strongest first, may be left out and the others still speak against the rival; at most BORNE. */
function borneAgainst(table, columns, first, rival) {
  const enough = Math.log(likelyOf(table, "CERTAIN") / (1 - likelyOf(table, "CERTAIN"))), most = likelyOf(table, "BORNE");
  const strongest = new Array(most).fill(0);
  let rest = Math.min(0, table.priors[first] - table.priors[rival]);
  for (const column of columns) {
    let speaks = column[first] - column[rival];
    rest += speaks;
    for (let k = 0; k < most; k++) if (speaks > strongest[k]) [strongest[k], speaks] = [speaks, strongest[k]];
  }
  let borne = 0;
  while (borne < most && (rest -= strongest[borne]) >= enough) borne++;
  return borne;
}

/** Of the first: likely, what contradicts it, how many readings may be wrong, and the doubt that is left, by variant. */
function howSure(table, evidences, list, shares) {
  const best = list[0].suspect, first = table.variants.indexOf(heaviestVariant(table, best, shares)), most = likelyOf(table, "BORNE");
  const weight = list.filter((ranked) => ranked.group === 0).reduce((sum, ranked) => sum + ranked.weight, 0);
  const likely = weight >= likelyOf(table, "CERTAIN"), contradiction = contradictionOf(table, table.variants[first], evidences);
  if (!likely) return { likely, contradiction, borne: 0, doubt: null, certain: false };
  const columns = evidences.map((evidence) => logsOf(table, evidence)), doubt = new Float64Array(table.variants.length);
  let borne = most;
  table.variants.forEach((variant, v) => {
    const rival = table.suspects[variant.suspect];
    if (rival === best) return;
    const against = borneAgainst(table, columns, first, v);
    if (against === most || areAlike(table, best, rival) || variantsAlike(table, table.variants[first], variant)) return;
    doubt[v] = rival.prior * variant.share;
    borne = Math.min(borne, against);
  });
  return { likely, contradiction, borne, doubt, certain: contradiction === null && borne === most };
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

/** How far two answers may be apart and still be alike, by the size of the larger: looked up, not worked out anew for every pair. */
function alikeWithin(table) {
  if (table.within) return table.within;
  const within = { volts: new Float64Array(32769), ghost: TWICE * likelyOf(table, "GHOST"), ohms: TWICE * 1000 * likelyOf(table, "OHMS_SPREAD"),
    between: TWICE * 1000 * likelyOf(table, "OHMS_BETWEEN"), gauge: TWICE * 1000 * likelyOf(table, "GAUGE_SPREAD") };
  for (let i = 0; i < within.volts.length; i++) within.volts[i] = TWICE * spreadOf(table, i * table.volt);
  table.within = within;
  return within;
}

function voltsAlike(table, a, b) {
  const within = alikeWithin(table), x = standing(a), y = standing(b);
  const ofA = a === OPEN ? within.ghost : within.volts[x < 0 ? -x : x], ofB = b === OPEN ? within.ghost : within.volts[y < 0 ? -y : y];
  return Math.abs(x - y) * table.volt <= (ofA > ofB ? ofA : ofB);
}

function answersAlike(table, ask, a, b) {
  if (a === b || a === UNKNOWN || b === UNKNOWN) return true;
  if (ask === ASK.volts) return voltsAlike(table, a, b);
  const within = alikeWithin(table);
  if (ask === ASK.gauge) return a !== OPEN && b !== OPEN && Math.abs(a - b) <= within.gauge;
  if (ask === ASK.between) return Math.abs(a - b) <= within.between;
  return isOhms(ask) && Math.abs(a - b) <= within.ohms;
}

/** Of all that is seen, heard or found rather than measured: two that differ in it are told apart at once.  0: something of it is not known. */
function markOf(table, suspect) {
  if (suspect.mark !== undefined) return suspect.mark;
  const { questions, answers } = table.byVariant, { first, end } = table.variants[suspect.first];
  let mark = 1;
  for (let i = first; i < end && mark !== 0; i++) {
    const question = table.questions[questions[i]];
    if (question.ask === ASK.volts || question.ask === ASK.gauge || isOhms(question.ask) || question.minutes === 0) continue;
    mark = answers[i] === UNKNOWN ? 0 : (Math.imul(mark, 31) + Math.imul(questions[i], 7919) + answers[i]) | 0;
  }
  suspect.mark = mark;
  return mark;
}

/** No reading tells them apart.  What was found is kept: the same suspects are compared after every reading. */
function areAlike(table, a, b) {
  const ofA = markOf(table, a), ofB = markOf(table, b);
  if (ofA !== ofB && ofA !== 0 && ofB !== 0) return false;
  const pair = a.id * table.suspects.length + b.id;
  if (!table.alike.has(pair)) table.alike.set(pair, variantsAlike(table, table.variants[a.first], table.variants[b.first]));
  return table.alike.get(pair);
}

/** Calls back with every question that one of two variants answers otherwise than a healthy machine, and both answers. */
function compareVariants(table, x, y, look) {
  const { questions, answers } = table.byVariant, none = table.questions.length;
  let i = x.first, j = y.first;
  while (i < x.end || j < y.end) {
    const p = i < x.end ? questions[i] : none, q = j < y.end ? questions[j] : none, number = p < q ? p : q;
    const { healthy } = table.questions[number];
    look(number, p <= q ? answers[i++] : healthy, q <= p ? answers[j++] : healthy);
  }
}

/** The same walk, ended at the first question that tells them apart: this is done thousands of times. */
function variantsAlike(table, x, y) {
  const { questions, answers } = table.byVariant, none = table.questions.length;
  let i = x.first, j = y.first;
  while (i < x.end || j < y.end) {
    const p = i < x.end ? questions[i] : none, q = j < y.end ? questions[j] : none, question = table.questions[p < q ? p : q];
    const ofX = p <= q ? answers[i++] : question.healthy, ofY = q <= p ? answers[j++] : question.healthy;
    if (ofX !== ofY && question.minutes > 0 && !answersAlike(table, question.ask, ofX, ofY)) return false;
  }
  return true;
}

/* ---- the next reading ---- */

const bitsOf = (p) => (p > 0 ? -p * Math.log2(p) : 0);

/** Answers that a reading can tell apart, as clusters of neighbouring ones; `rest` is the weight of all that answer as a healthy machine does. */
function bitsOfClusters(table, question, heavy, from, to, rest, known) {
  let bits = 0, cluster = 0, last = null, healthy = false;
  const add = (answer, weight) => {
    if (last !== null && last !== answer && !answersAlike(table, question.ask, last, answer)) {
      bits += bitsOf(cluster / known);
      cluster = 0;
    }
    cluster += weight;
    last = answer;
  };
  for (let i = from; i < to; i++) {
    const answer = heavy.answers[i];
    if (answer === UNKNOWN) continue;
    if (!healthy && standing(answer) > standing(question.healthy)) {
      healthy = true;
      add(question.healthy, rest);
    }
    add(answer, heavy.weights[i]);
  }
  if (!healthy) add(question.healthy, rest);
  return bits + bitsOf(cluster / known);
}

/** Words are not always right: what is learnt is less the doubt that each leaves. */
function bitsOfWords(table, question, heavy, from, to, rest, known) {
  const weights = [0, 0, 0], words = question.ask === ASK.runs ? 3 : 2;
  weights[question.healthy] = rest;
  for (let i = from; i < to; i++) if (heavy.answers[i] !== UNKNOWN) weights[heavy.answers[i]] += heavy.weights[i];
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

/** Of the suspects still there, the answers that are not the healthy ones: by question, in the order of the answers. */
function heavyAnswers(table, shares) {
  const { variants, answers } = table.byQuestion, n = variants.length;
  const weight = Float64Array.from(shares, (share) => (share < NEGLIGIBLE_WEIGHT ? 0 : share));
  const heavy = table.heavy || { start: new Int32Array(table.questions.length + 1), answers: new Int16Array(n), weights: new Float64Array(n) };
  let kept = 0;
  table.heavy = heavy;  // its room is used again for the next reading
  table.questions.forEach(({ first, end }, number) => {
    for (let i = first; i < end; i++) {
      if (weight[variants[i]] === 0) continue;
      heavy.answers[kept] = answers[i];
      heavy.weights[kept++] = weight[variants[i]];
    }
    heavy.start[number + 1] = kept;
  });
  heavy.all = weight.reduce((sum, one) => sum + one, 0);
  return heavy;
}

function bitsOfQuestion(table, question, number, heavy) {
  const from = heavy.start[number], to = heavy.start[number + 1];
  let rest = heavy.all, known = heavy.all, others = 0;
  for (let i = from; i < to; i++) {
    rest -= heavy.weights[i];
    if (heavy.answers[i] === UNKNOWN) known -= heavy.weights[i];
    else others++;
  }
  if (question.healthy === UNKNOWN || others === 0 || !(known > 0)) return 0;
  const words = question.ask === ASK.runs || question.ask === ASK.warm || question.ask === ASK.fuse;
  return known / heavy.all * (words ? bitsOfWords : bitsOfClusters)(table, question, heavy, from, to, Math.max(rest, 0), known);
}

function askedIn(evidences) {
  return new Set(evidences.filter((evidence) => evidence.other < 0 && evidence.said !== "code").map((evidence) => evidence.question));
}

function bestOf(next, most) {
  next.sort((a, b) => b.score - a.score || a.question - b.question);
  return next.slice(0, most);
}

/** To be sure: another kind of reading that speaks against what could still be it; the same once more is worth less. */
function confirmingReadings(table, evidences, verdict, most) {
  const first = heaviestVariant(table, verdict.list[0].suspect, verdict.shares), worth = new Float64Array(table.questions.length);
  const asked = askedIn(evidences), next = [];
  verdict.doubt.forEach((doubt, v) => {
    if (doubt === 0) return;
    compareVariants(table, first, table.variants[v], (number, ofX, ofY) => {
      if (!answersAlike(table, table.questions[number].ask, ofX, ofY)) worth[number] += doubt;
    });
  });
  worth.forEach((doubt, question) => {
    const { minutes } = table.questions[question];
    if (doubt === 0 || minutes === 0) return;
    const again = asked.has(question);
    next.push({ question, bits: 0, score: doubt * (again ? likelyOf(table, "AGAIN") : 1) / minutes, again, sure: true });
  });
  return bestOf(next, most);
}

/** Is the contradiction worth reading once more: it can be, and was not said twice already. */
function mayErr(evidences, contradiction) {
  if (contradiction.other >= 0 || contradiction.said === "code") return false;
  return !evidences.some((evidence) => evidence !== contradiction && isSameReading(evidence, contradiction) && evidence.value === contradiction.value);
}

/** The best readings to take, most bits for the minute first: [{question, bits, score, again: it was taken already, sure: to make sure of the first}]. */
function nextReadings(table, evidences, verdict, most) {
  const { contradiction, shares } = verdict;
  if (verdict.certain) return [];
  if (verdict.likely && contradiction !== null && mayErr(evidences, contradiction)) {
    return [{ question: contradiction.question, bits: 0, score: 0, again: true, sure: false }];
  }
  if (verdict.likely && contradiction === null) return confirmingReadings(table, evidences, verdict, most);
  const asked = askedIn(evidences), next = [], heavy = heavyAnswers(table, shares);
  table.questions.forEach((question, number) => {
    if (question.minutes === 0 || asked.has(number)) return;
    const bits = bitsOfQuestion(table, question, number, heavy);
    if (bits >= LEAST_BITS) next.push({ question: number, bits, score: bits / question.minutes, again: false, sure: false });
  });
  return bestOf(next, most);
}
