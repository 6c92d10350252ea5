/* The book's sums: what its tables say together is what the model says.  The reader here knows the
 * CSV files alone and no code of the program but its arena. */
#include "test_write.h"

#include <ctype.h>

#include "draw/drawings.h"
#include "draw/label_sheet.h"
#include "standard/label_sizes.h"
#include "write_demo.h"

/* ---- an independent reader of CSV ---- */

struct record {
  const char *fields[64];
  uint32_t n;
};
struct file {
  const char *name;
  struct record *records; /* the first is the head */
  uint32_t n;
};
struct set {
  struct pl_arena *arena;
  PL_VEC(struct file) files;
};

static const char *read_field(struct pl_arena *arena, const char **at) {
  struct pl_buffer field;
  bool quoted = **at == '"';
  pl_buffer_init(&field, arena);
  for (*at += quoted; **at != '\0'; (*at)++) {
    if (quoted && **at == '"') {
      if ((*at)[1] != '"')
        break;
      (*at)++;
    } else if (!quoted && strchr(",\r", **at) != NULL) {
      break;
    }
    pl_buffer_add(&field, *at, 1);
  }
  *at += quoted;
  const char *text = field.n == 0 ? "" : field.at;
  /* one apostrophe before a formula: docs/output.md */
  if (text[0] == '\'' && text[1] != '\0' && strchr("=+-@\t\r\n", text[1]) != NULL)
    return text + 1;
  return text;
}

static void read_file(struct set *set, const char *name, const char *text) {
  struct file file = {.name = name};
  uint32_t room = 0;
  while (*text != '\0') {
    struct record record = {.n = 0};
    do {
      if (record.n > 0)
        text++;
      CU_ASSERT_TRUE_FATAL(record.n < sizeof record.fields / sizeof record.fields[0]);
      record.fields[record.n++] = read_field(set->arena, &text);
    } while (*text == ',');
    CU_ASSERT_TRUE_FATAL(strncmp(text, "\r\n", 2) == 0);
    text += 2;
    if (file.n == room)
      file.records = pl_vec_grow(set->arena, file.records, file.n, &room, sizeof record);
    file.records[file.n++] = record;
  }
  PL_PUSH(set->arena, &set->files, file);
}

static void read_set(struct set *set, struct demo *demo) {
  *set = (struct set){.arena = &demo->arena};
  for (uint32_t i = 0; i < demo->outputs.n; i++)
    if (strncmp(demo->outputs.at[i].name, "csv/", 4) == 0)
      read_file(set, demo->outputs.at[i].name + 4, demo->outputs.at[i].bytes);
}

static const struct file *file_named(const struct set *set, const char *name) {
  for (uint32_t i = 0; i < set->files.n; i++)
    if (strcmp(set->files.at[i].name, name) == 0)
      return &set->files.at[i];
  CU_FAIL_FATAL("a file is missing");
  return NULL;
}

/* The field of record `r` under `head`; NULL when the file has no such column. */
static const char *field(const struct file *file, uint32_t r, const char *head) {
  for (uint32_t c = 0; c < file->records[0].n; c++)
    if (strcmp(file->records[0].fields[c], head) == 0)
      return file->records[r].fields[c];
  return NULL;
}

static double number(const char *text) {
  return text == NULL ? NAN : strtod(text, NULL);
}

/* ---- the netlist, rebuilt from the tables of connectors and pins ---- */

struct net { /* a wire as the tables of pins tell it */
  const char *ends[2], *colour, *size;
  uint32_t n;
};

static bool has_pins(const struct file *file) {
  return file->n > 0 && field(file, 0, "pin") != NULL && field(file, 0, "goes to") != NULL;
}

/* Every row with a wire adds one of its ends. */
static struct net *rebuild(struct demo *demo, const struct set *set) {
  struct net *nets = PL_NEW_ARRAY(set->arena, struct net, demo->harness.wires.n);
  for (uint32_t f = 0; f < set->files.n; f++) {
    const struct file *file = &set->files.at[f];
    for (uint32_t r = 1; has_pins(file) && r < file->n; r++) {
      uint32_t wire;
      const char *name = field(file, r, "wire");
      if (name[0] == '\0')
        continue;
      CU_ASSERT_TRUE_FATAL(pl_table_find(&demo->harness.wire_numbers, name, &wire));
      struct net *net = &nets[wire];
      PL_CHECK(net->n < 2, name);
      if (net->n < 2)
        net->ends[net->n++] = field(file, r, "pin");
      net->colour = field(file, r, "colour");
      net->size = field(file, r, "size");
    }
  }
  return nets;
}

static void netlist_from_csv(void) {
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demo;
    struct set set;
    demo_make(&demo, demo_paths[d]);
    read_set(&set, &demo);
    const struct net *nets = rebuild(&demo, &set);
    for (pl_id w = 0; w < demo.harness.wires.n; w++) {
      const struct pl_wire *wire = &demo.harness.wires.at[w];
      uint32_t due = 0;
      char colour[16];
      for (int end = 0; end < 2; end++) {
        if (wire->end[end] == PL_NONE)
          continue;
        const char *full = demo.harness.pins.at[wire->end[end]].full;
        bool found = false;
        due++;
        for (uint32_t i = 0; i < nets[w].n; i++)
          found = found || strcmp(nets[w].ends[i], full) == 0;
        PL_CHECK(found, pl_arena_printf(&demo.arena, "wire %s at %s", wire->number, full));
      }
      PL_CHECK_INT(nets[w].n, due, wire->number);
      PL_CHECK_STR(nets[w].colour, pl_colour_text(&wire->colour, colour), wire->number);
      PL_CHECK_STR(nets[w].size, wire->size, wire->number);
    }
    demo_release(&demo);
  }
}

/* The wire list and the cut list tell the same ends. */
static void lists_agree(void) {
  static const char *const names[] = {"wires.csv", "cutting.csv"};
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demo;
    struct set set;
    demo_make(&demo, demo_paths[d]);
    read_set(&set, &demo);
    for (size_t i = 0; i < 2; i++) {
      const struct file *file = file_named(&set, names[i]);
      for (uint32_t r = 1; r < file->n; r++) {
        uint32_t wire;
        CU_ASSERT_TRUE_FATAL(
            pl_table_find(&demo.harness.wire_numbers, field(file, r, "wire"), &wire));
        for (int end = 0; end < 2; end++) {
          pl_id pin = demo.harness.wires.at[wire].end[end];
          const char *due = "capped";
          if (pin != PL_NONE)
            due = demo.harness.pins.at[pin].full;
          PL_CHECK_STR(field(file, r, end == 0 ? "from" : "to"), due, names[i]);
        }
      }
    }
    demo_release(&demo);
  }
}

/* ---- sums ---- */

static bool is_cut(const struct pl_wire *wire) {
  return wire->status == PL_WIRE_NEW || wire->status == PL_WIRE_DONOR_EXTENDED;
}

/* Metres: of the model, of the cut list, of the spools; and what is bought has the stated spare on
 * top. */
static void metres_agree(void) {
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demo;
    struct set set;
    double model = 0;
    double cut = 0;
    double spools = 0;
    double counted = 0;
    uint32_t wires = 0;
    uint32_t buy = 0;
    uint32_t spare_buy = 0;
    demo_make(&demo, demo_paths[d]);
    read_set(&set, &demo);
    CU_ASSERT_EQUAL_FATAL(demo.harness.machine.units, PL_UNITS_METRIC);
    for (pl_id w = 0; w < demo.harness.wires.n; w++) {
      const struct pl_wire *wire = &demo.harness.wires.at[w];
      if (!is_cut(wire))
        continue;
      wires++;
      model += wire->status == PL_WIRE_DONOR_EXTENDED && wire->extension > 0 ? wire->extension
                                                                             : wire->length;
    }
    const struct file *file = file_named(&set, "cutting.csv");
    PL_CHECK_INT(file->n - 1, wires, "one row for each wire that is cut");
    for (uint32_t r = 1; r < file->n; r++)
      cut += number(field(file, r, "cut mm")) / 1000;
    PL_CHECK(fabs(cut - model) <= 0.0005 * wires, "millimetres, each rounded");
    file = file_named(&set, "spools.csv");
    for (uint32_t r = 1; r < file->n; r++) {
      spools += number(field(file, r, "total m"));
      buy += (uint32_t)number(field(file, r, "to buy m"));
      PL_CHECK(number(field(file, r, "to buy m")) >=
                   1.1 * (number(field(file, r, "total m")) - 0.005),
               "a tenth on top");
    }
    PL_CHECK(fabs(spools - model) <= 0.005 * file->n, "centimetres, each rounded");
    file = file_named(&set, "shopping.csv");
    for (uint32_t r = 1; r < file->n; r++) {
      if (strcmp(field(file, r, "kind"), "wire") != 0)
        continue;
      counted += number(field(file, r, "counted"));
      spare_buy += (uint32_t)number(field(file, r, "to buy"));
    }
    PL_CHECK(fabs(counted - spools) < 1e-6, "shopping list and spools");
    PL_CHECK_INT(spare_buy, buy, "bought");
    demo_release(&demo);
  }
}

/* Terminals: each new end that sits on a pin once, in the list of crimps and in the shopping list.
 */
static void terminals_agree(void) {
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demo;
    struct set set;
    uint32_t model = 0;
    uint32_t seals = 0;
    uint32_t ends = 0;
    uint32_t shopping = 0;
    uint32_t bought_seals = 0;
    uint32_t named = 0;
    demo_make(&demo, demo_paths[d]);
    read_set(&set, &demo);
    for (pl_id w = 0; w < demo.harness.wires.n; w++)
      for (int end = 0; end < 2; end++) {
        const struct pl_wire *wire = &demo.harness.wires.at[w];
        if (wire->end[end] == PL_NONE)
          continue;
        if (!is_cut(wire))
          continue;
        const struct pl_device *device =
            &demo.harness.devices.at[demo.harness.pins.at[wire->end[end]].device];
        if (device->kind == PL_KIND_SPLICE)
          continue;
        if (device->donor && wire->status != PL_WIRE_NEW)
          continue;
        model++;
        seals += !pl_kind_is_node(device->kind) &&
                 isfinite(pl_pin_terminal(&demo.harness, wire->end[end])->od_max);
      }
    const struct file *file = file_named(&set, "ends.csv");
    for (uint32_t r = 1; r < file->n; r++) {
      ends += (uint32_t)number(field(file, r, "ends"));
      named++;
      for (const char *c = field(file, r, "at"); *c != '\0'; c++)
        named += *c == ',';
    }
    file = file_named(&set, "shopping.csv");
    for (uint32_t r = 1; r < file->n; r++) {
      uint32_t counted = (uint32_t)number(field(file, r, "counted"));
      shopping += strcmp(field(file, r, "kind"), "terminal") == 0 ? counted : 0;
      bought_seals += strcmp(field(file, r, "kind"), "wire seal") == 0 ? counted : 0;
      PL_CHECK(number(field(file, r, "to buy")) >= counted, field(file, r, "item"));
    }
    CU_ASSERT_TRUE(model > 40);
    PL_CHECK_INT(ends, model, "crimps");
    PL_CHECK_INT(named, model, "crimps, end by end");
    PL_CHECK_INT(shopping, model, "shopping list");
    PL_CHECK_INT(bought_seals, seals, "seals");
    demo_release(&demo);
  }
}

/* ---- labels ---- */

static void labels_twice(void) {
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demo;
    struct set set;
    demo_make(&demo, demo_paths[d]);
    read_set(&set, &demo);
    const struct file *file = file_named(&set, "labels.csv");
    uint32_t *seen = PL_NEW_ARRAY(&demo.arena, uint32_t, demo.harness.wires.n);
    uint32_t connectors = 0;
    for (uint32_t r = 1; r < file->n; r++) {
      const char *text = field(file, r, "text");
      uint32_t wire;
      if (strcmp(field(file, r, "kind"), "connector") == 0) {
        PL_CHECK(strncmp(field(file, r, "code"), "shop.html#pin=", 14) == 0, text);
        connectors++;
        continue;
      }
      const char *name = pl_arena_strndup(&demo.arena, text, strcspn(text, " "));
      CU_ASSERT_TRUE_FATAL(pl_table_find(&demo.harness.wire_numbers, name, &wire));
      pl_id own = demo.harness.wires.at[wire].end[seen[wire]++ % 2];
      const char *due = "capped";
      if (own != PL_NONE)
        due = demo.harness.pins.at[own].full;
      PL_CHECK(strncmp(text + strlen(name) + 2, due, strlen(due)) == 0, text);
    }
    PL_CHECK_INT(connectors, demo.harness.connectors.n, "one label a connector");
    for (pl_id w = 0; w < demo.harness.wires.n; w++)
      PL_CHECK_INT(seen[w],
                   demo.harness.wires.at[w].status == PL_WIRE_DONOR_REMOVED ? 0 : 2,
                   demo.harness.wires.at[w].number);
    demo_release(&demo);
  }
}

/* Widths of codes: ISO/IEC 18004 has 21 modules in version 1 and four more in each; level M holds
 * 14 bytes in version 1 and 26 in version 2 (table 7 of the standard, second hand). */
static void code_sizes(void) {
  static const struct {
    const char *text;
    double modules;
  } rows[] = {{"X12", 21},
              {"14 bytes of it", 21},
              {"15 bytes of text", 25},
              {"shop.html#pin=ECM.A12", 25}};
  struct pl_arena arena;
  double size;
  pl_test_arena(&arena);
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const char *path = pl_qr_path(&arena, rows[i].text, 0.4, &size);
    PL_CHECK(fabs(size - 0.4 * (rows[i].modules + 8)) < 1e-9, rows[i].text);
    /* the finder in the corner: seven modules wide behind four of quiet zone */
    PL_CHECK(strncmp(path, "M1.60 1.60h2.80v0.40h-2.80z", 27) == 0, rows[i].text);
  }
  char *longest = PL_NEW_ARRAY(&arena, char, PL_QR_LONGEST + 2);
  memset(longest, 'a', PL_QR_LONGEST + 1);
  PL_CHECK_STR(pl_qr_path(&arena, longest, 0.4, &size), "", "too long to read");
  CU_ASSERT_EQUAL(size, 0);
  pl_arena_release(&arena);
}

/* A sleeve slips over its wire and grips it: 1.2 times the outside before, no more than it after
 * (from memory). */
static void sleeve_sizes(void) {
  CU_ASSERT_EQUAL(pl_sleeve_for(2.0), 0);
  CU_ASSERT_EQUAL(pl_sleeve_for(2.1), 1);
  CU_ASSERT_EQUAL(pl_sleeve_for(0.5), UINT32_MAX);
  CU_ASSERT_EQUAL(pl_sleeve_for(100), UINT32_MAX);
  CU_ASSERT_EQUAL(pl_sleeve_for(NAN), UINT32_MAX);
  for (double outside = 1.3; outside < 30; outside += 0.1) {
    uint32_t i = pl_sleeve_for(outside);
    PL_CHECK(i < pl_sleeve_count && pl_sleeves[i].supplied >= 1.2 * outside &&
                 pl_sleeves[i].recovered < outside,
             "fits");
  }
}

/* Every fuse, breaker and relay sits on one panel, and no two of a kind have one number at a place.
 */
static void panels_whole(void) {
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demo;
    pl_scenes pages = {0};
    struct pl_table seen, numbers;
    uint32_t due = 0;
    uint32_t n = 0;
    demo_make(&demo, demo_paths[d]);
    pl_table_init(&seen, &demo.arena);
    pl_table_init(&numbers, &demo.arena);
    pl_draw_panels(&demo.harness, &demo.arena, &pages);
    for (uint32_t p = 0; p < pages.n; p++) {
      PL_CHECK(pages.at[p].width <= 190 && pages.at[p].height <= 222, pages.at[p].file);
      for (uint32_t i = 0; i < pages.at[p].items.n; i++) {
        const struct pl_item *item = &pages.at[p].items.at[i];
        if (item->kind == PL_SHAPE_OPEN)
          PL_CHECK(pl_table_add(&seen, item->name, n++), item->name);
      }
    }
    for (pl_id id = 0; id < demo.harness.devices.n; id++) {
      const struct pl_device *device = &demo.harness.devices.at[id];
      bool relay = device->kind == PL_KIND_RELAY;
      if (!relay && !pl_kind_is_protection(device->kind))
        continue;
      due++;
      PL_CHECK(pl_table_add(&numbers,
                            pl_arena_printf(&demo.arena,
                                            "%u %d %u",
                                            device->place,
                                            relay,
                                            pl_device_position(&demo.harness, id)),
                            0),
               device->name);
    }
    CU_ASSERT_TRUE(due > 3);
    PL_CHECK_INT(n, due, demo_paths[d]);
    demo_release(&demo);
  }
}

CU_TestInfo out_book_tests[] = {{"the netlist from the CSV set alone", netlist_from_csv},
                                {"wire list and cut list", lists_agree},
                                {"metres", metres_agree},
                                {"terminals and seals", terminals_agree},
                                {"each wire has two labels", labels_twice},
                                {"panels", panels_whole},
                                {"sizes of codes", code_sizes},
                                {"sizes of sleeves", sleeve_sizes},
                                CU_TEST_INFO_NULL};
