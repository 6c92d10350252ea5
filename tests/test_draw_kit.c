/* Hand-built harnesses and checks of geometry for the tests of src/draw. */
#include "test_draw.h"

#include "draw/metrics.h"
#include "draw/scene.h"

void draw_kit_start(struct draw_kit *kit) {
  *kit = (struct draw_kit){.numbers = 0};
  pl_test_arena(&kit->arena);
  pl_harness_init(&kit->harness, &kit->arena);
  kit->harness.machine.title = "Test carrier";
  kit->harness.machine.revision = "B";
  kit->harness.machine.date = "2026-01-31";
  kit->harness.machine.author = "bench";
  kit->harness.digest = "0123456789abcdef0123456789abcdef";
}

void draw_kit_end(struct draw_kit *kit) {
  pl_arena_release(&kit->arena);
}

static enum pl_role role_of(const char *name) {
  if (strcmp(name, "+") == 0)
    return PL_ROLE_PLUS;
  if (strcmp(name, "-") == 0)
    return PL_ROLE_MINUS;
  return PL_ROLE_PASSIVE;
}

pl_id draw_device(struct draw_kit *kit,
                  enum pl_kind kind,
                  const char *name,
                  const char *text,
                  const char *pins) {
  struct pl_device device = pl_device_blank();
  device.kind = kind;
  device.name = name;
  device.text = text;
  pl_id id = pl_harness_add_device(&kit->harness, device);
  if (id == PL_NONE)
    return PL_NONE;
  for (const char *at = pins;;) {
    size_t n = strcspn(at, " ");
    struct pl_pin pin = pl_pin_blank();
    pin.device = id;
    pin.name = pl_arena_strndup(&kit->arena, at, n);
    pin.role = role_of(pin.name);
    pl_id one = pl_harness_add_pin(&kit->harness, pin);
    struct pl_device *row = &kit->harness.devices.at[id];
    if (pin.role == PL_ROLE_PLUS)
      row->plus = one;
    if (pin.role == PL_ROLE_MINUS)
      row->minus = one;
    if (kind == PL_KIND_RELAY && strcmp(pin.name, "86") == 0)
      row->coil_a = one;
    if (kind == PL_KIND_RELAY && strcmp(pin.name, "85") == 0)
      row->coil_b = one;
    if (at[n] == '\0')
      break;
    at += n + 1;
  }
  struct pl_device *row = &kit->harness.devices.at[id];
  if (kind == PL_KIND_RELAY && row->pin_count >= 4) { /* 30 85 86 87 [87a] in this order */
    struct pl_join make = {row->first_pin, row->first_pin + 3};
    struct pl_join rest = {row->first_pin, row->first_pin + 4};
    PL_PUSH(&kit->arena, &row->make, make);
    if (row->pin_count > 4)
      PL_PUSH(&kit->arena, &row->brk, rest);
  }
  if (kind ==
      PL_KIND_SWITCH) { /* first pin to each other, a position each, and an open one at rest */
    struct pl_throw off = {.name = "off"};
    PL_PUSH(&kit->arena, &row->throws, off);
    for (uint32_t i = 1; i < row->pin_count; i++) {
      struct pl_throw on = {.name = pl_arena_printf(&kit->arena, "on %u", i)};
      struct pl_join join = {row->first_pin, row->first_pin + i};
      PL_PUSH(&kit->arena, &on.joins, join);
      PL_PUSH(&kit->arena, &row->throws, on);
    }
  }
  if (kind == PL_KIND_INLINE)
    for (uint32_t i = 0; 2 * i + 1 < row->pin_count; i++) {
      struct pl_join join = {row->first_pin + 2 * i, row->first_pin + 2 * i + 1};
      PL_PUSH(&kit->arena, &row->fixed, join);
    }
  return id;
}

pl_id draw_connector_device(struct draw_kit *kit,
                            enum pl_kind kind,
                            const char *name,
                            uint32_t cavities,
                            uint32_t rows,
                            enum pl_shape shape) {
  struct pl_device device = pl_device_blank();
  device.kind = kind;
  device.name = name;
  device.text = "controller on the bench";
  pl_id id = pl_harness_add_device(&kit->harness, device);
  struct pl_connector connector = pl_connector_blank();
  connector.device = id;
  connector.name = "A";
  connector.shape = shape;
  connector.rows = rows;
  connector.columns = (cavities + rows - 1) / rows;
  connector.key = "two ribs left";
  pl_id socket = pl_harness_add_connector(&kit->harness, connector);
  for (uint32_t i = 0; i < cavities; i++) {
    struct pl_pin pin = pl_pin_blank();
    pin.device = id;
    pin.connector = socket;
    pin.cavity = pl_arena_printf(&kit->arena, "%u", i + 1);
    pin.name = pl_arena_printf(&kit->arena, "A%u", i + 1);
    if (i % 3 == 0)
      pin.text = "coolant temperature, high side of the bridge";
    else if (i % 3 == 1)
      pin.text = "lamp";
    else
      pin.text = "";
    pin.role = i % 2 == 0 ? PL_ROLE_SIGNAL_INPUT : PL_ROLE_LOW_SIDE;
    pin.plugged = i % 5 == 4;
    pin.row = i / connector.columns + 1;
    pin.column = i % connector.columns + 1;
    pl_harness_add_pin(&kit->harness, pin);
  }
  return id;
}

pl_id draw_circuit(struct draw_kit *kit, const char *name, const char *title) {
  struct pl_circuit circuit = {.name = name, .title = title, .drop_limit = NAN};
  PL_PUSH(&kit->arena, &kit->harness.circuits, circuit);
  pl_table_add(&kit->harness.circuit_names, name, kit->harness.circuits.n - 1);
  return kit->harness.circuits.n - 1;
}

pl_id draw_pin(const struct draw_kit *kit, const char *full) {
  return pl_harness_find_pin(&kit->harness, full);
}

pl_id draw_wire(struct draw_kit *kit,
                pl_id circuit,
                const char *number,
                const char *from,
                const char *to,
                const char *base,
                const char *stripe) {
  struct pl_wire wire = pl_wire_blank();
  if (number != NULL)
    wire.number = number;
  else
    wire.number = pl_arena_printf(&kit->arena, "%u", 100 + kit->numbers++);
  if (strcmp(from, "-") == 0)
    wire.end[0] = PL_NONE;
  else
    wire.end[0] = draw_pin(kit, from);
  if (strcmp(to, "-") == 0)
    wire.end[1] = PL_NONE;
  else
    wire.end[1] = draw_pin(kit, to);
  wire.size = "14 AWG";
  wire.colour = (struct pl_colour){base, stripe, ""};
  wire.circuit = circuit;
  pl_id id = pl_harness_add_wire(&kit->harness, wire);
  if (id != PL_NONE)
    PL_PUSH(&kit->arena, &kit->harness.circuits.at[circuit].wires, id);
  return id;
}

void draw_small_machine(struct draw_kit *kit) {
  draw_device(kit, PL_KIND_BATTERY, "BAT", "battery", "+ -");
  draw_device(kit, PL_KIND_STUD, "MAIN", "main stud", "");
  draw_device(kit, PL_KIND_FUSE, "F1", "lift pump", "in out");
  draw_device(kit, PL_KIND_FUSE, "F2", "key switch", "in out");
  draw_device(kit, PL_KIND_SWITCH, "KEY", "key switch", "B IGN ST");
  draw_device(kit, PL_KIND_RELAY, "K1", "lift pump relay", "30 85 86 87 87a");
  draw_device(kit, PL_KIND_PUMP, "M1", "lift pump", "+ -");
  draw_device(kit, PL_KIND_LAMP, "H1", "warning lamp", "+ -");
  draw_device(kit, PL_KIND_SPLICE, "SP1", "", "");
  draw_device(kit, PL_KIND_BOND, "G1", "frame, left", "");
  draw_connector_device(kit, PL_KIND_MODULE, "ECM", 12, 2, PL_SHAPE_RECT);
  draw_device(kit, PL_KIND_SENSOR, "B1", "coolant temperature", "signal return");
  pl_id power = draw_circuit(kit, "power", "");
  pl_id fuel = draw_circuit(kit, "fuel supply", "Fuel supply & <warning>");
  draw_wire(kit, power, "1", "BAT.+", "MAIN", "RD", "");
  draw_wire(kit, power, "2", "BAT.-", "G1", "BK", "");
  draw_wire(kit, fuel, "10", "MAIN", "F1.in", "RD", "");
  draw_wire(kit, fuel, "11", "F1.out", "K1.30", "RD", "WH");
  draw_wire(kit, fuel, "12", "K1.87", "M1.+", "RD", "GN");
  draw_wire(kit, fuel, "13", "M1.-", "G1", "BK", "");
  draw_wire(kit, fuel, "14", "MAIN", "F2.in", "RD", "");
  draw_wire(kit, fuel, "15", "F2.out", "KEY.B", "RD", "BU");
  draw_wire(kit, fuel, "16", "KEY.IGN", "SP1", "PK", "");
  draw_wire(kit, fuel, "17", "SP1", "K1.86", "PK", "YE");
  draw_wire(kit, fuel, "18", "SP1", "H1.+", "PK", "");
  draw_wire(kit, fuel, "19", "K1.85", "ECM.A2", "BN", "YE");
  draw_wire(kit, fuel, "20", "H1.-", "ECM.A4", "BN", "");
  draw_wire(kit, fuel, "21", "ECM.A1", "B1.signal", "YE", "");
  draw_wire(kit, fuel, "22", "B1.return", "ECM.A3", "GN", "BK");
  draw_wire(kit, fuel, "23", "K1.87a", "-", "WH", "");
}

/* ---- geometry ---- */

struct area {
  double x1, y1, x2, y2;
  const char *text;
};

static struct area text_area(const struct pl_item *item) {
  double width = pl_text_width(item->text, item->size, item->bold);
  double x;
  if (item->anchor == PL_ANCHOR_START)
    x = item->x;
  else if (item->anchor == PL_ANCHOR_MIDDLE)
    x = item->x - width / 2;
  else
    x = item->x - width;
  return (struct area){x,
                       item->y - 0.72 * item->size,
                       x + width,
                       item->y + 0.2 * item->size,
                       item->text};
}

static bool meet(const struct area *a, const struct area *b, double slack) {
  return a->x1 < b->x2 - slack && b->x1 < a->x2 - slack && a->y1 < b->y2 - slack &&
         b->y1 < a->y2 - slack;
}

static void report(const char *row,
                   const struct pl_scene *scene,
                   const char *what,
                   const char *a,
                   const char *b) {
  char text[512];
  snprintf(text, sizeof text, "%s, %s: %s: <%s> and <%s>", row, scene->file, what, a, b);
  pl_test_check(false, "geometry", text, __FILE__, __LINE__);
}

/* Straight lines and the edges of boxes and circles do not run through text. */
static void check_ink(const struct pl_scene *scene,
                      const struct pl_item *item,
                      const struct area *text,
                      const char *row) {
  if (item->kind == PL_SHAPE_LINE) {
    struct area line = {fmin(item->x, item->x2) - 0.1,
                        fmin(item->y, item->y2) - 0.1,
                        fmax(item->x, item->x2) + 0.1,
                        fmax(item->y, item->y2) + 0.1,
                        "line"};
    if (meet(&line, text, 0.02))
      report(row, scene, "line through text", text->text, "");
  } else if (item->kind == PL_SHAPE_BOX) {
    struct area box = {item->x, item->y, item->x + item->x2, item->y + item->y2, "box"};
    bool inside = text->x1 > box.x1 && text->x2 < box.x2 && text->y1 > box.y1 && text->y2 < box.y2;
    if (meet(&box, text, 0.02) && !inside)
      report(row, scene, "edge of a box through text", text->text, "");
  } else if (item->kind == PL_SHAPE_CIRCLE) {
    double far = hypot(fmax(fabs(text->x1 - item->x), fabs(text->x2 - item->x)),
                       fmax(fabs(text->y1 - item->y), fabs(text->y2 - item->y)));
    double near_x = fmax(0, fmax(text->x1 - item->x, item->x - text->x2));
    double near_y = fmax(0, fmax(text->y1 - item->y, item->y - text->y2));
    if (hypot(near_x, near_y) < item->x2 - 0.02 && far > item->x2 + 0.02)
      report(row, scene, "circle through text", text->text, "");
  }
}

void draw_check_texts(const struct pl_scene *scene, const char *row) {
  uint32_t n = 0;
  struct area *areas = calloc(scene->items.n + 1, sizeof *areas);
  CU_ASSERT_FATAL(areas != NULL);
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind != PL_SHAPE_TEXT)
      continue;
    areas[n] = text_area(item);
    if (areas[n].x1 < 9.9 || areas[n].y1 < 9.9 || areas[n].x2 > scene->width - 9.9 ||
        areas[n].y2 > scene->height - 9.9)
      report(row, scene, "text off the page", item->text, "");
    if (item->size < 2.5 && scene->items.n > 0 && item->y < scene->height - 26)
      report(row, scene, "text too small", item->text, "");
    for (uint32_t k = 0; k < n; k++)
      if (meet(&areas[n], &areas[k], 0.02))
        report(row, scene, "text on text", item->text, areas[k].text);
    n++;
  }
  for (uint32_t i = 0; i < scene->items.n; i++)
    for (uint32_t k = 0; k < n; k++)
      check_ink(scene, &scene->items.at[i], &areas[k], row);
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind != PL_SHAPE_WIRE || item->point_count < 2)
      continue;
    for (uint32_t p = 0; p + 1 < item->point_count; p++) {
      struct pl_mm a = item->points[p];
      struct pl_mm b = item->points[p + 1];
      struct area wire = {fmin(a.x, b.x) - 0.6,
                          fmin(a.y, b.y),
                          fmax(a.x, b.x) + 0.6,
                          fmax(a.y, b.y),
                          "wire"};
      if (fabs(a.y - b.y) < 1e-9) {
        wire.y1 -= 0.6;
        wire.y2 += 0.6;
      }
      for (uint32_t k = 0; k < n; k++)
        if (meet(&wire, &areas[k], 0.02))
          report(row, scene, "wire through text", areas[k].text, item->colour.base);
    }
  }
  free(areas);
}

/* Does ink begin or lie at the point? */
static bool on_ink(const struct pl_scene *scene, struct pl_mm at) {
  const double near = 0.06;
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind == PL_SHAPE_LINE) {
      bool along_x = fabs(item->y - item->y2) < 1e-9 && fabs(at.y - item->y) < near &&
                     at.x > fmin(item->x, item->x2) - near && at.x < fmax(item->x, item->x2) + near;
      bool along_y = fabs(item->x - item->x2) < 1e-9 && fabs(at.x - item->x) < near &&
                     at.y > fmin(item->y, item->y2) - near && at.y < fmax(item->y, item->y2) + near;
      if (along_x || along_y)
        return true;
    } else if (item->kind == PL_SHAPE_CIRCLE) {
      if (hypot(at.x - item->x, at.y - item->y) < item->x2 + near)
        return true;
    } else if (item->kind == PL_SHAPE_BOX &&
               item->x2 < 200) { /* a reference: on its upper or lower edge */
      bool inside = at.x > item->x - near && at.x < item->x + item->x2 + near;
      if (inside && (fabs(at.y - item->y) < near || fabs(at.y - item->y - item->y2) < near))
        return true;
    }
  }
  return false;
}

static void check_along(const struct pl_scene *scene,
                        const struct pl_item *a,
                        const struct pl_item *b,
                        const char *row) {
  for (uint32_t i = 0; i + 1 < a->point_count; i++)
    for (uint32_t k = 0; k + 1 < b->point_count; k++) {
      struct pl_mm p = a->points[i];
      struct pl_mm q = a->points[i + 1];
      struct pl_mm r = b->points[k];
      struct pl_mm s = b->points[k + 1];
      bool up = fabs(p.x - q.x) < 1e-9;
      bool up2 = fabs(r.x - s.x) < 1e-9;
      if (up != up2)
        continue;
      double apart;
      if (up)
        apart = fabs(p.x - r.x);
      else
        apart = fabs(p.y - r.y);
      double from;
      if (up)
        from = fmax(fmin(p.y, q.y), fmin(r.y, s.y));
      else
        from = fmax(fmin(p.x, q.x), fmin(r.x, s.x));
      double to;
      if (up)
        to = fmin(fmax(p.y, q.y), fmax(r.y, s.y));
      else
        to = fmin(fmax(p.x, q.x), fmax(r.x, s.x));
      if (apart < 1.5 && to - from > 0.01)
        report(row, scene, "wires along each other", a->text, b->text);
    }
}

static void check_wires(const struct pl_scene *scene,
                        uint32_t *drawn,
                        const struct pl_harness *harness,
                        const char *row) {
  const struct pl_item **wires = calloc(scene->items.n + 1, sizeof *wires);
  CU_ASSERT_FATAL(wires != NULL);
  uint32_t n = 0;
  const char *name = "";
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    uint32_t id;
    if (item->kind == PL_SHAPE_OPEN && strcmp(item->what, "wire") == 0) {
      name = item->name;
      if (pl_table_find(&harness->wire_numbers, name, &id))
        drawn[id]++;
    }
    if (item->kind != PL_SHAPE_WIRE)
      continue;
    wires[n++] = item;
    if (!on_ink(scene, item->points[0]) || !on_ink(scene, item->points[item->point_count - 1]))
      report(row, scene, "wire ends nowhere", name, "");
    for (uint32_t k = 0; k + 1 < n; k++)
      check_along(scene, item, wires[k], row);
    for (uint32_t p = 0; p + 1 < item->point_count; p++)
      if (fabs(item->points[p].x - item->points[p + 1].x) > 1e-9 &&
          fabs(item->points[p].y - item->points[p + 1].y) > 1e-9)
        report(row, scene, "slanting wire", name, "");
  }
  free(wires);
}

void draw_check_pages(const struct pl_harness *harness,
                      pl_id circuit,
                      const pl_scenes *pages,
                      const char *row) {
  uint32_t *drawn = calloc(harness->wires.n + 1, sizeof *drawn);
  CU_ASSERT_FATAL(drawn != NULL);
  PL_CHECK(pages->n > 0 || harness->circuits.at[circuit].wires.n == 0, row);
  for (uint32_t p = 0; p < pages->n; p++) {
    draw_check_texts(&pages->at[p], row);
    check_wires(&pages->at[p], drawn, harness, row);
  }
  for (uint32_t w = 0; w < harness->wires.n; w++) {
    bool mine = harness->wires.at[w].circuit == circuit;
    if (drawn[w] != (mine ? 1u : 0u))
      report(row,
             &pages->at[0],
             "wire drawn not once",
             harness->wires.at[w].number,
             mine ? "of this circuit" : "of another");
  }
  free(drawn);
}

static bool same_text(const char *a, const char *b) {
  return strcmp(a, b) == 0;
}

void draw_check_same(const pl_scenes *a, const pl_scenes *b, const char *row) {
  PL_CHECK_INT(a->n, b->n, row);
  for (uint32_t p = 0; p < a->n && p < b->n; p++) {
    PL_CHECK_INT(a->at[p].items.n, b->at[p].items.n, row);
    for (uint32_t i = 0; i < a->at[p].items.n && i < b->at[p].items.n; i++) {
      const struct pl_item *one = &a->at[p].items.at[i];
      const struct pl_item *two = &b->at[p].items.at[i];
      bool same = one->kind == two->kind && !(one->x < two->x) && !(one->x > two->x) &&
                  !(one->y < two->y) && !(one->y > two->y) && !(one->x2 < two->x2) &&
                  !(one->x2 > two->x2) && same_text(one->text, two->text) &&
                  same_text(one->id, two->id);
      PL_CHECK(same, row);
    }
  }
}
