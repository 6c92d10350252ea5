/* The circuit pages: which are shown, which wires stand out, and what a tap on them opens. */

/** Puts up the figures, [[file, title, SVG as Pinloom wrote it]], and lets wires and devices be tapped and reached with the keyboard. */
function readDrawings(container, json) {
  const pages = JSON.parse(json).map(([file, title, svg]) => {
    const drawn = new window.DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    const figure = make("figure", { "data-file": file }, make("figcaption", null, title), make("div", { class: "scroll" }, document.importNode(drawn, true)));
    const wires = new Map();
    container.append(figure);
    for (const group of figure.querySelectorAll("g[data-what]")) {
      const what = group.dataset.what, name = group.dataset.name;
      if (what === "wire") {
        if (!wires.has(name)) wires.set(name, []);
        wires.get(name).push(group);
      }
      if (what === "wire" || what === "device") makeTappable(group, what, name);
    }
    for (const anchor of figure.querySelectorAll("a")) redirect(anchor);
    return { figure, file, title, wires };
  });
  return { container, pages };
}

function makeTappable(group, what, name) {
  const open = () => { window.location.hash = hrefOf(what, name); };
  group.setAttribute("tabindex", "0");
  group.setAttribute("role", "link");
  group.addEventListener("click", (event) => { event.preventDefault(); open(); });
  group.addEventListener("keydown", (event) => { if (event.key === "Enter") open(); });
}

/** References lead to another page of the same set: here they lead to it inside this file. */
function redirect(anchor) {
  const space = "http://www.w3.org/1999/xlink";
  const target = anchor.getAttributeNS(space, "href") || "";
  const file = target.split("#")[0];
  if (!file.endsWith(".svg")) return;
  anchor.setAttributeNS(space, "href", hrefOf("drawing", file));
}

/** What was asked for comes first; the drawings below it follow with the next picture the screen shows. */
function showWaySoon(drawings, lit, first) {
  const turn = (drawings.turn || 0) + 1;
  drawings.turn = turn;
  drawings.container.hidden = true;
  window.requestAnimationFrame(() => window.setTimeout(() => { if (drawings.turn === turn) showWay(drawings, lit, first); }));
}

/** Shows the pages that have any of these wires, the ones with `first` before the others; dims what is not on the way. */
function showWay(drawings, lit, first) {
  let count = 0, leading = null;
  for (const page of drawings.pages) {
    const here = Array.from(lit).filter((number) => page.wires.has(number));
    const svg = page.figure.querySelector("svg");
    page.figure.hidden = here.length === 0;
    svg.classList.toggle("tracing", here.length > 0);
    for (const [number, groups] of page.wires) for (const group of groups) group.classList.toggle("lit", lit.has(number));
    if (here.length === 0) continue;
    count++;
    if (leading === null && first.some((number) => page.wires.has(number))) leading = page;
  }
  if (leading !== null) drawings.container.querySelector("figure").before(leading.figure);
  drawings.container.hidden = count === 0;
  if (leading !== null) bringIntoView(leading, first);
  return count;
}

/** Scrolls a drawing sideways to the first of the wires, without moving the page. */
function bringIntoView(page, first) {
  const frame = page.figure.querySelector(".scroll");
  const number = first.find((wire) => page.wires.has(wire));
  const box = page.wires.get(number)[0].getBoundingClientRect(), outer = frame.getBoundingClientRect();
  frame.scrollLeft += box.left - outer.left - (outer.width - box.width) / 2;
}

function showDrawing(drawings, file) {
  drawings.turn = (drawings.turn || 0) + 1;
  for (const page of drawings.pages) {
    page.figure.hidden = page.file !== file;
    page.figure.querySelector("svg").classList.remove("tracing");
  }
  drawings.container.hidden = !drawings.pages.some((page) => page.file === file);
}

function hideDrawings(drawings) {
  drawings.turn = (drawings.turn || 0) + 1;
  drawings.container.hidden = true;
}

function drawingList(drawings) {
  return {
    title: "Drawings",
    parts: [make("h2", null, "Circuit drawings"), make("ul", { class: "tiles" }, ...drawings.pages.map((page) =>
      make("li", null, link("drawing", page.file, page.title))))],
    lit: new Set(), first: []
  };
}
