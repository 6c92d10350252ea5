/* node shop.mjs PINLOOM TOP WORK: makes the books of the demos and of a harness with hostile names and tries their shop pages in Chromium as a person
 * would: search, tap, deep link, keyboard, phone, print, without a network.  The page's numbers must be the command's. */
import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const [pinloom, top, work] = process.argv.slice(2);
const snowplow = join(top, "harnesses/snowplow/snowplow.loom");
const phone = { width: 390, height: 844 };
let passed = 0, failed = 0;

function expect(what, good, seen = "") {
  if (good) passed++;
  else {
    failed++;
    console.log("FAILED: " + what + (seen === "" ? "" : ": " + seen));
  }
}

function bookOf(text, name) {
  const folder = join(work, name);
  const run = spawnSync(pinloom, ["book", text, "-o", folder], { encoding: "utf8" });
  if (run.status > 1) throw new Error("no book of " + text + ": " + run.stderr);
  return join(folder, "shop.html");
}

/** Opens a page of the file, with the network cut; collects what went wrong in it. */
async function open(browser, file, hash = "", viewport = phone, colorScheme = "light") {
  const context = await browser.newContext({ viewport, colorScheme, offline: true, hasTouch: true });
  const page = await context.newPage();
  page.setDefaultTimeout(8000);
  page.asked = [];
  page.wrong = [];
  page.on("request", (request) => page.asked.push(request.url()));
  page.on("console", (message) => page.wrong.push(message.text()));
  page.on("pageerror", (error) => page.wrong.push(error.message));
  await page.goto(pathToFileURL(file).href + hash);
  await page.waitForFunction(() => document.querySelector("#drawings figure") !== null);
  if (hash !== "") await page.locator("main h2, #drawings figure:not([hidden])").first().waitFor();
  return page;
}

async function close(page, what) {
  expect(what + ": nothing wrong on the console", page.wrong.length === 0, page.wrong.join(" | "));
  expect(what + ": asks for nothing but itself", page.asked.every((url) => url.startsWith("file:") && url.includes("shop.html")), page.asked.join(" "));
  await page.context().close();
}

const cellsOf = (page, caption) => page.locator("table", { hasText: caption }).locator("tbody tr").evaluateAll((rows) =>
  rows.map((row) => Array.from(row.cells, (cell) => cell.textContent.trim())));

/* ---- search, tap, deep link ---- */

async function tryFinding(browser, file) {
  const page = await open(browser, file);
  const box = page.getByRole("searchbox");
  for (const [typed, first] of [["ECM.A12", "ECM.A12"], ["wire 70", "70"], ["orange", null], ["pedal position", null], ["fst", "FST"], ["ecm.a", "ECM.A"]]) {
    await box.fill(typed);
    const hits = await page.locator("#found li b").allTextContents();
    expect("search " + typed, hits.length > 0 && (first === null || hits.includes(first)), hits.slice(0, 3).join(", "));
  }
  await box.fill("no such thing anywhere");
  expect("a search without hits says so", (await page.getByRole("status").textContent()).startsWith("Nothing found"));
  await box.fill("ECM.A12");
  await page.locator("#found a").first().tap();
  expect("a tap on a hit opens it", (await page.getByRole("heading", { level: 2 }).first().textContent()) === "ECM.A12");
  await page.locator("#drawings figure:not([hidden]) g.lit").first().dispatchEvent("click");
  expect("a tap on a wire of the drawing opens it", /^Wire /.test(await page.getByRole("heading", { level: 2 }).first().textContent()));
  expect("its way stands out", (await page.locator("#drawings figure:not([hidden]) g.lit").count()) >= 2);
  await page.goBack();
  expect("back is back", page.url().endsWith("#pin=ECM.A12"));
  await page.locator(".face a").first().tap();
  expect("a tap on a cavity opens its pin", page.url().includes("#pin=ECM.A"));
  await close(page, "finding");
}

async function tryDeepLinks(browser, file) {
  for (const [hash, heading] of [["#pin=ECM.A12", "ECM.A12"], ["#wire=70", "Wire 70"], ["#device=FST", "FST"], ["#connector=ECM.A", "Connector ECM.A"],
    ["#connectors", "Connectors"], ["#drawings", "Circuit drawings"], ["#pin=nothing", "Not known"], ["#pin=%E0%A4%A", "Not known"]]) {
    const page = await open(browser, file, hash);
    expect("deep link " + hash, (await page.getByRole("heading", { level: 2 }).first().textContent()) === heading);
    await close(page, hash);
  }
}

/* ---- the same numbers as the command ---- */

function readingsOfCommand(text, pin) {
  const said = execFileSync(pinloom, ["pin", text, pin], { encoding: "utf8" });
  const rows = said.slice(said.indexOf("Volts to expect")).split("\n").slice(1);
  return rows.filter((row) => /^ {2}\S/.test(row)).map((row) => row.trim().split(/ {2,}/));
}

const figure = (row) => row[0] + " " + row[1];

async function tryNumbers(browser, file, text) {
  const page = await open(browser, file);
  const pins = await page.evaluate(async () => JSON.parse(await window.unpackText(document.getElementById("harness").textContent))
    .pins.filter((pin) => pin.wires).map((pin) => pin.name));
  const some = pins.filter((pin, i) => i % Math.ceil(pins.length / 24) === 0);
  for (const pin of some) {
    await page.evaluate((name) => { window.location.hash = "#pin=" + encodeURIComponent(name); }, pin);
    await page.getByRole("heading", { level: 2, name: pin, exact: true }).waitFor();
    const shown = (await cellsOf(page, "Volts to expect")).map((row) => figure(row));
    const commanded = readingsOfCommand(text, pin).map((row) => figure(row));
    expect("readings of " + pin + " are the command's", shown.length > 0 && shown.join("; ") === commanded.slice(0, shown.length).join("; "),
      shown.join("; ") + " against " + commanded.join("; "));
  }
  await close(page, "numbers");
}

/* ---- what is wrong ---- */

/** Says that something does not work, as its fields want it; returns how long the answer took. */
async function say(page, kind, fields) {
  await page.getByLabel("What is it").selectOption(kind);
  for (const [name, value] of Object.entries(fields)) {
    const input = page.locator("#say-" + name);
    if ((await input.evaluate((element) => element.tagName)) === "SELECT") await input.selectOption({ label: value });
    else await input.fill(value);
  }
  await page.getByRole("button", { name: "Add", exact: true }).first().click();
}

const suspects = (page) => page.locator("ol.suspects > li").evaluateAll((items) =>
  items.map((item) => Array.from(item.querySelectorAll("div"), (line) => line.textContent).join(" + ")));

async function tryTrouble(browser, file) {
  const page = await open(browser, file, "#trouble");
  await page.locator("#say-kind").waitFor();
  await say(page, "runs", { id: "STARTER, starter", state: await page.locator("#say-state option").nth(2).textContent(), word: "dead, dark, silent" });
  await page.locator("#suspects").waitFor();
  expect("a dead starter has suspects", (await suspects(page)).length > 3);
  expect("a next reading is advised", await page.getByRole("heading", { name: "Take this reading next" }).isVisible());
  await say(page, "ohms", { wire: "25", read: "open" });
  const after = await suspects(page);
  expect("an open wire is found", /^wire 25 broken/.test(after[0]), after[0]);
  const bad = page.getByRole("alert").first();
  await say(page, "volts", { pin: "no.such", read: "1", state: await page.locator("#say-state option").first().textContent() });
  expect("an unknown pin is told", (await bad.textContent()).includes("no pin no.such"));
  await say(page, "volts", { pin: "KST.86", read: "eleven", state: await page.locator("#say-state option").first().textContent() });
  expect("volts that are no number are told", (await bad.textContent()).startsWith("Volts are a number"));
  await say(page, "link", { id: "all of it", word: "not heard" });
  expect("a dead data link can be said", (await page.locator(".known li").allTextContents()).some((item) => item.includes("not heard on the data link")));
  await say(page, "needle", { id: "PGT, gearbox oil temperature gauge", state: await page.locator("#say-state option").nth(4).textContent(), read: "20" });
  expect("a gauge's figure can be said", (await page.locator(".known li").allTextContents()).some((item) => item.includes("PGT reads 20 degC")));
  expect("every kind of reading can be chosen", (await page.locator("#say-kind option").count()) === 14);
  await page.getByRole("button", { name: "Start again" }).click();
  expect("one can start again", (await page.locator("ol.suspects").count()) === 0);
  await close(page, "what is wrong");
}

/** The page and the command weigh alike: the same suspects with the same weights, the same next reading. */
async function trySameRanking(browser, file, text) {
  const page = await open(browser, file, "#trouble");
  await page.locator("#say-kind").waitFor();
  const cases = [[["runs", "STARTER", "cranking", 0]], [["runs", "STARTER", "cranking", 0], ["volts", "KST.86", "cranking", 0.1]],
    [["volts", "KST.86", "cranking", 9.4], ["volts", "KST.85", "cranking", 0.02]],
    [["needle", "PGT", "idle", 3]], [["link", "DSP", null, 1], ["between", "XD.C", null, 120]],
    [["runs", "STARTER", "cranking", 0], ["volts", "KST.86", "cranking", 0.01], ["wire", "25", null, Infinity], ["wire", "25", null, Infinity]]];
  const inWords = { runs: (name, state) => `${name} dead, ${state}`, volts: (name, state, value) => `${name} to ground, ${state}: ${value} V`,
    needle: (name, state) => `${name} reads high, ${state}`, link: (name) => `${name} data link dead`, between: (name, state, value) => `${name} to XD.D, power off: ${value} ohm`,
    wire: (name) => `wire ${name}: open` };
  for (const readings of cases) {
    const words = readings.map(([said, name, state, value]) => inWords[said](name, state, value));
    const run = spawnSync(pinloom, ["suspect", text, ...words, "--json", "-o", join(work, "snowplow")], { encoding: "utf8" });
    const command = JSON.parse(run.stdout);
    const shown = await page.evaluate(async (given) => {
      const model = window.readModel(await window.unpackText(document.getElementById("harness").textContent));
      const table = await window.readTable(await window.unpackText(document.getElementById("faults").textContent));
      const evidences = given.map(([said, name, state, value]) => {
        const [map, ask, as] = { runs: [model.deviceByName, 1, "runs"], volts: [model.pinByName, 0, "volts"], needle: [model.deviceByName, 13, "needle"],
          link: [model.deviceByName, 12, "link"], between: [model.pinByName, 11, "ohms"], wire: [model.wireByNumber, 8, "ohms"] }[said];
        const question = window.findQuestion(table, ask, model.states.findIndex((one) => one.name === state), map.get(name).id);
        return { said: as, question, other: -1, value };
      });
      const verdict = window.weigh(table, evidences), next = window.nextReadings(table, evidences, verdict, 3);
      return { certain: verdict.certain, likely: verdict.likely, borne: verdict.borne, suspects: verdict.list.slice(0, 12).map((one) => [one.suspect.text, one.weight]), next: next.map((one) => [one.question, one.bits, one.again]) };
    }, readings);
    command.suspects.slice(0, 12).forEach((one, i) => {
      const [name, weight] = shown.suspects[i];
      expect("suspect " + i + " of " + words.join("; "), Math.abs(weight - one.weight) <= 1e-9 + 1e-6 * one.weight, name + " " + weight + " against " + one.text + " " + one.weight);
    });
    expect("as certain after " + words.join("; "), shown.certain === command.certain && shown.likely === command.likely && shown.borne === command.borne,
      JSON.stringify([shown.certain, shown.likely, shown.borne]) + " against " + JSON.stringify([command.certain, command.likely, command.borne]));
    expect("as many next readings of " + words.join("; "), shown.next.length === command.next.length);
    command.next.forEach((one, i) => expect("next reading " + i + " of " + words.join("; "), shown.next[i] !== undefined && shown.next[i][2] === one.again &&
      (!one.sure || shown.next[i][0] === one.question) && Math.abs(shown.next[i][1] - one.bits) <= 1e-6, JSON.stringify(shown.next[i]) + " against " + JSON.stringify(one)));
  }
  await close(page, "ranking");
}

/* ---- keyboard, phone, names for screen readers, paper ---- */

async function tryKeyboard(browser, file) {
  const page = await open(browser, file);
  for (let i = 0; i < 20 && !(await page.evaluate(() => document.activeElement.id === "find")); i++) await page.keyboard.press("Tab");
  expect("the search is reached with Tab", await page.evaluate(() => document.activeElement.id === "find"));
  await page.keyboard.type("ECM.A12");
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { level: 2, name: "ECM.A12" }).waitFor();
  expect("the view has the focus after Enter", await page.evaluate(() => document.activeElement.id === "view"));
  await page.keyboard.press("Tab");
  const name = await page.evaluate(() => document.activeElement.textContent);
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { level: 2, name, exact: true }).waitFor();
  expect("a link is opened with the keyboard", true);
  await close(page, "keyboard");
}

/** What a hand in a glove must hit: buttons, links of lists, cavities; 44 px, WCAG 2.2 success criterion 2.5.5. */
async function tryPhone(browser, file) {
  for (const hash of ["", "#pin=ECM.A12", "#wire=70", "#connector=ECM.A", "#drawings", "#trouble"]) {
    const page = await open(browser, file, hash);
    await page.locator("h2, #find").first().waitFor();
    if (hash === "#trouble") await page.locator("#say-kind").waitFor();
    if (hash === "") await page.getByRole("searchbox").fill("lamp");
    const width = await page.evaluate(() => document.documentElement.scrollWidth);
    expect("no sideways scrolling on a phone at " + hash, width <= phone.width, String(width));
    const small = await page.locator("button:visible, header nav a, #found a, .cavity, input:visible, select:visible").evaluateAll((things) =>
      things.filter((thing) => thing.getBoundingClientRect().height < 44).map((thing) => thing.textContent));
    expect("large touch targets at " + hash, small.length === 0, small.join(", "));
    const nameless = await page.locator("a:visible, button:visible, input:visible, select:visible, g[tabindex]:visible").evaluateAll((things) =>
      things.filter((thing) => (thing.getAttribute("aria-label") || thing.textContent).trim() === "" && !(thing.labels && thing.labels.length)).length);
    expect("everything has a name at " + hash, nameless === 0, String(nameless));
    await close(page, "phone " + hash);
  }
}

async function tryScreenReader(browser, file) {
  const page = await open(browser, file, "#pin=ECM.A12");
  const tree = await page.locator("body").ariaSnapshot();
  for (const part of ["banner", "search", "searchbox", "heading \"ECM.A12\" [level=2]", "navigation \"Parts of this page\"", "contentinfo", "table", "link \"wire 70\"",
    "group \"Face of ECM.A, seen from the wire side\"", "link \"Cavity 12, wire 70 OG, pedal 5 V\""])
    expect("accessibility tree has " + part, tree.includes(part));
  await close(page, "screen reader");
}

function luminance([red, green, blue]) {
  const part = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
  return 0.2126 * part(red) + 0.7152 * part(green) + 0.0722 * part(blue);
}

/** 4.5 : 1 for text, WCAG 2.2 success criterion 1.4.3 with its formula of relative luminance. */
async function tryContrast(browser, file) {
  for (const scheme of ["light", "dark"]) {
    const page = await open(browser, file, "#pin=ECM.A12", phone, scheme);
    const pairs = await page.evaluate(() => {
      const seen = new Map();
      for (const element of document.querySelectorAll("body *:not(svg *)")) {
        if (element.tagName === "SCRIPT" || !Array.from(element.childNodes).some((node) => node.nodeType === 3 && node.data.trim() !== "")) continue;
        let behind = element;
        while (behind !== null && window.getComputedStyle(behind).backgroundColor.endsWith(", 0)")) behind = behind.parentElement;
        seen.set(window.getComputedStyle(element).color + " on " + window.getComputedStyle(behind || document.body).backgroundColor, element.className || element.tagName);
      }
      return Array.from(seen);
    });
    for (const [pair, where] of pairs) {
      const [text, ground] = pair.split(" on ").map((colour) => luminance(colour.match(/[\d.]+/g).slice(0, 3).map(Number)));
      const ratio = (Math.max(text, ground) + 0.05) / (Math.min(text, ground) + 0.05);
      expect("contrast in " + scheme + " of " + where, ratio >= 4.5, ratio.toFixed(2));
    }
    expect("several colours were looked at in " + scheme, pairs.length >= 3);
    await close(page, "contrast " + scheme);
  }
}

async function tryPaper(browser, file) {
  const page = await open(browser, file, "#pin=ECM.A12");
  await page.emulateMedia({ media: "print" });
  expect("paper has no buttons", (await page.locator("button:visible, nav:visible, form:visible").count()) === 0);
  expect("paper has the readings", await page.locator("table", { hasText: "Volts to expect" }).isVisible());
  const pdf = await page.pdf({ format: "A4" });
  expect("it prints", pdf.length > 10000);
  await close(page, "paper");
}

/* ---- text of strangers ---- */

async function tryHostile(browser) {
  const evil = "<img src=x onerror=alert(1)></script>\u202e&amp;";
  const text = join(work, "hostile.loom");
  writeFileSync(text, readFileSync(join(top, "harnesses/starter/starter.loom"), "utf8").replace(/^machine ".*"/m, "machine \"" + evil + "\"")
    .replace(/^(lamp \S+) ".*"/m, "$1 \"" + evil + "\""));
  const page = await open(browser, bookOf(text, "hostile"));
  expect("a hostile title is text", (await page.locator("h1").textContent()) === evil);
  expect("it made no element", (await page.locator("h1 img, main img, script[src]").count()) === 0);
  await page.evaluate(() => { window.location.hash = "#pin=" + encodeURIComponent("<img src=x onerror=alert(1)>"); });
  await page.getByRole("heading", { level: 2, name: "Not known" }).waitFor();
  expect("a hostile address is text", (await page.locator("main img").count()) === 0);
  await close(page, "hostile names");
}

/* ---- speed: told, not judged ---- */

async function tellSpeed(browser, file) {
  const page = await open(browser, file);
  const times = await page.evaluate(async () => {
    const box = document.getElementById("find"), taken = [];
    for (const typed of ["e", "ec", "ecm", "lamp", "orange", "wire 7"]) {
      const start = window.performance.now();
      box.value = typed;
      box.dispatchEvent(new window.Event("input"));
      taken.push(window.performance.now() - start);
    }
    for (const hash of ["#pin=ECM.A12", "#wire=70", "#device=ECM", "#connector=ECM.A"]) {
      const start = window.performance.now();
      window.location.hash = hash;
      window.dispatchEvent(new window.HashChangeEvent("hashchange"));
      taken.push(window.performance.now() - start);
    }
    return taken;
  });
  await page.evaluate(() => { window.location.hash = "#trouble"; });
  await page.locator("#say-kind").waitFor();
  await page.waitForTimeout(1500);  // a person reads the page before he says something
  for (const name of ["STARTER, starter", "MLP, lift pump"]) {
    const option = page.locator("#say-id option", { hasText: name.split(",")[0] }).first();
    await page.locator("#say-id").selectOption(await option.getAttribute("value"));
    await page.locator("#say-state").selectOption("2");
    times.push(await page.evaluate(() => {
      const start = window.performance.now();
      document.querySelector("form.say").requestSubmit();
      return window.performance.now() - start;
    }));
  }
  console.log("browser: answers took " + times.map((time) => time.toFixed(0)).join(", ") + " ms");
  await page.context().close();
}

mkdirSync(work, { recursive: true });
const file = bookOf(snowplow, "snowplow");
expect("the snowplow's page is under 1.5 MB", statSync(file).size < 1.5e6, String(statSync(file).size));
const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
for (const attempt of [tryFinding, tryDeepLinks, tryTrouble, tryKeyboard, tryPhone, tryScreenReader, tryContrast, tryPaper]) {
  try { await attempt(browser, file); } catch (error) { expect(attempt.name, false, error.message); }
}
try { await tryNumbers(browser, file, snowplow); } catch (error) { expect("numbers", false, error.message); }
try { await trySameRanking(browser, file, snowplow); } catch (error) { expect("ranking", false, error.message); }
try { await tryHostile(browser); } catch (error) { expect("hostile", false, error.message); }
await tellSpeed(browser, file);
await browser.close();
console.log("browser: " + passed + " passed, " + failed + " failed");
process.exit(failed === 0 ? 0 : 1);
