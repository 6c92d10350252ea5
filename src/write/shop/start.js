/* What the address says is what is shown: #pin=ECM.A12, #wire=31, #device=F3, #connector=ECM.A, #drawing=FILE, #connectors, #drawings, #trouble. */

async function start() {
  const model = readModel(await unpackText(document.getElementById("harness").textContent));
  const page = {
    model,
    lines: makeFinder(model),
    view: document.getElementById("view"),
    drawings: readDrawings(document.getElementById("drawings"), await unpackText(document.getElementById("figures").textContent)),
    box: document.getElementById("find"),
    found: document.getElementById("found"),
    told: document.getElementById("told"),
    trouble: newTrouble()
  };
  page.box.addEventListener("input", () => showFound(page));
  page.box.form.addEventListener("submit", (event) => { event.preventDefault(); openOnlyHit(page); });
  document.getElementById("print").addEventListener("click", () => window.print());
  document.getElementById("light").addEventListener("click", switchLight);
  for (const [id, by] of [["larger", 1.25], ["smaller", 0.8]]) document.getElementById(id).addEventListener("click", () => resize(page, by));
  window.addEventListener("hashchange", () => show(page, true));
  show(page, false);
}

function showFound(page) {
  const { found, more } = find(page.lines, page.box.value);
  page.found.replaceChildren(...found.map((line) => make("li", null, make("a", { href: line.href },
    make("span", { class: "kind" }, line.kind), " ", make("b", null, said(line.name)), " ", make("span", null, said(line.note))))));
  const typed = page.box.value.trim() !== "";
  page.told.textContent = !typed ? "" : found.length === 0 ? "Nothing found. Try fewer letters, a colour, or what it does."
    : found.length + " found" + (more > 0 ? ", and " + more + " more: type more to narrow it" : "");
}

/** Enter opens the best hit. */
function openOnlyHit(page) {
  const { found } = find(page.lines, page.box.value);
  if (found.length > 0) window.location.hash = found[0].href;
}

/** {kind, name} of the address; a name may hold anything. */
function readAddress() {
  const hash = window.location.hash.replace(/^#/, "");
  const at = hash.indexOf("=");
  if (at < 0) return { kind: hash, name: "" };
  try {
    return { kind: hash.slice(0, at), name: decodeURIComponent(hash.slice(at + 1)) };
  } catch {
    return { kind: hash.slice(0, at), name: hash.slice(at + 1) };
  }
}

function viewOf(page, kind, name) {
  const { model } = page;
  const known = {
    pin: [model.pinByName, pinView], wire: [model.wireByNumber, wireView],
    device: [model.deviceByName, deviceView], connector: [model.connectorByName, connectorView]
  }[kind];
  if (known) {
    const record = known[0].get(name);
    return record === undefined ? unknownView(kind, name) : known[1](model, record);
  }
  if (kind === "trouble") return troubleView(page);
  if (kind === "connectors") return connectorList(model);
  if (kind === "drawings") return drawingList(page.drawings);
  if (kind === "drawing") {
    const drawn = page.drawings.pages.find((one) => one.file === name);
    return drawn === undefined ? unknownView(kind, name) : { title: drawn.title, parts: [], lit: null, first: [] };
  }
  return null;
}

function unknownView(kind, name) {
  return {
    title: "Not known", lit: new Set(), first: [],
    parts: [make("h2", null, "Not known"), make("p", null, "This harness has no " + kind + " ", said(name),
      ". The label may be of another revision: compare the text digest at the foot of the page. Or search for it above.")]
  };
}

function show(page, moved) {
  const { kind, name } = readAddress();
  const view = viewOf(page, kind, name);
  const home = view === null;
  page.found.hidden = !home;
  document.title = (home ? "" : view.title + " - ") + (page.model.machine.title || "Harness");
  page.view.replaceChildren(...(home ? [] : view.parts));
  if (home) hideDrawings(page.drawings);
  else if (kind === "drawing") showDrawing(page.drawings, name);
  else showWaySoon(page.drawings, view.lit, view.first);
  if (!home) page.told.textContent = "";
  if (kind === "trouble") openTrouble(page);
  for (const anchor of document.querySelectorAll("header nav a")) {
    if (anchor.hash === "#" + kind) anchor.setAttribute("aria-current", "page");
    else anchor.removeAttribute("aria-current");
  }
  if (moved && !home) page.view.focus({ preventScroll: true });
  if (moved) window.scrollTo(0, 0);
  if (home && moved) page.box.focus();
}

function switchLight() {
  const root = document.documentElement;
  const dark = root.dataset.light ? root.dataset.light === "dark" : window.matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.light = dark ? "light" : "dark";
}

function resize(page, by) {
  const now = parseFloat(page.drawings.container.style.getPropertyValue("--zoom")) || 1;
  page.drawings.container.style.setProperty("--zoom", String(Math.min(4, Math.max(0.4, now * by))));
}

start().catch((error) => {
  document.getElementById("told").textContent = "This browser cannot read the page's data (" + error.message + "). Use a newer one, or the printed book.";
});
