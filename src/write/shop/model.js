/* The harness as the page carries it.  A list's index is the record's id; what is empty is left out of the data and filled in here. */

/** Unpacks base 64 of zlib's form (RFC 1950) with what browsers have built in. */
async function unpack(base64) {
  const packed = Uint8Array.from(window.atob(base64), (letter) => letter.charCodeAt(0));
  const stream = new window.Blob([packed]).stream().pipeThrough(new window.DecompressionStream("deflate"));
  return new window.Response(stream).arrayBuffer();
}

async function unpackText(base64) {
  return new window.TextDecoder().decode(await unpack(base64));
}

/** Reads the data and adds what is looked up often: names, colours in words, the pages each wire is drawn on. */
function readModel(json) {
  const model = JSON.parse(json);
  const blank = {
    devices: { text: "", place: -1 },
    connectors: { name: "", colour: "", key: "" },
    pins: { text: "", cavity: "", connector: -1, wires: [], volts: [], hops: [], known: "", source: "" },
    wires: { colour: "", from: -1, to: -1, circuit: -1, status: "", twist: "", note: "", amps: [] },
    places: { text: "" },
    states: { text: "" }
  };
  for (const [list, missing] of Object.entries(blank)) {
    model[list] = model[list].map((record, id) => ({ ...missing, ...record, id }));
  }
  model.pinByName = new Map(model.pins.map((pin) => [pin.name, pin]));
  model.wireByNumber = new Map(model.wires.map((wire) => [wire.number, wire]));
  model.deviceByName = new Map(model.devices.map((device) => [device.name, device]));
  model.connectorByName = new Map(model.connectors.map((connector) => [connectorName(model, connector), connector]));
  return model;
}

/** "ECM.A", or "ECM" when the device has one connector without a name. */
function connectorName(model, connector) {
  const device = model.devices[connector.device].name;
  return connector.name === "" ? device : device + "." + connector.name;
}

/** "RD/WH" -> "red with white". */
function colourWords(model, letters) {
  const words = letters.split("/").map((code) => (model.colours[code] || [code])[0]);
  return words[0] === "" ? "" : words.slice(0, 1).concat(words.slice(1).map((word) => "with " + word)).join(" ");
}

function pinsOf(model, owner) {
  return model.pins.slice(owner.firstPin, owner.firstPin + owner.pinCount);
}

/** The far end of a wire, seen from a pin: its pin, or null in the air. */
function otherEnd(model, wire, pin) {
  const end = wire.from === pin.id ? wire.to : wire.from;
  return end < 0 ? null : model.pins[end];
}

function placeWords(model, device) {
  if (device.place < 0) return "";
  const place = model.places[device.place];
  const reach = ["", "easy to reach", "middling to reach", "hard to reach"][place.reach] || "";
  return (place.text || place.name) + (reach === "" ? "" : " (" + reach + ")");
}

/** The steps of a pin's way: [{wire, device, from, to, depth}], null where there is none. */
function hopsOf(model, pin) {
  const flat = pin.hops, hops = [];
  const at = (list, id) => (id < 0 ? null : list[id]);
  for (let i = 0; i + 4 < flat.length; i += 5) {
    hops.push({
      wire: at(model.wires, flat[i]), device: at(model.devices, flat[i + 1]),
      from: at(model.pins, flat[i + 2]), to: at(model.pins, flat[i + 3]), depth: flat[i + 4]
    });
  }
  return hops;
}

/** Numbers of all wires on the way of a pin. */
function wiresOnWay(model, pin) {
  return new Set(hopsOf(model, pin).filter((hop) => hop.wire !== null).map((hop) => hop.wire.number));
}
