/* Building the page.  Text of the harness only ever goes in as text. */

/** make("a", {href: "#x"}, "words", child): an element; attributes that are null are left out. */
function make(name, attributes, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes || {})) {
    if (value !== null) element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child !== null));
  return element;
}

function link(kind, name, words) {
  return make("a", { href: hrefOf(kind, name) }, make("bdi", null, words || name));
}

/** A name from the harness, kept from turning the words around it. */
function said(words) {
  return make("bdi", null, words);
}

/** rows: lists of cells (text or nodes), the first is the row's heading. */
function makeTable(caption, heads, rows) {
  const cell = (content, first) => make(first ? "th" : "td", first ? { scope: "row" } : null, ...[content].flat());
  return make("div", { class: "scroll" },
    make("table", null,
      make("caption", null, caption),
      make("thead", null, make("tr", null, ...heads.map((head) => make("th", { scope: "col" }, head)))),
      make("tbody", null, ...rows.map((row) => make("tr", null, ...row.map((content, i) => cell(content, i === 0)))))));
}

function facts(pairs) {
  return make("dl", { class: "facts" }, ...pairs.filter(([, value]) => value !== "" && value !== null)
    .map(([name, value]) => make("div", null, make("dt", null, name), make("dd", null, ...[value].flat()))));
}

/** What is folded away is made when it is opened: most of it never is. */
function folded(words, build) {
  const details = make("details", null, make("summary", null, words));
  details.addEventListener("toggle", () => details.append(...build()), { once: true });
  return details;
}

/** A sample of the insulation, for those who see it; its letters stand beside it. */
function sample(model, letters) {
  const space = "http://www.w3.org/2000/svg";
  const rgb = letters.split("/").map((code) => (model.colours[code] || ["", null])[1]);
  const svg = document.createElementNS(space, "svg");
  const rect = (x, y, width, height, fill) => {
    const box = document.createElementNS(space, "rect");
    const look = { x, y, width, height, fill, stroke: "#333", "stroke-width": 0.8 };
    for (const [key, value] of Object.entries(look)) box.setAttribute(key, value);
    svg.append(box);
  };
  svg.setAttribute("viewBox", "0 0 30 11");
  svg.setAttribute("class", "sample");
  svg.setAttribute("aria-hidden", "true");
  if (!rgb[0]) return null;
  rect(0.5, 0.5, 29, 10, rgb[0]);
  for (let i = 0; rgb[1] && i < 4; i++) rect(2.2 + 7 * i, 3.4, 4.6, 4.2, rgb[2] && i % 2 ? rgb[2] : rgb[1]);
  return svg;
}

function wireWords(model, wire) {
  return [link("wire", wire.number, "wire " + wire.number), ", " + wire.size + " ", sample(model, wire.colour),
    wire.colour === "" ? "" : " " + wire.colour].filter((part) => part !== null);
}
