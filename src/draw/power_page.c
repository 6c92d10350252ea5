/* Power distribution pages: the tree of stops shared out over pages, cut at fuses, each laid out and drawn.  A fuse is
 * drawn once; where its feeders go on elsewhere a box says the page. */
#include "draw/power.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "draw/graph.h"
#include "standard/limits_data.h"

#define NONE UINT32_MAX
#define FUSE_WIDTH 58.0
#define FUSE_HEIGHT 12.2
#define INSET 1.2
#define GAP 3.0         /* between boxes of a column */
#define LABEL_MOST 36.0 /* a feeder's label */
#define NOTHING 5e-5    /* amps: less than a tenth of a milliamp, as no clamp shows it */
enum { BOXES = 60, LINES = 3, LONG_LINES = 6, NOTES = 4 };

/* `listed`: what a fuse feeds stands at its right; then `width` holds that too. */
enum box_kind { BOX_STOP, BOX_FUSE, BOX_LIST, BOX_HEAD };

struct box {
  enum box_kind kind;
  uint32_t stop;
  bool listed;
  uint32_t to; /* kids of it up to here stand on this sheet; BOX_HEAD, BOX_STOP */
  const char *lines[LONG_LINES];
  uint32_t line_count;
  double width, height, x, y; /* y: middle */
  uint32_t column;
};

struct feeder {
  uint32_t from, to; /* boxes */
  const char *label;
  double label_width, entry, lane;
};

struct part {
  uint32_t head, from, to; /* the kids of stop `head`, from..to-1 */
};

struct sheet {
  PL_VEC(struct part) parts; /* one, until small sheets are laid together */
  PL_VEC(struct box) boxes;
  PL_VEC(struct feeder) feeders;
  double list_width, gap, width, height;
  uint32_t columns;
};

struct book {
  const struct pl_harness *harness;
  const struct pl_solution *solutions; /* NULL: without amps */
  struct pl_arena *arena;
  struct pl_power power;
  uint32_t *limit, *weight; /* by stop: how many kids stand beside it; how many stops lie behind it */
  PL_VEC(struct sheet) sheets;
  struct pl_room room;
};

/* ---- amps ---- */

struct worst {
  double amps; /* NAN: not solved */
  pl_id state;
};

/* A state that sizes fuses: solved, lasting, not cranking. */
static bool lasting(const struct book *book, pl_id s) {
  const struct pl_state *state = &book->harness->states.at[s];
  return book->solutions[s].status == PL_SOLVED && !(state->lasts < pl_limit_brief.value) &&
         state->engine != PL_ENGINE_CRANKING;
}

static double amps_into(const struct book *book, pl_id s, const pl_ids *pins) {
  double sum = 0;
  for (uint32_t i = 0; i < pins->n; i++) {
    const struct pl_pin *pin = &book->harness->pins.at[pins->at[i]];
    for (uint32_t k = 0; k < pin->wires.n; k++) {
      const struct pl_wire *wire = &book->harness->wires.at[pin->wires.at[k]];
      double amps = book->solutions[s].wire_amps[pin->wires.at[k]];
      if (wire->end[0] != wire->end[1]) sum += wire->end[1] == pins->at[i] ? amps : -amps;
    }
  }
  return fabs(sum);
}

/* Of a fuse, or of the pins something is fed at. */
static struct worst worst_of(const struct book *book, pl_id device, const pl_ids *pins) {
  struct worst worst = {NAN, PL_NONE};
  for (pl_id s = 0; book->solutions != NULL && s < book->harness->states.n; s++) {
    if (!lasting(book, s)) continue;
    double amps = pins != NULL ? amps_into(book, s, pins) : fabs(book->solutions[s].device_amps[device]);
    if (isnan(worst.amps)) worst.amps = 0;
    if (!(amps > worst.amps) || amps < NOTHING) continue;
    worst = (struct worst){amps, s};
  }
  return worst;
}

static const char *figure(const struct book *book, double value) {
  char text[PL_NUMBER_SIZE];
  if (value < 0.1) value = round(value * 1e4) / 1e4;
  return pl_arena_strdup(book->arena, pl_number_print(text, value, value < 0.1 ? 2 : 3));
}

static const char *share_text(const struct book *book, double share) {
  char text[PL_NUMBER_SIZE];
  if (share > 0 && share < 0.01) return "under 1 %";
  return pl_arena_printf(book->arena, "%s %%", pl_number_fixed(text, 100 * share, 0));
}

/* ---- words ---- */

static const char *join_words(const struct book *book, const char *a, const char *between, const char *b) {
  if (a[0] == '\0' || b[0] == '\0') return a[0] == '\0' ? b : a;
  return pl_arena_printf(book->arena, "%s%s%s", a, between, b);
}

static const char *fed_words(const struct book *book, const struct pl_fed *fed, bool with_text, double width) {
  double amps = worst_of(book, PL_NONE, &fed->pins).amps;
  const char *said = amps > 0 ? pl_arena_printf(book->arena, " %s A", figure(book, amps)) : "";
  const char *name = fed->name;
  if (with_text) name = join_words(book, name, "  ", book->harness->devices.at[fed->device].text);
  double room = width - pl_text_width(said, PL_TEXT_SIZE, false);
  name = pl_text_fit(book->arena, name, PL_TEXT_SIZE, false, room);
  return pl_arena_printf(book->arena, "%s%s", name, said);
}

static const char *circuit_title(const struct book *book, pl_id pin) {
  const struct pl_pin *one = &book->harness->pins.at[pin];
  for (uint32_t i = 0; i < one->wires.n; i++) {
    pl_id circuit = book->harness->wires.at[one->wires.at[i]].circuit;
    if (circuit >= book->harness->circuits.n) continue;
    const struct pl_circuit *found = &book->harness->circuits.at[circuit];
    return found->title != NULL && found->title[0] != '\0' ? found->title : found->name;
  }
  return "";
}

static void add_line(struct box *box, const char *line) {
  if (line[0] != '\0' && box->line_count < LONG_LINES) box->lines[box->line_count++] = line;
}

/* Names and amps, running on; what is too much is counted and its circuit page named. */
static void list_run(const struct book *book, struct box *box, const struct pl_stop *stop, double width,
                     uint32_t most) {
  const char *line = "";
  uint32_t i = 0;
  for (; i < stop->fed.n; i++) {
    const char *word = fed_words(book, &stop->fed.at[i], false, width - 2);
    const char *longer = join_words(book, line, ", ", word);
    if (pl_text_width(longer, PL_TEXT_SIZE, false) > width - 1) {
      bool last = box->line_count + 2 >= most;
      if (last && i + 1 < stop->fed.n) break;
      add_line(box, pl_arena_printf(book->arena, "%s,", line));
      longer = word;
    }
    line = longer;
  }
  add_line(box, line);
  if (i == stop->fed.n) return;
  const char *where = circuit_title(book, stop->fed.at[i].pins.at[0]);
  const char *more = pl_arena_printf(book->arena, "... and %u more%s%s", stop->fed.n - i,
                                     where[0] == '\0' ? "" : ": see circuit page ", where);
  add_line(box, pl_text_fit(book->arena, more, PL_TEXT_SIZE, false, width));
}

static void list_fed(const struct book *book, struct box *box, const struct pl_stop *stop, double width,
                     uint32_t most) {
  if (stop->fed.n > most) {
    list_run(book, box, stop, width, most);
    return;
  }
  for (uint32_t i = 0; i < stop->fed.n; i++) add_line(box, fed_words(book, &stop->fed.at[i], true, width));
}

/* Wire numbers and the size; of several sizes the least. */
static const char *feeder_label(const struct book *book, const pl_ids *wires) {
  const char *numbers = "", *size = "";
  double least = INFINITY;
  bool differ = false;
  for (uint32_t i = 0; i < wires->n; i++) {
    const struct pl_wire *wire = &book->harness->wires.at[wires->at[i]];
    if (i < 3) numbers = join_words(book, numbers, ", ", wire->number);
    if (i == 3) numbers = pl_arena_printf(book->arena, "%s ...", numbers);
    differ = differ || (i > 0 && strcmp(wire->size, size) != 0);
    if (i > 0 && !(wire->area < least)) continue;
    least = wire->area;
    size = wire->size;
  }
  if (differ) size = pl_arena_printf(book->arena, "least %s", size);
  double room = LABEL_MOST - pl_text_width(size, PL_TEXT_SIZE, false) - 2;
  numbers = pl_text_fit(book->arena, numbers, PL_TEXT_SIZE, false, fmax(room, 6));
  return pl_text_fit(book->arena, join_words(book, numbers, ": ", size), PL_TEXT_SIZE, false, LABEL_MOST);
}

/* ---- what stands on a sheet ---- */

static const struct pl_device *device_of(const struct book *book, uint32_t stop) {
  return &book->harness->devices.at[book->power.stops.at[stop].device];
}

static bool is_fuse(const struct book *book, uint32_t stop) {
  return stop != 0 && pl_kind_is_protection(device_of(book, stop)->kind);
}

static void size_stop(const struct book *book, struct box *box) {
  const struct pl_device *device = device_of(book, box->stop);
  const char *text[3];
  double width = pl_text_width(device->name, PL_NAME_SIZE, true) + 2 * INSET + 0.5;
  box->width = fmin(fmax(ceil(width), box->kind == BOX_HEAD ? 20 : 24), 40);
  add_line(box, pl_text_fit(book->arena, device->name, PL_NAME_SIZE, true, box->width - 2 * INSET));
  if (box->kind == BOX_HEAD) add_line(box, " ");
  uint32_t n = pl_text_wrap(book->arena, device->text, PL_TEXT_SIZE, false, box->width - 2 * INSET, text, 3);
  for (uint32_t i = 0; i < n && box->kind == BOX_STOP; i++) add_line(box, text[i]);
  if (box->to < book->power.stops.at[box->stop].kids.n) add_line(box, " "); /* the page is not known yet */
  box->height = ceil(box->line_count * PL_LEADING + 2.2);
}

static void size_fuse(const struct book *book, struct box *box, double list_width) {
  const struct pl_stop *stop = &book->power.stops.at[box->stop];
  box->width = FUSE_WIDTH;
  box->height = FUSE_HEIGHT;
  box->listed = book->limit[box->stop] == 0;
  if (!box->listed) return;
  bool goes_on = stop->kids.n > 0;
  if (goes_on) add_line(box, " ");
  list_fed(book, box, stop, list_width - 3, LINES - (goes_on ? 1 : 0));
  if (box->line_count == 0) {
    const char *words = "nothing found here that takes current";
    if (stop->meets != PL_NONE)
      words = pl_arena_printf(book->arena, "joins what %s feeds", book->harness->devices.at[stop->meets].name);
    add_line(box, pl_text_fit(book->arena, words, PL_TEXT_SIZE, false, list_width - 3));
  }
  double most = goes_on ? fmin(30, list_width - 3) : 0; /* room for the page and the name of what comes next */
  for (uint32_t i = 0; i < box->line_count; i++)
    most = fmax(most, pl_text_width(box->lines[i], PL_TEXT_SIZE, false));
  box->width += 3 + ceil(most);
}

static uint32_t add_box(const struct book *book, struct sheet *sheet, enum box_kind kind, uint32_t stop,
                        uint32_t to) {
  struct box box = {.kind = kind, .stop = stop, .to = to};
  if (kind == BOX_FUSE) {
    size_fuse(book, &box, sheet->list_width);
  } else if (kind == BOX_LIST) {
    list_fed(book, &box, &book->power.stops.at[stop], sheet->list_width - 1, LONG_LINES);
    for (uint32_t i = 0; i < box.line_count; i++)
      box.width = fmax(box.width, 1 + ceil(pl_text_width(box.lines[i], PL_TEXT_SIZE, false)));
    box.height = ceil(box.line_count * PL_LEADING + 1);
  } else {
    size_stop(book, &box);
  }
  PL_PUSH(book->arena, &sheet->boxes, box);
  return sheet->boxes.n - 1;
}

static void add_feeder(const struct book *book, struct sheet *sheet, uint32_t from, uint32_t to, const char *label) {
  struct feeder feeder = {.from = from, .to = to, .label = label};
  feeder.label_width = pl_text_width(label, PL_TEXT_SIZE, false);
  PL_PUSH(book->arena, &sheet->feeders, feeder);
}

static void add_kids(const struct book *book, struct sheet *sheet, uint32_t stop, uint32_t at, uint32_t from,
                     uint32_t to) {
  for (uint32_t i = from; i < to && sheet->boxes.n <= BOXES; i++) {
    uint32_t kid = book->power.stops.at[stop].kids.at[i];
    const struct pl_stop *one = &book->power.stops.at[kid];
    uint32_t box = add_box(book, sheet, is_fuse(book, kid) ? BOX_FUSE : BOX_STOP, kid, book->limit[kid]);
    if (at == NONE) continue;
    const char *label = feeder_label(book, &one->wires);
    add_feeder(book, sheet, one->backward ? box : at, one->backward ? at : box, label);
  }
}

static void fill_sheet(const struct book *book, struct sheet *sheet) {
  sheet->boxes.n = sheet->feeders.n = 0;
  for (uint32_t i = 0; i < sheet->parts.n; i++) {
    const struct part *part = &sheet->parts.at[i];
    uint32_t head = part->head == 0 ? NONE : add_box(book, sheet, BOX_HEAD, part->head, part->to);
    add_kids(book, sheet, part->head, head, part->from, part->to);
  }
  for (uint32_t b = 0; b < sheet->boxes.n && sheet->boxes.n <= BOXES; b++) {
    uint32_t stop = sheet->boxes.at[b].stop;
    enum box_kind kind = sheet->boxes.at[b].kind;
    if (kind == BOX_LIST || kind == BOX_HEAD || sheet->boxes.at[b].listed) continue;
    add_kids(book, sheet, stop, b, 0, book->limit[stop]);
    if (book->power.stops.at[stop].fed.n == 0) continue;
    uint32_t list = add_box(book, sheet, BOX_LIST, stop, 0);
    add_feeder(book, sheet, b, list, "");
  }
}

/* ---- places ---- */

static void lay_sheet(const struct book *book, struct sheet *sheet) {
  uint32_t n = sheet->boxes.n, m = sheet->feeders.n;
  struct pl_graph_node *nodes = PL_NEW_ARRAY(book->arena, struct pl_graph_node, (size_t)n + 1);
  struct pl_graph_edge *edges = PL_NEW_ARRAY(book->arena, struct pl_graph_edge, (size_t)m + 1);
  double label = 6;
  for (uint32_t i = 0; i < n; i++) {
    nodes[i].width = sheet->boxes.at[i].width;
    nodes[i].height = sheet->boxes.at[i].height;
  }
  for (uint32_t i = 0; i < m; i++) {
    edges[i] = (struct pl_graph_edge){sheet->feeders.at[i].from, sheet->feeders.at[i].to};
    label = fmax(label, sheet->feeders.at[i].label_width);
  }
  pl_graph_lay(nodes, n, edges, m, GAP, book->arena);
  sheet->columns = 0;
  sheet->height = 0;
  for (uint32_t i = 0; i < n; i++) {
    struct box *box = &sheet->boxes.at[i];
    box->column = nodes[i].column;
    box->y = nodes[i].y;
    if (box->column >= sheet->columns) sheet->columns = box->column + 1;
    sheet->height = fmax(sheet->height, box->y + box->height / 2);
  }
  sheet->gap = ceil(label) + 7;
  sheet->width = 0;
  for (uint32_t c = 0; c < sheet->columns; c++) {
    double most = 0;
    for (uint32_t i = 0; i < n; i++)
      if (sheet->boxes.at[i].column == c) most = fmax(most, sheet->boxes.at[i].width);
    sheet->width += most + (c > 0 ? sheet->gap : 0);
  }
}

static bool sheet_fits(const struct book *book, struct sheet *sheet) {
  static const double widths[] = {96, 66, 40, 25};
  for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
    sheet->list_width = widths[i];
    fill_sheet(book, sheet);
    if (sheet->boxes.n > BOXES) return false;
    lay_sheet(book, sheet);
    if (sheet->height > book->room.height) return false;
    if (sheet->width <= book->room.width) return true;
  }
  return false;
}

static void push_sheet(struct book *book, uint32_t head, uint32_t from, uint32_t to) {
  struct sheet sheet = {.columns = 0};
  struct part part = {head, from, to};
  PL_PUSH(book->arena, &sheet.parts, part);
  PL_PUSH(book->arena, &book->sheets, sheet);
}

/* All that lies behind one stop goes to a page of its own: behind the fuse with the most behind it, or else the last
 * stop on the widest way. */
static bool cut_one(struct book *book, const struct sheet *sheet, bool fuses) {
  uint32_t best = NONE, column = 0;
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct box *box = &sheet->boxes.at[b];
    if (box->kind == BOX_LIST || box->kind == BOX_HEAD || box->to == 0 || is_fuse(book, box->stop) != fuses) continue;
    const struct pl_stop *stop = &book->power.stops.at[box->stop];
    if (stop->backward || (!fuses && stop->parent == sheet->parts.at[0].head)) continue;
    bool better = best == NONE || (fuses ? book->weight[box->stop] > book->weight[best] : box->column > column);
    if (!better) continue;
    best = box->stop;
    column = box->column;
  }
  if (best == NONE) return false;
  book->limit[best] = 0;
  push_sheet(book, best, 0, book->power.stops.at[best].kids.n);
  return true;
}

/* The kids of the stop with the most of them are shared out. */
static bool part_kids(struct book *book, uint32_t at) {
  struct sheet *sheet = &book->sheets.at[at];
  struct part *own = &sheet->parts.at[0];
  uint32_t best = own->head, most = own->to - own->from;
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct box *box = &sheet->boxes.at[b];
    if (box->kind == BOX_LIST || box->kind == BOX_HEAD || box->to <= most) continue;
    best = box->stop;
    most = box->to;
  }
  if (most < 2) return false;
  double pages = fmax(2, ceil(sheet->height / book->room.height));
  uint32_t part = sheet->boxes.n > BOXES ? (most > 24 ? 12 : most / 2) : (uint32_t)ceil(most / pages);
  if (part >= most) part = most - 1;
  if (best == own->head) {
    uint32_t to = own->to;
    own->to = own->from + part;
    push_sheet(book, best, own->from + part, to);
    return true;
  }
  book->limit[best] = part;
  push_sheet(book, best, part, most);
  return true;
}

/* A sheet after the one that its head stands on. */
static void order_sheets(struct book *book) {
  uint32_t n = book->sheets.n, done = 1;
  uint32_t *home = PL_NEW_ARRAY(book->arena, uint32_t, book->power.stops.n);
  struct sheet *sorted = PL_NEW_ARRAY(book->arena, struct sheet, n);
  for (uint32_t i = 0; i < n; i++)
    for (uint32_t b = 0; b < book->sheets.at[i].boxes.n; b++) {
      const struct box *box = &book->sheets.at[i].boxes.at[b];
      if (box->kind == BOX_STOP || box->kind == BOX_FUSE) home[box->stop] = i;
    }
  uint32_t *order = PL_NEW_ARRAY(book->arena, uint32_t, n);
  for (uint32_t at = 0; at < done; at++)
    for (uint32_t i = 1; i < n; i++) {
      uint32_t head = book->sheets.at[i].parts.at[0].head;
      if (head != 0 ? home[head] == order[at] : at == 0) order[done++] = i;
    }
  for (uint32_t i = 0; i < n; i++) sorted[i] = book->sheets.at[order[i]];
  book->sheets.at = sorted;
  book->sheets.cap = n;
}

/* Small sheets together on one. */
static void join_sheets(struct book *book) {
  uint32_t kept = 1;
  for (uint32_t i = 1; i < book->sheets.n; i++) {
    struct sheet *last = &book->sheets.at[kept - 1], both = *last;
    const struct sheet *next = &book->sheets.at[i];
    if (kept > 1) {
      memset(&both, 0, sizeof both);
      for (uint32_t k = 0; k < last->parts.n; k++) PL_PUSH(book->arena, &both.parts, last->parts.at[k]);
      for (uint32_t k = 0; k < next->parts.n; k++) PL_PUSH(book->arena, &both.parts, next->parts.at[k]);
      if (last->boxes.n + next->boxes.n <= BOXES && last->height + next->height + GAP <= book->room.height &&
          sheet_fits(book, &both)) {
        *last = both;
        continue;
      }
    }
    book->sheets.at[kept++] = *next;
  }
  book->sheets.n = kept;
}

static void share_out(struct book *book) {
  uint32_t n = book->power.stops.n;
  book->limit = PL_NEW_ARRAY(book->arena, uint32_t, n);
  book->weight = PL_NEW_ARRAY(book->arena, uint32_t, n);
  for (uint32_t s = 0; s < n; s++) {
    book->limit[s] = book->power.stops.at[s].kids.n;
    uint32_t up = s;
    for (uint32_t hops = 0; up != 0 && hops < 64; hops++) book->weight[up = book->power.stops.at[up].parent]++;
  }
  push_sheet(book, 0, 0, book->power.stops.at[0].kids.n);
  for (uint32_t i = 0; i < book->sheets.n; i++)
    while (!sheet_fits(book, &book->sheets.at[i])) {
      struct sheet sheet = book->sheets.at[i];
      bool wide = sheet.boxes.n <= BOXES && sheet.width > book->room.width;
      if (cut_one(book, &sheet, true) || (wide && cut_one(book, &sheet, false))) continue;
      if ((sheet.boxes.n > BOXES || sheet.height > book->room.height) && part_kids(book, i)) continue;
      if (sheet.boxes.n > BOXES && cut_one(book, &sheet, false)) continue;
      lay_sheet(book, &book->sheets.at[i]); /* the paper grows */
      break;
    }
  order_sheets(book);
  join_sheets(book);
}

/* The page on which the kids of a stop from number `from` stand. */
static uint32_t page_of(const struct book *book, uint32_t stop, uint32_t from) {
  for (uint32_t i = 0; i < book->sheets.n; i++)
    for (uint32_t k = 0; k < book->sheets.at[i].parts.n; k++) {
      const struct part *part = &book->sheets.at[i].parts.at[k];
      if (part->head == stop && part->from == from) return i + 1;
    }
  return 0;
}

/* The page on which a stop itself stands. */
static uint32_t home_of(const struct book *book, uint32_t stop) {
  for (uint32_t i = 0; i < book->sheets.n; i++)
    for (uint32_t b = 0; b < book->sheets.at[i].boxes.n; b++) {
      const struct box *box = &book->sheets.at[i].boxes.at[b];
      if (box->stop == stop && (box->kind == BOX_STOP || box->kind == BOX_FUSE)) return i + 1;
    }
  return 0;
}

/* ---- drawing ---- */

static void place_sheet(struct sheet *sheet, struct pl_room room) {
  double tall = fmin(1.3, room.height / fmax(sheet->height, 1)), x = room.x;
  double extra = sheet->columns > 1 ? fmin(14, fmax(0, room.width - sheet->width) / (sheet->columns - 1)) : 0;
  double used = sheet->width + extra * (sheet->columns - 1);
  x += fmax(0, room.width - used) / 2;
  for (uint32_t c = 0; c < sheet->columns; c++) {
    double most = 0;
    for (uint32_t i = 0; i < sheet->boxes.n; i++) {
      struct box *box = &sheet->boxes.at[i];
      if (box->column != c) continue;
      box->x = x;
      box->y = room.y + (room.height - sheet->height * tall) / 2 + box->y * tall;
      most = fmax(most, box->width);
    }
    x += most + sheet->gap + extra;
  }
}

/* Where several feeders come in at one box they come in one above the other. */
static void set_entries(struct sheet *sheet) {
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    struct feeder *feeder = &sheet->feeders.at[i];
    uint32_t n = 0, above = 0;
    for (uint32_t k = 0; k < sheet->feeders.n; k++) {
      const struct feeder *other = &sheet->feeders.at[k];
      if (other->to != feeder->to) continue;
      n++;
      double y = sheet->boxes.at[feeder->from].y, y2 = sheet->boxes.at[other->from].y;
      if (y2 < y || (!(y2 > y) && k < i)) above++;
    }
    double step = fmin(4.6, (sheet->boxes.at[feeder->to].height - 1) / fmax(1, n - 1.0));
    feeder->entry = sheet->boxes.at[feeder->to].y + step * (above - (n - 1) / 2.0);
  }
}

struct span {
  double y1, y2;
};

static struct span span_of(const struct sheet *sheet, uint32_t from) {
  struct span span = {sheet->boxes.at[from].y, sheet->boxes.at[from].y};
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    if (sheet->feeders.at[i].from != from) continue;
    span.y1 = fmin(span.y1, sheet->feeders.at[i].entry);
    span.y2 = fmax(span.y2, sheet->feeders.at[i].entry);
  }
  return span;
}

/* Uprights of one channel that would lie on each other stand side by side; lane 0 is the nearest to the parents. */
static void set_lanes(struct sheet *sheet) {
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    struct feeder *feeder = &sheet->feeders.at[i];
    const struct box *from = &sheet->boxes.at[feeder->from];
    struct span mine = span_of(sheet, feeder->from);
    double lane = 0;
    for (uint32_t k = 0; k < i; k++) {
      const struct feeder *other = &sheet->feeders.at[k];
      if (other->from == feeder->from) {
        lane = other->lane;
        break;
      }
      if (sheet->boxes.at[other->from].column != from->column) continue;
      struct span theirs = span_of(sheet, other->from);
      if (mine.y1 < theirs.y2 + 0.5 && theirs.y1 < mine.y2 + 0.5) lane = fmax(lane, other->lane + 1);
    }
    feeder->lane = fmin(lane, 3);
  }
}

static void draw_feeders(const struct sheet *sheet, struct pl_scene *scene) {
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    const struct feeder *feeder = &sheet->feeders.at[i];
    const struct box *from = &sheet->boxes.at[feeder->from], *to = &sheet->boxes.at[feeder->to];
    enum pl_stroke stroke = to->kind == BOX_LIST ? PL_STROKE_THIN : PL_STROKE_BOLD;
    double right = from->x + (from->kind == BOX_FUSE && from->listed ? FUSE_WIDTH : from->width), column = 0;
    for (uint32_t b = 0; b < sheet->boxes.n; b++)
      if (sheet->boxes.at[b].column == from->column)
        column = fmax(column, sheet->boxes.at[b].x + sheet->boxes.at[b].width);
    double x = column + 2 + 1.2 * feeder->lane;
    bool bent = fabs(from->y - feeder->entry) > 0.05;
    if (bent) {
      pl_scene_line(scene, stroke, right, from->y, x, from->y);
      pl_scene_line(scene, stroke, x, from->y, x, feeder->entry);
      pl_scene_line(scene, stroke, x, feeder->entry, to->x, feeder->entry);
    } else {
      pl_scene_line(scene, stroke, right, from->y, to->x, from->y);
    }
    struct span span = span_of(sheet, feeder->from);
    bool inside = feeder->entry > span.y1 + 0.05 && feeder->entry < span.y2 - 0.05;
    if (inside) pl_scene_circle(scene, PL_STROKE_NONE, PL_FILL_INK, x, feeder->entry, 0.7);
    if (bent && from->y > span.y1 + 0.05 && from->y < span.y2 - 0.05)
      pl_scene_circle(scene, PL_STROKE_NONE, PL_FILL_INK, x, from->y, 0.7);
    pl_scene_text(scene, to->x - 1, feeder->entry - 0.9, PL_TEXT_SIZE, PL_ANCHOR_END, feeder->label);
  }
}

static void open_group(const struct book *book, const struct box *box, struct pl_scene *scene) {
  const struct pl_device *device = device_of(book, box->stop);
  const char *link = "", *title = join_words(book, device->name, ": ", device->text);
  for (uint32_t i = 0; i < device->pin_count && link[0] == '\0'; i++) {
    const struct pl_pin *pin = &book->harness->pins.at[device->first_pin + i];
    for (uint32_t k = 0; k < pin->wires.n && link[0] == '\0'; k++) {
      pl_id circuit = book->harness->wires.at[pin->wires.at[k]].circuit;
      if (circuit < book->harness->circuits.n) link = pl_circuit_file(book->arena, book->harness, circuit, 1);
    }
  }
  bool reference = box->kind == BOX_HEAD;
  const char *id = reference ? ""
                             : pl_arena_printf(book->arena, "d-%s_-%u", pl_safe_name(book->arena, device->name),
                                               box->stop);
  pl_scene_open_of(scene, id, title, link, reference ? "reference" : "device", device->name);
}

static void draw_stop(const struct book *book, const struct box *box, struct pl_scene *scene) {
  bool head = box->kind == BOX_HEAD;
  uint32_t more = box->to < book->power.stops.at[box->stop].kids.n ? page_of(book, box->stop, box->to) : 0;
  double y = box->y - box->height / 2;
  open_group(book, box, scene);
  pl_scene_box(scene, head ? PL_STROKE_DASHED : PL_STROKE_NORMAL, PL_FILL_PAPER, box->x, y, box->width, box->height);
  for (uint32_t i = 0; i < box->line_count; i++) {
    const char *line = box->lines[i];
    double at = y + 3.3 + i * PL_LEADING, middle = box->x + box->width / 2;
    if (i == 0) {
      pl_scene_bold(scene, middle, at, PL_NAME_SIZE, PL_ANCHOR_MIDDLE, line);
      continue;
    }
    if (line[0] == ' ' && head && i == 1)
      line = pl_arena_printf(book->arena, "from page %u", home_of(book, box->stop));
    else if (line[0] == ' ')
      line = more == 0 ? "" : pl_arena_printf(book->arena, "more: page %u", more);
    pl_scene_text(scene, middle, at, PL_TEXT_SIZE, PL_ANCHOR_MIDDLE, line);
  }
  pl_scene_close(scene);
}

/* How much of the rating: strokes on a slant, so that it is seen without colour; a mark at the most for a lasting load.
 */
static void draw_bar(const struct book *book, double x, double y, double share, struct pl_scene *scene) {
  const double width = 26, height = 2.2;
  struct pl_buffer path;
  char a[PL_NUMBER_SIZE], b[PL_NUMBER_SIZE], c[PL_NUMBER_SIZE], d[PL_NUMBER_SIZE];
  double full = width * fmin(share, 1);
  pl_scene_box(scene, PL_STROKE_THIN, PL_FILL_PAPER, x, y, width, height);
  pl_buffer_init(&path, book->arena);
  for (double at = 1.1 - height; at < full; at += 1.1) {
    double from = fmax(at, 0), to = fmin(at + height, full);
    if (to - from < 0.2) continue;
    pl_buffer_printf(&path, "M%s %sL%s %s", pl_number_fixed(a, from, 2), pl_number_fixed(b, height - (from - at), 2),
                     pl_number_fixed(c, to, 2), pl_number_fixed(d, height - (to - at), 2));
  }
  pl_buffer_printf(&path, "M%s 0L%s %s", pl_number_fixed(a, full, 2), pl_number_fixed(b, full, 2),
                   pl_number_fixed(c, height, 2));
  if (full > 0) pl_scene_path(scene, PL_STROKE_THIN, PL_FILL_NONE, x, y, path.at);
  double mark = x + width * fmin(1, book->harness->machine.fuse_share);
  if (isfinite(mark)) pl_scene_line(scene, PL_STROKE_NORMAL, mark, y - 0.6, mark, y + height + 0.6);
}

/* "15 A blade, most 8.04 A, state plowing" and the bar below. */
static void draw_load(const struct book *book, const struct box *box, double y, struct pl_scene *scene) {
  const struct pl_device *device = device_of(book, box->stop);
  struct worst worst = worst_of(book, box->stop == 0 ? PL_NONE : book->power.stops.at[box->stop].device, NULL);
  double x = box->x + INSET, width = FUSE_WIDTH - 2 * INSET;
  bool rated = device->rating > 0;
  const char *text = rated ? pl_arena_printf(book->arena, "%s A", figure(book, device->rating)) : "rating not given";
  if (device->family != NULL) text = join_words(book, text, " ", device->family);
  if (worst.state != PL_NONE)
    text = pl_arena_printf(book->arena, "%s, most %s A, state %s", text, figure(book, worst.amps),
                           book->harness->states.at[worst.state].name);
  pl_scene_text(scene, x, y + 3.3 + PL_LEADING, PL_TEXT_SIZE, PL_ANCHOR_START,
                pl_text_fit(book->arena, text, PL_TEXT_SIZE, false, width));
  double low = y + 3.9 + 2 * PL_LEADING;
  if (isnan(worst.amps)) {
    pl_scene_text(scene, x, low, PL_TEXT_SIZE, PL_ANCHOR_START, "amps not worked out");
    return;
  }
  if (!rated) return;
  double share = worst.amps / device->rating;
  bool much = share > book->harness->machine.fuse_share;
  draw_bar(book, x, low - 2, share, scene);
  const char *words = share > 0 ? share_text(book, share) : "no lasting load";
  words = share > 1 ? pl_arena_printf(book->arena, "%s: opens", words)
          : much    ? pl_arena_printf(book->arena, "%s: too much", words)
                    : words;
  if (much)
    pl_scene_bold(scene, x + 28, low, PL_TEXT_SIZE, PL_ANCHOR_START, words);
  else
    pl_scene_text(scene, x + 28, low, PL_TEXT_SIZE, PL_ANCHOR_START, words);
}

static void draw_fuse(const struct book *book, const struct box *box, struct pl_scene *scene) {
  const struct pl_device *device = device_of(book, box->stop);
  const struct pl_stop *stop = &book->power.stops.at[box->stop];
  double y = box->y - box->height / 2, x = box->x + INSET;
  open_group(book, box, scene);
  pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, box->x, y, FUSE_WIDTH, FUSE_HEIGHT);
  const char *name = pl_text_fit(book->arena, device->name, PL_NAME_SIZE, true, 34);
  double after = pl_text_width(name, PL_NAME_SIZE, true) + 1.6;
  pl_scene_bold(scene, x, y + 3.4, PL_NAME_SIZE, PL_ANCHOR_START, name);
  const char *text = device->text[0] != '\0' ? device->text : pl_kind_name(device->kind);
  if (stop->parent == 0) text = pl_arena_printf(book->arena, "NO FEED FOUND; %s", text);
  pl_scene_text(scene, x + after, y + 3.4, PL_TEXT_SIZE, PL_ANCHOR_START,
                pl_text_fit(book->arena, text, PL_TEXT_SIZE, false, FUSE_WIDTH - 2 * INSET - after));
  draw_load(book, box, y, scene);
  double at = box->y - (box->line_count - 1) * PL_LEADING / 2 + 0.9;
  if (box->listed && box->line_count > 0)
    pl_scene_line(scene, PL_STROKE_THIN, box->x + FUSE_WIDTH, box->y, box->x + FUSE_WIDTH + 2, box->y);
  for (uint32_t i = 0; i < box->line_count; i++) {
    const char *line = box->lines[i];
    if (line[0] == ' ') {
      pl_id next = book->power.stops.at[stop->kids.at[0]].device;
      line = pl_arena_printf(book->arena, "page %u: %s%s", page_of(book, box->stop, 0),
                             book->harness->devices.at[next].name, stop->kids.n > 1 ? " and more" : "");
      pl_scene_bold(scene, box->x + FUSE_WIDTH + 3, at + i * PL_LEADING, PL_TEXT_SIZE, PL_ANCHOR_START,
                    pl_text_fit(book->arena, line, PL_TEXT_SIZE, true, box->width - FUSE_WIDTH - 3));
      continue;
    }
    pl_scene_text(scene, box->x + FUSE_WIDTH + 3, at + i * PL_LEADING, PL_TEXT_SIZE, PL_ANCHOR_START, line);
  }
  pl_scene_close(scene);
}

static void draw_list(const struct box *box, struct pl_scene *scene) {
  double at = box->y - (box->line_count - 1) * PL_LEADING / 2 + 0.9;
  for (uint32_t i = 0; i < box->line_count; i++)
    pl_scene_text(scene, box->x + 1, at + i * PL_LEADING, PL_TEXT_SIZE, PL_ANCHOR_START, box->lines[i]);
}

/* In words, for those who do not see the page. */
static const char *describe(const struct book *book, const struct sheet *sheet) {
  struct pl_buffer text;
  pl_buffer_init(&text, book->arena);
  pl_buffer_puts(&text, "Power from left to right: from the supply through studs and fuses to what takes current.");
  pl_buffer_puts(&text, " Fuses:");
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct box *box = &sheet->boxes.at[b];
    if (box->kind != BOX_FUSE) continue;
    const struct pl_device *device = device_of(book, box->stop);
    double amps = worst_of(book, book->power.stops.at[box->stop].device, NULL).amps;
    pl_buffer_printf(&text, " %s", device->name);
    if (device->rating > 0) pl_buffer_printf(&text, " %s A", figure(book, device->rating));
    if (device->rating > 0 && amps > 0)
      pl_buffer_printf(&text, ", used to %s", share_text(book, amps / device->rating));
    pl_buffer_puts(&text, ";");
  }
  return text.at;
}

static const char *bar_note(const struct book *book) {
  char share[PL_NUMBER_SIZE];
  return pl_arena_printf(book->arena, "Bar: share of the rating, at its most in a lasting state; mark: limit of %s %%.",
                         pl_number_print(share, 100 * book->harness->machine.fuse_share, 3));
}

static void draw_sheet(struct book *book, uint32_t page, pl_scenes *pages) {
  struct sheet *sheet = &book->sheets.at[page - 1];
  struct pl_scene scene;
  struct pl_mm paper = pl_frame_paper(book->harness);
  const char *notes[NOTES] = {bar_note(book), "Amps after a name: the most it takes in any lasting state.",
                              "A dashed box and a page number say where a feeder comes from or goes on.",
                              "Disconnect the battery before working on these wires."};
  double width = fmax(paper.x, sheet->width + paper.x - book->room.width);
  double height = fmax(paper.y, sheet->height + paper.y - book->room.height);
  struct pl_room room = pl_frame_room(width, height, NOTES);
  const char *title = book->sheets.n == 1 ? "Power distribution"
                                          : pl_arena_printf(book->arena, "Power distribution, page %u of %u", page,
                                                            book->sheets.n);
  pl_scene_init(&scene, book->arena, pl_power_file(book->arena, page), title, width, height);
  scene.description = describe(book, sheet);
  pl_frame_draw(&scene, book->harness,
                &(struct pl_frame){"Power distribution", notes, NOTES, page, book->sheets.n});
  place_sheet(sheet, room);
  set_entries(sheet);
  set_lanes(sheet);
  draw_feeders(sheet, &scene);
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct box *box = &sheet->boxes.at[b];
    if (box->kind == BOX_FUSE)
      draw_fuse(book, box, &scene);
    else if (box->kind == BOX_LIST)
      draw_list(box, &scene);
    else
      draw_stop(book, box, &scene);
  }
  PL_PUSH(book->arena, pages, scene);
}

void pl_draw_power(const struct pl_harness *harness, const struct pl_network *network,
                   const struct pl_solution *solutions, struct pl_arena *arena, pl_scenes *pages) {
  struct book book = {.harness = harness, .solutions = network == NULL ? NULL : solutions, .arena = arena};
  struct pl_mm paper = pl_frame_paper(harness);
  bool any = false;
  for (pl_id d = 0; d < harness->devices.n; d++) any = any || pl_kind_is_protection(harness->devices.at[d].kind);
  if (!any) return;
  book.room = pl_frame_room(paper.x, paper.y, NOTES);
  pl_power_make(&book.power, harness, arena);
  share_out(&book);
  for (uint32_t page = 1; page <= book.sheets.n; page++) draw_sheet(&book, page, pages);
}
