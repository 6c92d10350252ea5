/* Role conflicts: what wires, splices, joints, fuses and disconnects tie together, and whether the
 * roles there bear each other. Needs no solution.  Also the twist of data links. */
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

struct tied {        /* the pins with roles of one net, by role */
  const pl_id *next; /* pin -> next pin of the net, in order */
  pl_id head;
  uint8_t pole;
};

static uint32_t
count(const struct pl_check *check, const struct tied *net, enum pl_role role, pl_id *first) {
  uint32_t n = 0;
  for (pl_id p = net->head; p != PL_NONE; p = net->next[p]) {
    if (check->harness->pins.at[p].role != role)
      continue;
    if (n++ != 0)
      continue;
    if (first == NULL)
      continue;
    *first = p;
  }
  return n;
}

static const char *
names(const struct pl_check *check, const struct tied *net, enum pl_role a, enum pl_role b) {
  PL_VEC(const char *) list = {0};
  for (pl_id p = net->head; p != PL_NONE; p = net->next[p]) {
    enum pl_role role = check->harness->pins.at[p].role;
    if (role == a || role == b)
      PL_PUSH(check->arena, &list, pl_say_place(check, p));
  }
  return pl_say_some(check, list.at, list.n, 5);
}

static void report(struct pl_check *check,
                   pl_id pin,
                   enum pl_severity severity,
                   const char *text,
                   const char *remedy) {
  struct pl_finding f = pl_finding_new("role-conflict",
                                       severity,
                                       pl_pin_wiring_span(check->harness, pin),
                                       check->harness->pins.at[pin].full);
  f.text = text;
  f.remedy = remedy;
  pl_findings_add(check->findings, f);
}

/* A pole of a source must not meet these roles without a load between. */
static const struct {
  uint8_t pole;
  enum pl_role role;
  enum pl_severity severity;
  const char *why, *remedy;
} against_pole[] = {
    {PL_POLE_PLUS,
     PL_ROLE_LOW_SIDE,
     PL_DANGER,
     "joined straight to battery plus: it is a short circuit as soon as the output is on",
     "put the load between the feed and this output"},
    {PL_POLE_MINUS,
     PL_ROLE_HIGH_SIDE,
     PL_DANGER,
     "joined straight to ground: it is a short circuit as soon as the output is on",
     "put the load between this output and ground"},
    {PL_POLE_PLUS,
     PL_ROLE_GROUND,
     PL_DANGER,
     "joined to battery plus: the module would be fed through its ground",
     "move the wire to a ground point"},
    {PL_POLE_MINUS,
     PL_ROLE_BATTERY_FEED,
     PL_FAULT,
     "joined to ground",
     "move the wire to a fused feed"},
    {PL_POLE_MINUS,
     PL_ROLE_KEYED_INPUT,
     PL_FAULT,
     "joined to ground: the key can never wake the module",
     "move the wire to a node that is live in run and in start"},
    {PL_POLE_PLUS,
     PL_ROLE_HIGH_SIDE,
     PL_FAULT,
     "joined to battery plus: it feeds back into the module and can never switch off",
     "take the feed off this output"},
    {PL_POLE_PLUS,
     PL_ROLE_SENSOR_SUPPLY,
     PL_DANGER,
     "joined to battery plus: full battery volts on every sensor of this supply",
     "keep the sensor supply to its sensors only"},
    {PL_POLE_MINUS,
     PL_ROLE_SENSOR_SUPPLY,
     PL_FAULT,
     "joined to ground: the supply is shorted",
     "keep the sensor supply to its sensors only"},
    {PL_POLE_PLUS,
     PL_ROLE_SENSOR_RETURN,
     PL_DANGER,
     "joined to battery plus: current would enter the module by its clean ground",
     "keep the sensor return to its sensors only"},
    {PL_POLE_MINUS,
     PL_ROLE_SENSOR_RETURN,
     PL_FAULT,
     "tied to the power ground: load currents shift every sensor's reading, and may return through "
     "the module",
     "run the sensors' returns to this pin only, and not to the chassis"},
    {PL_POLE_PLUS,
     PL_ROLE_DATA_HIGH,
     PL_DANGER,
     "a data line joined to battery plus",
     "keep the data pair to its modules and terminators"},
    {PL_POLE_PLUS,
     PL_ROLE_DATA_LOW,
     PL_DANGER,
     "a data line joined to battery plus",
     "keep the data pair to its modules and terminators"},
    {PL_POLE_MINUS,
     PL_ROLE_DATA_HIGH,
     PL_FAULT,
     "a data line joined to ground",
     "keep the data pair to its modules and terminators"},
    {PL_POLE_MINUS,
     PL_ROLE_DATA_LOW,
     PL_FAULT,
     "a data line joined to ground",
     "keep the data pair to its modules and terminators"},
};

static void check_against_pole(struct pl_check *check, const struct tied *net) {
  for (uint32_t i = 0; i < sizeof against_pole / sizeof against_pole[0]; i++) {
    pl_id pin = PL_NONE;
    if (against_pole[i].pole != net->pole)
      continue;
    if (count(check, net, against_pole[i].role, &pin) == 0)
      continue;
    report(check,
           pin,
           against_pole[i].severity,
           pl_arena_printf(check->arena,
                           "%s: %s",
                           names(check, net, against_pole[i].role, against_pole[i].role),
                           against_pole[i].why),
           against_pole[i].remedy);
  }
}

static void check_pairs(struct pl_check *check, const struct tied *net) {
  pl_id high = PL_NONE;
  pl_id low = PL_NONE;
  pl_id pin = PL_NONE;
  uint32_t highs = count(check, net, PL_ROLE_HIGH_SIDE, &high);
  uint32_t lows = count(check, net, PL_ROLE_LOW_SIDE, &low);
  if (highs + lows > 1 && net->pole == 0) {
    bool against = highs > 0 && lows > 0;
    report(check,
           highs > 0 && (lows == 0 || high < low) ? high : low,
           against ? PL_DANGER : PL_FAULT,
           pl_arena_printf(check->arena,
                           "outputs tied together: %s%s",
                           names(check, net, PL_ROLE_HIGH_SIDE, PL_ROLE_LOW_SIDE),
                           against ? "; one feeds what the other grounds"
                                   : "; one switches on what the other means to be off"),
           "give each output its own load, or isolate them with diodes where the maker allows it");
  }
  if (count(check, net, PL_ROLE_SENSOR_SUPPLY, &pin) > 1)
    report(check,
           pin,
           PL_FAULT,
           pl_arena_printf(check->arena,
                           "sensor supplies tied together: %s",
                           names(check, net, PL_ROLE_SENSOR_SUPPLY, PL_ROLE_SENSOR_SUPPLY)),
           "feed each sensor from the supply that its maker names");
  if (count(check, net, PL_ROLE_SENSOR_SUPPLY, NULL) > 0 &&
      count(check, net, PL_ROLE_SENSOR_RETURN, &pin) > 0)
    report(check,
           pin,
           PL_FAULT,
           pl_arena_printf(check->arena,
                           "sensor supply and sensor return tied together: %s",
                           names(check, net, PL_ROLE_SENSOR_SUPPLY, PL_ROLE_SENSOR_RETURN)),
           "the supply and the return meet only through a sensor");
  if (count(check, net, PL_ROLE_DATA_LOW, NULL) > 0 &&
      count(check, net, PL_ROLE_DATA_HIGH, &pin) > 0)
    report(check,
           pin,
           PL_FAULT,
           pl_arena_printf(check->arena,
                           "data high and data low tied together: %s",
                           names(check, net, PL_ROLE_DATA_HIGH, PL_ROLE_DATA_LOW)),
           "swap the two wires at one end: high goes to high");
}

static void check_shorts(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_STORE))
      continue;
    if (device->plus == PL_NONE)
      continue;
    if (device->minus == PL_NONE)
      continue;
    if (!pl_same_net(check, device->plus, device->minus))
      continue;
    struct pl_finding f = pl_finding_new("role-conflict",
                                         PL_DANGER,
                                         pl_pin_wiring_span(h, device->plus),
                                         device->name);
    f.text = pl_arena_printf(check->arena,
                             "the poles of %s are joined with no load between: a dead short",
                             device->name);
    f.remedy = "follow the cables from its plus: one of them ends on ground";
    pl_findings_add(check->findings, f);
  }
}

static pl_id *by_net(const struct pl_check *check, pl_id *head) {
  uint32_t pins = check->harness->pins.n;
  pl_id *next = PL_NEW_ARRAY(check->arena, pl_id, (size_t)pins + 1);
  for (pl_id p = 0; p < pins; p++)
    head[p] = PL_NONE;
  for (pl_id p = pins; p-- > 0;) {
    enum pl_role role = check->harness->pins.at[p].role;
    if (role == PL_ROLE_PASSIVE || role == PL_ROLE_PLUS)
      continue;
    if (role == PL_ROLE_MINUS || role == PL_ROLE_UNUSED)
      continue;
    const struct pl_device *device = pl_pin_device(check->harness, p);
    if (pl_kind_is_but(device->kind, PL_IS_PLUG, PL_IS_INLINE))
      continue; /* repeats a module's role */
    next[p] = head[check->facts->net[p]];
    head[check->facts->net[p]] = p;
  }
  return next;
}

void pl_rule_role_conflict(struct pl_check *check) {
  uint32_t pins = check->harness->pins.n;
  pl_id *head = PL_NEW_ARRAY(check->arena, pl_id, (size_t)pins + 1);
  pl_id *next = by_net(check, head);
  for (pl_id p = 0; p < pins; p++) {
    if (head[p] == PL_NONE)
      continue;
    struct tied net = {next, head[p], check->facts->pole[p]};
    check_against_pole(check, &net);
    check_pairs(check, &net);
  }
  check_shorts(check);
}

/* ---- data links ---- */

enum {
  HIGH = 1,
  LOW = 2
};

static uint8_t *data_nets(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  uint8_t *line = PL_BY_PIN(check, uint8_t);
  for (pl_id p = 0; p < h->pins.n; p++) {
    if (h->pins.at[p].role == PL_ROLE_DATA_HIGH)
      line[check->facts->net[p]] |= HIGH;
    if (h->pins.at[p].role == PL_ROLE_DATA_LOW)
      line[check->facts->net[p]] |= LOW;
  }
  return line;
}

static uint8_t line_of(const struct pl_check *check, const uint8_t *line, pl_id w) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  if (pl_wire_joins(wire))
    return line[check->facts->net[wire->end[0]]];
  return 0;
}

static bool
same_devices(const struct pl_harness *h, const struct pl_wire *a, const struct pl_wire *b) {
  pl_id a0 = h->pins.at[a->end[0]].device;
  pl_id a1 = h->pins.at[a->end[1]].device;
  pl_id b0 = h->pins.at[b->end[0]].device;
  pl_id b1 = h->pins.at[b->end[1]].device;
  if (a0 == b0 && a1 == b1)
    return true;
  return a0 == b1 && a1 == b0;
}

/* The wire of the other line that goes the same way, and whether one twisted with `w` is there. */
static pl_id partner(const struct pl_check *check,
                     const uint8_t *line,
                     const pl_ids *data,
                     pl_id w,
                     bool *twisted) {
  const struct pl_harness *h = check->harness;
  const struct pl_wire *wire = &h->wires.at[w];
  uint8_t other = HIGH;
  if (line_of(check, line, w) == HIGH)
    other = LOW;
  pl_id found = PL_NONE;
  *twisted = false;
  for (uint32_t i = 0; i < data->n; i++) {
    const struct pl_wire *with = &h->wires.at[data->at[i]];
    if (line_of(check, line, data->at[i]) != other)
      continue;
    if (found == PL_NONE && same_devices(h, wire, with))
      found = data->at[i];
    if (wire->twist[0] != '\0' && strcmp(wire->twist, with->twist) == 0)
      *twisted = true;
  }
  return found;
}

void pl_rule_twist_missing(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const uint8_t *line = data_nets(check);
  pl_ids data = {0};
  for (pl_id w = 0; w < h->wires.n; w++) {
    uint8_t of = line_of(check, line, w);
    if (of == HIGH || of == LOW)
      PL_PUSH(check->arena, &data, w);
  }
  for (uint32_t i = 0; i < data.n; i++) {
    bool twisted, other_twisted;
    pl_id w = data.at[i];
    pl_id with = partner(check, line, &data, w, &twisted);
    if (twisted)
      continue;
    bool low = line_of(check, line, w) == LOW;
    if (low && with != PL_NONE) {
      partner(check, line, &data, with, &other_twisted);
      if (!other_twisted)
        continue; /* said at the high wire */
    }
    struct pl_finding f =
        pl_finding_new("twist-missing", PL_FAULT, h->wires.at[w].span, pl_say_wire(check, w));
    f.text = pl_arena_printf(
        check->arena,
        "wire %s, data %s, is not twisted with its partner%s%s: the pair picks up noise",
        h->wires.at[w].number,
        low ? "low" : "high",
        with == PL_NONE ? "" : ", ",
        with == PL_NONE ? "" : pl_say_wire(check, with));
    f.remedy = "use a twisted pair and write the same `twist NAME` on both rows";
    pl_ids pair = {0};
    PL_PUSH(check->arena, &pair, w);
    if (with != PL_NONE)
      PL_PUSH(check->arena, &pair, with);
    f.wires = pair.at;
    f.wire_count = pair.n;
    pl_findings_add(check->findings, f);
  }
}
