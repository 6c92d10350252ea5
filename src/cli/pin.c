/* `pinloom pin`: one pin and all that is to be known of it at the machine. */
#include "cli/pin.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "cli/find_names.h"
#include "probe/probe.h"
#include "suspect/suspects.h"

/* ---- what and where it is ---- */

static const char *reach_words(const struct pl_place *place) {
  if (place->reach == 1)
    return "easy";
  if (place->reach == 3)
    return "hard";
  return "middling";
}

static void
pin_head(struct pl_buffer *out, const struct pl_harness *harness, const struct pl_pin *pin) {
  const struct pl_device *device = &harness->devices.at[pin->device];
  pl_buffer_printf(out, "%s", pin->full);
  if (pin->text[0] != '\0')
    pl_buffer_printf(out, "  \"%s\"", pin->text);
  pl_id id = (pl_id)(pin - harness->pins.at);
  if (strcmp(pin->full, device->name) == 0) /* a stud or a splice is its own pin */
    pl_buffer_printf(out, "\n  %s", pl_kind_name(device->kind));
  else
    pl_buffer_printf(out,
                     "\n  %s of %s %s",
                     id == device->coil_a || id == device->coil_b ? "coil"
                                                                  : pl_role_name(pin->role),
                     pl_kind_name(device->kind),
                     device->name);
  if (device->text[0] != '\0')
    pl_buffer_printf(out, " (%s)", device->text);
  if (device->place != PL_NONE) {
    const struct pl_place *place = &harness->places.at[device->place];
    bool told = place->text[0] != '\0' && strcmp(place->text, place->name) != 0;
    pl_buffer_printf(out,
                     ", at %s%s%s%s, %s to reach",
                     place->name,
                     told ? " (" : "",
                     told ? place->text : "",
                     told ? ")" : "",
                     reach_words(place));
  }
  pl_buffer_puts(out, "\n");
  if (pin->connector != PL_NONE) {
    const struct pl_connector *connector = &harness->connectors.at[pin->connector];
    pl_buffer_printf(
        out,
        "  cavity %s of connector %s, row %u, place %u from the left, seen from the wire side\n",
        pin->cavity,
        connector->name[0] != '\0' ? connector->name : device->name,
        pin->row,
        pin->column);
  }
  if (pin->sure != PL_SURE_NOT_SAID)
    pl_buffer_printf(out,
                     "  this fact is from: %s%s%s\n",
                     pl_sure_name(pin->sure),
                     pin->sure_text[0] != '\0' ? ", " : "",
                     pin->sure_text);
}

/* `last` is the hop printed before, or NULL: where this one neither goes on from it nor starts
 * beside it, it says where it starts. */
static void pin_hop(struct pl_buffer *out,
                    const struct pl_harness *harness,
                    const struct pl_hop *hop,
                    const struct pl_hop *last) {
  const struct pl_pin *to = NULL;
  if (hop->to < harness->pins.n)
    to = &harness->pins.at[hop->to];
  pl_buffer_printf(out, "  %*s", (int)(hop->depth * 2), "");
  if (last != NULL && last->to != hop->from && last->from != hop->from &&
      hop->from < harness->pins.n)
    pl_buffer_printf(out, "from %s: ", harness->pins.at[hop->from].full);
  if (hop->wire != PL_NONE) {
    const struct pl_wire *wire = &harness->wires.at[hop->wire];
    pl_cli_put_wire(out, wire);
    pl_buffer_printf(out, ", to %s", pl_probe_far_end(harness, hop->wire, hop->from));
  } else {
    const struct pl_device *device = &harness->devices.at[hop->device];
    pl_buffer_printf(out,
                     "through %s %s to %s",
                     pl_kind_name(device->kind),
                     device->name,
                     to == NULL ? "" : to->full);
  }
  if (to != NULL && to->text[0] != '\0')
    pl_buffer_printf(out, " (%s)", to->text);
  pl_buffer_puts(out, "\n");
}

/* ---- from the source and to ground ---- */

/* One piece of a way, and the pin it leads to. */
static void put_piece(struct pl_buffer *out,
                      const struct pl_harness *harness,
                      const struct pl_element *e,
                      pl_id to) {
  if (e->wire != PL_NONE)
    pl_buffer_printf(out, "wire %s", harness->wires.at[e->wire].number);
  else if (e->device != PL_NONE)
    pl_buffer_printf(out,
                     "%s %s",
                     pl_kind_name(harness->devices.at[e->device].kind),
                     harness->devices.at[e->device].name);
  if (to < harness->pins.n)
    pl_buffer_printf(out, ", %s", harness->pins.at[to].full);
  pl_buffer_puts(out, "\n");
}

static bool put_way(struct pl_buffer *out,
                    struct pl_session *session,
                    const struct pl_solution *solution,
                    pl_id id,
                    bool ground) {
  const struct pl_harness *harness = &session->harness;
  uint32_t *path;
  uint32_t n = pl_solution_path(session->network,
                                solution,
                                id,
                                ground != harness->machine.positive_earth,
                                session->arena,
                                &path);
  pl_id at = id;

  if (n < 2)
    return false; /* nothing, or the source itself */
  pl_buffer_printf(out,
                   "\n%s in state %s, from here on\n",
                   ground ? "Its way to ground" : "Its way to the source",
                   harness->states.at[solution->state].name);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &solution->elements[path[i]];
    bool source = e->device != PL_NONE && i + 1 == n;
    bool forward = at < harness->pins.n && e->pin_a != PL_NONE &&
                   pl_network_pin_node(session->network, at) == e->node_a;
    if (source)
      at = PL_NONE;
    else if (forward)
      at = e->pin_b;
    else
      at = e->pin_a;
    pl_buffer_puts(out, "  ");
    put_piece(out, harness, e, at);
  }
  return true;
}

/* Each in the first state in which current flows that way; to the source only where the pin is
 * live. */
static void put_ways(struct pl_buffer *out, struct pl_session *session, pl_id id) {
  const struct pl_harness *harness = &session->harness;

  for (int ground = 0; ground < 2; ground++)
    for (pl_id s = 0; s < harness->states.n; s++) {
      const struct pl_solution *solution = &session->solutions[s];
      if (solution->status != PL_SOLVED)
        continue;
      if (isnan(solution->pin_volts[id]))
        continue;
      if (ground == 0 && !(fabs(solution->pin_volts[id]) > 0.5 * harness->machine.volts))
        continue;
      if (put_way(out, session, solution, id, ground == 1))
        break;
    }
}

/* The cavities beside it, for the eye and for shorts between them. */
static void put_neighbours(struct pl_buffer *out, const struct pl_harness *harness, pl_id id) {
  static const struct {
    int row, column;
    const char *where;
  } sides[] = {{0, -1, "left"}, {0, 1, "right"}, {-1, 0, "above"}, {1, 0, "below"}};
  const struct pl_pin *pin = &harness->pins.at[id];

  if (pin->connector == PL_NONE)
    return;
  if (pin->row == 0)
    return;
  const struct pl_connector *c = &harness->connectors.at[pin->connector];
  pl_buffer_puts(out, "\nBeside it, seen from the wire side\n");
  for (size_t i = 0; i < sizeof sides / sizeof *sides; i++)
    for (pl_id other = c->first_pin; other < c->first_pin + c->pin_count; other++) {
      const struct pl_pin *p = &harness->pins.at[other];
      char colour[16];
      if ((int64_t)p->row != (int64_t)pin->row + sides[i].row)
        continue;
      if ((int64_t)p->column != (int64_t)pin->column + sides[i].column)
        continue;
      pl_buffer_printf(out, "  %-6s cavity %s: ", sides[i].where, p->cavity);
      for (uint32_t w = 0; w < p->wires.n; w++) {
        const struct pl_wire *wire = &harness->wires.at[p->wires.at[w]];
        pl_buffer_printf(out,
                         "%swire %s %s",
                         w > 0 ? ", " : "",
                         wire->number,
                         pl_colour_text(&wire->colour, colour));
      }
      pl_buffer_printf(out,
                       "%s%s%s%s\n",
                       p->wires.n == 0 ? "no wire" : "",
                       p->text[0] != '\0' ? " (" : "",
                       p->text,
                       p->text[0] != '\0' ? ")" : "");
    }
}

/* ---- ohms ---- */

static void put_ohms(struct pl_buffer *out,
                     struct pl_session *session,
                     struct pl_meter *meter,
                     pl_id a,
                     pl_id b,
                     const char *to) {
  struct pl_ohms ohms = pl_meter_ohms(meter, a, b);

  const char *figure = pl_probe_ohms(ohms.ohms, session->arena);
  const char *band = pl_probe_ohms_band(ohms, session->arena);
  if (isinf(ohms.least))
    pl_buffer_printf(out, "    to %s: %s\n", to, band);
  else if (isinf(ohms.most) && ohms.least == 0)
    pl_buffer_printf(out, "    to %s: cannot be told, electronics lie between\n", to);
  else
    pl_buffer_printf(out, "    to %s: %s (%s)\n", to, figure, band);
}

static pl_id battery_live(const struct pl_harness *harness) {
  pl_id first = PL_NONE;

  for (pl_id i = harness->devices.n; i-- > 0;) {
    const struct pl_device *d = &harness->devices.at[i];
    if (pl_kind_is(d->kind, PL_IS_STORE))
      first = harness->machine.positive_earth ? d->minus : d->plus;
  }
  return first;
}

/* Of a data link, on the same device. */
static pl_id other_line(const struct pl_harness *harness, pl_id id) {
  const struct pl_device *d = &harness->devices.at[harness->pins.at[id].device];

  if (pl_suspects_low_of(harness, id) != PL_NONE)
    return pl_suspects_low_of(harness, id);
  for (pl_id high = d->first_pin; high < d->first_pin + d->pin_count; high++)
    if (pl_suspects_low_of(harness, high) == id)
      return high;
  return PL_NONE;
}

/* The harness with this plug (or device without plug) off. */
static void put_harness_side(struct pl_buffer *out, struct pl_session *session, pl_id id) {
  const struct pl_harness *harness = &session->harness;
  const struct pl_pin *pin = &harness->pins.at[id];
  bool *off = PL_NEW_ARRAY(session->arena, bool, harness->pins.n + 1);
  pl_id reference = pl_network_node_pin(session->network, pl_network_reference(session->network));
  pl_id live = battery_live(harness);

  if (pin->connector != PL_NONE)
    pl_meter_unplug_connector(harness, pin->connector, off);
  else
    pl_meter_unplug_device(harness, pin->device, off);
  struct pl_meter *meter = pl_meter_new(session->network, NULL, off, session->arena);
  pl_buffer_puts(out, "  in the harness, wire side\n");
  if (reference != PL_NONE)
    put_ohms(out,
             session,
             meter,
             id,
             reference,
             pl_arena_printf(session->arena, "ground (%s)", harness->pins.at[reference].full));
  if (live != PL_NONE)
    put_ohms(out,
             session,
             meter,
             id,
             live,
             pl_arena_printf(session->arena,
                             "the battery's live cable (%s, cable off the post)",
                             harness->pins.at[live].full));
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    const struct pl_wire *wire = &harness->wires.at[pin->wires.at[i]];
    pl_id end = pl_wire_other_end(wire, id);
    if (end < harness->pins.n)
      put_ohms(out,
               session,
               meter,
               id,
               end,
               pl_arena_printf(session->arena,
                               "%s, the far end of wire %s",
                               harness->pins.at[end].full,
                               wire->number));
  }
  pl_id other = other_line(harness, id);
  if (other != PL_NONE)
    put_ohms(out,
             session,
             meter,
             id,
             other,
             pl_arena_printf(session->arena,
                             "%s, the other line of the data link",
                             harness->pins.at[other].full));
  pl_meter_release(meter);
}

enum {
  INSIDE = 8
}; /* pins of the device listed */

/* The device on its own: the same model without wires. */
static void put_device_side(struct pl_buffer *out, struct pl_session *session, pl_id id) {
  const struct pl_harness *harness = &session->harness;
  const struct pl_pin *pin = &harness->pins.at[id];
  const struct pl_device *d = &harness->devices.at[pin->device];
  struct pl_harness bare = *harness;
  uint32_t told = 0;
  uint32_t electronics = 0;

  bare.wires.n = 0;
  struct pl_network *network = pl_network_new(&bare, session->arena);
  struct pl_meter *meter = pl_meter_new(network, NULL, NULL, session->arena);
  pl_buffer_printf(out, "  in %s itself, at rest\n", d->name);
  for (pl_id other = d->first_pin; other < d->first_pin + d->pin_count && told < INSIDE; other++) {
    struct pl_ohms ohms = pl_meter_ohms(meter, id, other);
    if (other == id || isinf(ohms.ohms))
      continue;
    if (isinf(ohms.most) && ohms.least == 0) {
      electronics++;
      continue;
    }
    put_ohms(out, session, meter, id, other, harness->pins.at[other].full);
    told++;
  }
  if (electronics > 0)
    pl_buffer_printf(out,
                     "    to %u %s pins: cannot be told, electronics lie between\n",
                     electronics,
                     told > 0 ? "other" : "of its");
  else if (told == 0)
    pl_buffer_puts(out, "    to every other pin: open\n");
  pl_meter_release(meter);
  pl_network_release(network);
}

static void put_unplugged(struct pl_buffer *out, struct pl_session *session, pl_id id) {
  const struct pl_harness *harness = &session->harness;
  const struct pl_pin *pin = &harness->pins.at[id];
  const struct pl_device *d = &harness->devices.at[pin->device];

  if (pl_kind_is_node(d->kind))
    return;
  if (pl_network_reference(session->network) == PL_NONE)
    return;
  pl_buffer_printf(
      out,
      "\nOhms, power off, batteries off, %s; in brackets what a sound machine may read\n",
      pin->connector != PL_NONE
          ? pl_arena_printf(session->arena,
                            "plug %s%s%s pulled",
                            d->name,
                            harness->connectors.at[pin->connector].name[0] != '\0' ? "." : "",
                            harness->connectors.at[pin->connector].name)
          : pl_arena_printf(session->arena, "%s taken off its wires", d->name));
  if (pin->wires.n > 0)
    put_harness_side(out, session, id);
  if (!pl_kind_is(d->kind, PL_IS_STORE))
    put_device_side(out, session, id);
}

/* ---- volts ---- */

static void put_volts(struct pl_buffer *out, struct pl_session *session, pl_id id) {
  const struct pl_harness *harness = &session->harness;
  size_t width = 0;

  pl_buffer_puts(
      out,
      "\nVolts to expect, black lead on the battery's earthed post, everything plugged in;\n"
      "in brackets what sound parts within their tolerances may make of it\n");
  for (uint32_t i = 0; i < harness->states.n; i++)
    if (strlen(harness->states.at[i].name) > width)
      width = strlen(harness->states.at[i].name);
  for (uint32_t i = 0; i < harness->states.n; i++) {
    const struct pl_state *state = &harness->states.at[i];
    const struct pl_solution *solution = &session->solutions[i];
    struct pl_bands *bands = pl_bands_take(session->network, solution);
    pl_bands_watch(bands); /* as the sheets and the shop page have it */
    struct pl_band band =
        pl_band_of(bands, (struct pl_reading){PL_READING_VOLTS, id, PL_NONE, PL_NONE});
    pl_buffer_printf(out,
                     "  %-*s  %s\n",
                     (int)width,
                     state->name,
                     solution->status == PL_SOLVED
                         ? pl_probe_reading_band(harness, solution, id, band, session->arena)
                         : solution->failure);
  }
}

int pl_run_pin(struct pl_session *session, const struct pl_options *options) {
  const struct pl_harness *harness = &session->harness;
  struct pl_buffer out;
  pl_hops hops = {0};
  pl_id id = pl_cli_find_pin(session, options->arguments[1]);

  if (id == PL_NONE)
    return PL_EXIT_TEXT;
  pl_buffer_init(&out, session->arena);
  pin_head(&out, harness, &harness->pins.at[id]);
  pl_probe_trace(harness, id, session->arena, &hops);
  pl_buffer_puts(&out, hops.n > 0 ? "\nWhere it goes\n" : "\nNothing is joined to it.\n");
  for (uint32_t i = 0; i < hops.n; i++)
    pin_hop(&out, harness, &hops.at[i], i > 0 ? &hops.at[i - 1] : NULL);
  put_ways(&out, session, id);
  put_volts(&out, session, id);
  put_unplugged(&out, session, id);
  put_neighbours(&out, harness, id);
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}
