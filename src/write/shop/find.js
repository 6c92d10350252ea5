/* Search: pins, wires, devices, connectors, circuits, by name, number, colour or function. */

const FIND_MOST = 60;

/** One searchable line a record: {kind, name, words, href, note}. */
function makeFinder(model) {
  const lines = [];
  const add = (kind, name, note, href, words) =>
    lines.push({ kind, name, note, href, words: (name + " " + note + " " + words).toLowerCase(), plain: name.toLowerCase() });
  for (const wire of model.wires) {
    const ends = [wire.from, wire.to].map((end) => (end < 0 ? "in the air" : model.pins[end].name)).join(" to ");
    add("wire", wire.number, [wire.size, wire.colour, ends].join(" ").trim(), hrefOf("wire", wire.number),
      "wire " + colourWords(model, wire.colour) + " " + (model.circuits[wire.circuit] || ""));
  }
  for (const device of model.devices) {
    add(device.kind, device.name, device.text, hrefOf("device", device.name), placeWords(model, device));
  }
  for (const connector of model.connectors) {
    const device = model.devices[connector.device], name = connectorName(model, connector);
    add("connector", name, device.text, hrefOf("connector", name), connector.colour + " connector");
  }
  for (const pin of model.pins) {
    if (pin.wires.length === 0 && pin.text === "") continue;
    const colours = pin.wires.map((wire) => model.wires[wire].colour + " " + colourWords(model, model.wires[wire].colour)).join(" ");
    add("pin", pin.name, pin.text || model.devices[pin.device].text, hrefOf("pin", pin.name), "pin " + pin.role + " " + colours);
  }
  return lines;
}

function hrefOf(kind, name) {
  return "#" + kind + "=" + encodeURIComponent(name);
}

/** The best lines for what was typed: whole name first, then its beginning, then anywhere; in the harness's order. */
function find(lines, typed) {
  const words = typed.toLowerCase().split(/\s+/).filter((word) => word !== "");
  if (words.length === 0) return { found: [], more: 0 };
  const whole = words.join(" ");
  const hits = [];
  lines.forEach((line, order) => {
    if (!words.every((word) => line.words.includes(word))) return;
    const plain = line.plain;
    let rank = 3;
    if (plain === whole) rank = 0;
    else if (plain.startsWith(whole)) rank = 1;
    else if (words.some((word) => plain.includes(word))) rank = 2;
    hits.push({ line, rank, order });
  });
  hits.sort((a, b) => a.rank - b.rank || a.order - b.order);
  return { found: hits.slice(0, FIND_MOST).map((hit) => hit.line), more: Math.max(0, hits.length - FIND_MOST) };
}
