/* One view for each kind of thing: pin, wire, device, connector, drawing, and the lists of the last two. */

function pinView(model, pin) {
  const device = model.devices[pin.device];
  const connector = pin.connector < 0 ? null : model.connectors[pin.connector];
  const where = connector === null ? null : [
    "cavity " + pin.cavity + " of ", link("connector", connectorName(model, connector)),
    ", row " + pin.row + ", place " + pin.column + " from the left, seen from the wire side"];
  const parts = [
    make("h2", null, said(pin.name)),
    facts([
      ["Function", said(pin.text)],
      ["What it is", [pin.role + " of ", link("device", device.name), device.text === "" ? "" : " (" + device.text + ")"]],
      ["Where", said(placeWords(model, device))],
      ["Cavity", where],
      ["Known from", pin.known === "" ? "" : said(pin.known + (pin.source === "" ? "" : ", " + pin.source))]
    ].filter(([name]) => name !== "Function" || pin.text !== ""))];
  if (pin.known === "guess" || pin.known === "web") {
    parts.push(make("p", { class: "care" }, "This pin's fact is a claim (" + pin.known + "): measure before trusting."));
  }
  if (pin.wires.length === 0) parts.push(make("p", null, pin.plugged ? "Empty, with a cavity plug." : "No wire."));
  if (pin.volts.length > 0) parts.push(voltsTable(model, pin));
  if (pin.hops.length > 0) parts.push(make("h3", null, "Where it goes"), wayList(model, pin));
  if (connector !== null) parts.push(make("h3", null, "Its place in the connector"), face(model, connector, pin));
  return { title: pin.name, parts, lit: wiresOnWay(model, pin), first: pin.wires.map((wire) => model.wires[wire].number) };
}

function voltsTable(model, pin) {
  return makeTable("Volts to expect, black lead on the battery's earthed post, everything plugged in", ["State", "Reading", "What the state is"],
    model.states.map((state, i) => [said(state.name), pin.volts[i], said(state.text)]));
}

function wayList(model, pin) {
  const list = make("ul", { class: "way" });
  let last = null;
  for (const hop of hopsOf(model, pin)) {
    const begin = last !== null && last.to !== hop.from && last.from !== hop.from ? ["from ", link("pin", hop.from.name), ": "] : [];
    const step = hop.wire !== null ? wireWords(model, hop.wire).concat([", " + hop.wire.length + ", to "])
      : ["through " + hop.device.kind + " ", link("device", hop.device.name), " to "];
    const far = hop.to === null ? ["nowhere (in the air)"] : [link("pin", hop.to.name), hop.to.text === "" ? "" : " (" + hop.to.text + ")"];
    const item = make("li", null, ...begin, ...step, ...far);
    item.style.marginInlineStart = Math.min(hop.depth, 6) * 0.9 + "em";
    list.append(item);
    last = hop;
  }
  return list;
}

function wireView(model, wire) {
  const end = (id) => (id < 0 ? "in the air" : [link("pin", model.pins[id].name), model.pins[id].text === "" ? "" : " (" + model.pins[id].text + ")"]);
  const from = wire.from < 0 ? wire.to : wire.from;
  const parts = [
    make("h2", null, "Wire ", said(wire.number)),
    facts([
      ["Colour", wire.colour === "" ? "" : [sample(model, wire.colour), " " + wire.colour + ", " + colourWords(model, wire.colour)]],
      ["Size", wire.size], ["Length", wire.length], ["From", end(wire.from)], ["To", end(wire.to)],
      ["Circuit", said(model.circuits[wire.circuit] || "")], ["Kind", wire.status], ["Twisted with", said(wire.twist)], ["Note", said(wire.note)]
    ].filter(([, value]) => !(value instanceof Node) || value.textContent !== ""))];
  if (wire.amps.length > 0) parts.push(makeTable("Amps in it", ["State", "Amps"], model.states.map((state, i) => [said(state.name), wire.amps[i]])));
  if (from >= 0) {
    parts.push(make("h3", null, "Its whole way, from ", said(model.pins[from].name)), wayList(model, model.pins[from]));
    parts.push(voltsTable(model, model.pins[from]));
  }
  const lit = from < 0 ? new Set() : wiresOnWay(model, model.pins[from]);
  lit.add(wire.number);
  return { title: "Wire " + wire.number, parts, lit, first: [wire.number] };
}

function pinRows(model, pins) {
  return pins.map((pin) => {
    const wires = pin.wires.map((id) => model.wires[id]);
    const ends = wires.map((wire) => otherEnd(model, wire, pin));
    return [
      link("pin", pin.name, pin.cavity || pin.name), said(pin.text || pin.role),
      wires.length === 0 ? (pin.plugged ? "plug" : "no wire") : wires.flatMap((wire, i) => (i > 0 ? ["; "] : []).concat(wireWords(model, wire))),
      ends.flatMap((end, i) => (i > 0 ? ["; "] : []).concat(end === null ? ["in the air"] : [link("pin", end.name)]))];
  });
}

function deviceView(model, device) {
  const pins = pinsOf(model, device);
  const connectors = model.connectors.filter((connector) => connector.device === device.id);
  return {
    title: device.name,
    parts: [
      make("h2", null, said(device.name)),
      facts([["What it is", [device.kind, device.text === "" ? "" : ": " + device.text]],
        ["Rating", device.rating === undefined ? "" : device.rating + " A"],
        ["Where", device.place < 0 ? "" : said(placeWords(model, device))],
        ["Connectors", connectors.flatMap((connector, i) => (i > 0 ? [", "] : []).concat([link("connector", connectorName(model, connector))]))]
      ].filter(([, value]) => !Array.isArray(value) || value.length > 0)),
      makeTable("Its pins", ["Pin", "Function", "Wire", "Goes to"], pinRows(model, pins))],
    lit: new Set(pins.flatMap((pin) => pin.wires.map((id) => model.wires[id].number))),
    first: pins.flatMap((pin) => pin.wires.map((id) => model.wires[id].number))
  };
}

/** The face as the person sees it who holds the connector with the wires towards him. */
function face(model, connector, marked) {
  const grid = make("div", { class: connector.round ? "face round" : "face", role: "group",
    "aria-label": "Face of " + connectorName(model, connector) + ", seen from the wire side" });
  for (const pin of pinsOf(model, connector)) {
    const wire = pin.wires.length > 0 ? model.wires[pin.wires[0]] : null;
    const state = wire === null ? (pin.plugged ? "plug" : "empty") : "wire " + wire.number + " " + wire.colour;
    const cell = make("a", {
      href: hrefOf("pin", pin.name), class: (wire === null ? "cavity empty" : "cavity") + (marked === pin ? " here" : ""),
      "aria-label": "Cavity " + pin.cavity + ", " + state + (pin.text === "" ? "" : ", " + pin.text),
      "aria-current": marked === pin ? "true" : null
    }, make("b", null, pin.cavity), make("span", null, wire === null ? state : wire.number), wire === null ? null : sample(model, wire.colour));
    cell.style.gridRow = String(pin.row);
    cell.style.gridColumn = String(pin.column);
    grid.append(cell);
  }
  const key = connector.key === "" ? "" : " Keying: " + connector.key + ".";
  return make("figure", { class: "facing" }, make("div", { class: "scroll" }, grid),
    make("figcaption", null, "Seen from the wire side (wires towards you)." + key + " Tap a cavity."));
}

function connectorView(model, connector) {
  const pins = pinsOf(model, connector), device = model.devices[connector.device], name = connectorName(model, connector);
  return {
    title: name,
    parts: [
      make("h2", null, "Connector ", said(name)),
      facts([["On", [link("device", device.name), device.text === "" ? "" : " (" + device.text + ")"]],
        ["Where", device.place < 0 ? "" : said(placeWords(model, device))], ["Colour", connector.colour]]),
      face(model, connector, null),
      makeTable("Cavities", ["Cavity", "Function", "Wire", "Goes to"], pinRows(model, pins))],
    lit: new Set(), first: []
  };
}

function connectorList(model) {
  return {
    title: "Connectors",
    parts: [make("h2", null, "Connectors"), make("ul", { class: "tiles" }, ...model.connectors.map((connector) =>
      make("li", null, link("connector", connectorName(model, connector)), make("span", null, model.devices[connector.device].text))))],
    lit: new Set(), first: []
  };
}
