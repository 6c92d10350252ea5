/* Power distribution pages: the tree of stops shared out over pages, cut at fuses, and each laid
 * out.  A fuse stands on one page; where its feeders go on elsewhere a box says the page
 * (power_draw.c). */
#include "draw/power_page_inner.h"

#include <math.h>
#include <string.h>

#include "draw/frame.h"
#include "draw/graph_inner.h"
#include "draw/metrics.h"

#define NONE UINT32_MAX
#define GAP 3.0         /* between boxes of a column */
#define LABEL_MOST 36.0 /* a feeder's label */
enum {
  BOXES = 60,
  LINES = 3
};

/* ---- words ---- */

static const char *fed_words(const struct pl_power_book *book,
                             const struct pl_fed *fed,
                             bool with_text,
                             double width) {
  double amps = pl_power_worst(book, PL_NONE, &fed->pins).amps;
  const char *said = "";
  if (amps > 0)
    said = pl_arena_printf(book->arena, " %s A", pl_power_figure(book, amps));
  const char *name = fed->name;
  double drop = book->drop[fed->device];
  if (with_text && amps > 0 && drop > 0 &&
      width > 36) /* a narrow list leaves it to the fuse's box */
    said = pl_arena_printf(book->arena, "%s, drop %s", said, pl_power_drop_text(book, drop));
  if (with_text)
    name = pl_power_join(book, name, "  ", book->harness->devices.at[fed->device].text);
  double room = width - pl_text_width(said, PL_TEXT_SIZE, false);
  name = pl_text_fit(book->arena, name, PL_TEXT_SIZE, false, room);
  return pl_arena_printf(book->arena, "%s%s", name, said);
}

static const char *circuit_title(const struct pl_power_book *book, pl_id pin) {
  const struct pl_pin *one = &book->harness->pins.at[pin];
  for (uint32_t i = 0; i < one->wires.n; i++) {
    pl_id circuit = book->harness->wires.at[one->wires.at[i]].circuit;
    if (circuit >= book->harness->circuits.n)
      continue;
    const struct pl_circuit *found = &book->harness->circuits.at[circuit];
    if (found->title != NULL && found->title[0] != '\0')
      return found->title;
    return found->name;
  }
  return "";
}

static void add_line(struct pl_power_box *box, const char *line) {
  if (line[0] != '\0' && box->line_count < PL_POWER_LINES)
    box->lines[box->line_count++] = line;
}

/* Names and amps, running on; what is too much is counted and its circuit page named. */
static void list_run(const struct pl_power_book *book,
                     struct pl_power_box *box,
                     const struct pl_stop *stop,
                     double width,
                     uint32_t most) {
  const char *line = "";
  uint32_t i = 0;
  for (; i < stop->fed.n; i++) {
    const char *word = fed_words(book, &stop->fed.at[i], false, width - 2);
    const char *longer = pl_power_join(book, line, ", ", word);
    if (pl_text_width(longer, PL_TEXT_SIZE, false) > width - 1) {
      bool last = box->line_count + 2 >= most;
      if (last && i + 1 < stop->fed.n)
        break;
      add_line(box, pl_arena_printf(book->arena, "%s,", line));
      longer = word;
    }
    line = longer;
  }
  add_line(box, line);
  if (i == stop->fed.n)
    return;
  const char *where = circuit_title(book, stop->fed.at[i].pins.at[0]);
  const char *more = pl_arena_printf(book->arena,
                                     "... and %u more%s%s",
                                     stop->fed.n - i,
                                     where[0] == '\0' ? "" : ": see circuit page ",
                                     where);
  add_line(box, pl_text_fit(book->arena, more, PL_TEXT_SIZE, false, width));
}

static void list_fed(const struct pl_power_book *book,
                     struct pl_power_box *box,
                     const struct pl_stop *stop,
                     double width,
                     uint32_t most) {
  if (stop->fed.n > most) {
    list_run(book, box, stop, width, most);
    return;
  }
  for (uint32_t i = 0; i < stop->fed.n; i++)
    add_line(box, fed_words(book, &stop->fed.at[i], true, width));
}

/* Wire numbers and the size; of several sizes the least. */
static const char *feeder_label(const struct pl_power_book *book, const pl_ids *wires) {
  const char *numbers = "";
  const char *size = "";
  double least = INFINITY;
  bool differ = false;
  for (uint32_t i = 0; i < wires->n; i++) {
    const struct pl_wire *wire = &book->harness->wires.at[wires->at[i]];
    if (i < 3)
      numbers = pl_power_join(book, numbers, ", ", wire->number);
    if (i == 3)
      numbers = pl_arena_printf(book->arena, "%s ...", numbers);
    differ = differ || (i > 0 && strcmp(wire->size, size) != 0);
    if (i > 0 && !(wire->area < least))
      continue;
    least = wire->area;
    size = wire->size;
  }
  if (differ)
    size = pl_arena_printf(book->arena, "least %s", size);
  double room = LABEL_MOST - pl_text_width(size, PL_TEXT_SIZE, false) - 2;
  numbers = pl_text_fit(book->arena, numbers, PL_TEXT_SIZE, false, fmax(room, 6));
  return pl_text_fit(book->arena,
                     pl_power_join(book, numbers, ": ", size),
                     PL_TEXT_SIZE,
                     false,
                     LABEL_MOST);
}

/* ---- what stands on a sheet ---- */

static void size_stop(const struct pl_power_book *book, struct pl_power_box *box) {
  const struct pl_device *device = pl_power_device(book, box->stop);
  const char *text[3];
  double width = pl_text_width(device->name, PL_NAME_SIZE, true) + 2 * PL_POWER_INSET + 0.5;
  box->width = fmin(fmax(ceil(width), box->kind == PL_BOX_HEAD ? 20 : 24), 40);
  add_line(
      box,
      pl_text_fit(book->arena, device->name, PL_NAME_SIZE, true, box->width - 2 * PL_POWER_INSET));
  if (box->kind == PL_BOX_HEAD)
    add_line(box, " ");
  uint32_t n = pl_text_wrap(book->arena,
                            device->text,
                            PL_TEXT_SIZE,
                            false,
                            box->width - 2 * PL_POWER_INSET,
                            text,
                            3);
  for (uint32_t i = 0; i < n && box->kind == PL_BOX_STOP; i++)
    add_line(box, text[i]);
  if (box->to < book->power.stops.at[box->stop].kids.n)
    add_line(box, " "); /* the page is not known yet */
  box->height = ceil(box->line_count * PL_LEADING + 2.2);
}

static void
size_fuse(const struct pl_power_book *book, struct pl_power_box *box, double list_width) {
  const struct pl_stop *stop = &book->power.stops.at[box->stop];
  box->width = PL_POWER_FUSE_WIDTH;
  box->height = PL_POWER_FUSE_HEIGHT;
  box->listed = book->limit[box->stop] == 0;
  if (!box->listed)
    return;
  bool goes_on = stop->kids.n > 0;
  if (goes_on)
    add_line(box, " ");
  list_fed(book, box, stop, list_width - 3, LINES - (goes_on ? 1 : 0));
  if (box->line_count == 0) {
    const char *words = "nothing found here that takes current";
    if (stop->meets != PL_NONE)
      words = pl_arena_printf(book->arena,
                              "joins what %s feeds",
                              book->harness->devices.at[stop->meets].name);
    add_line(box, pl_text_fit(book->arena, words, PL_TEXT_SIZE, false, list_width - 3));
  }
  double most = goes_on ? fmin(30, list_width - 3)
                        : 0; /* room for the page and the name of what comes next */
  for (uint32_t i = 0; i < box->line_count; i++)
    most = fmax(most, pl_text_width(box->lines[i], PL_TEXT_SIZE, false));
  box->width += 3 + ceil(most);
}

static uint32_t add_box(const struct pl_power_book *book,
                        struct pl_power_sheet *sheet,
                        enum pl_power_box_kind kind,
                        uint32_t stop,
                        uint32_t to) {
  struct pl_power_box box = {.kind = kind, .stop = stop, .to = to};
  if (kind == PL_BOX_FUSE) {
    size_fuse(book, &box, sheet->list_width);
  } else if (kind == PL_BOX_LIST) {
    list_fed(book, &box, &book->power.stops.at[stop], sheet->list_width - 1, PL_POWER_LINES);
    for (uint32_t i = 0; i < box.line_count; i++)
      box.width = fmax(box.width, 1 + ceil(pl_text_width(box.lines[i], PL_TEXT_SIZE, false)));
    box.height = ceil(box.line_count * PL_LEADING + 1);
  } else {
    size_stop(book, &box);
  }
  PL_PUSH(book->arena, &sheet->boxes, box);
  return sheet->boxes.n - 1;
}

static void add_feeder(const struct pl_power_book *book,
                       struct pl_power_sheet *sheet,
                       uint32_t from,
                       uint32_t to,
                       const char *label) {
  struct pl_power_feeder feeder = {.from = from, .to = to, .label = label};
  feeder.label_width = pl_text_width(label, PL_TEXT_SIZE, false);
  PL_PUSH(book->arena, &sheet->feeders, feeder);
}

static void add_kids(const struct pl_power_book *book,
                     struct pl_power_sheet *sheet,
                     uint32_t stop,
                     uint32_t at,
                     uint32_t from,
                     uint32_t to) {
  for (uint32_t i = from; i < to && sheet->boxes.n <= BOXES; i++) {
    uint32_t kid = book->power.stops.at[stop].kids.at[i];
    const struct pl_stop *one = &book->power.stops.at[kid];
    uint32_t box = add_box(book,
                           sheet,
                           pl_power_is_fuse(book, kid) ? PL_BOX_FUSE : PL_BOX_STOP,
                           kid,
                           book->limit[kid]);
    if (at == NONE)
      continue;
    const char *label = feeder_label(book, &one->wires);
    add_feeder(book, sheet, one->backward ? box : at, one->backward ? at : box, label);
  }
}

static void fill_sheet(const struct pl_power_book *book, struct pl_power_sheet *sheet) {
  sheet->boxes.n = sheet->feeders.n = 0;
  for (uint32_t i = 0; i < sheet->parts.n; i++) {
    const struct pl_power_part *part = &sheet->parts.at[i];
    uint32_t head;
    if (part->head == 0)
      head = NONE;
    else
      head = add_box(book, sheet, PL_BOX_HEAD, part->head, part->to);
    add_kids(book, sheet, part->head, head, part->from, part->to);
  }
  for (uint32_t b = 0; b < sheet->boxes.n && sheet->boxes.n <= BOXES; b++) {
    uint32_t stop = sheet->boxes.at[b].stop;
    enum pl_power_box_kind kind = sheet->boxes.at[b].kind;
    if (kind == PL_BOX_LIST || kind == PL_BOX_HEAD)
      continue;
    if (sheet->boxes.at[b].listed)
      continue;
    add_kids(book, sheet, stop, b, 0, book->limit[stop]);
    if (book->power.stops.at[stop].fed.n == 0)
      continue;
    uint32_t list = add_box(book, sheet, PL_BOX_LIST, stop, 0);
    add_feeder(book, sheet, b, list, "");
  }
}

/* ---- places ---- */

static void lay_sheet(const struct pl_power_book *book, struct pl_power_sheet *sheet) {
  uint32_t n = sheet->boxes.n;
  uint32_t m = sheet->feeders.n;
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
    struct pl_power_box *box = &sheet->boxes.at[i];
    box->column = nodes[i].column;
    box->y = nodes[i].y;
    if (box->column >= sheet->columns)
      sheet->columns = box->column + 1;
    sheet->height = fmax(sheet->height, box->y + box->height / 2);
  }
  sheet->gap = ceil(label) + 7;
  sheet->width = 0;
  for (uint32_t c = 0; c < sheet->columns; c++) {
    double most = 0;
    for (uint32_t i = 0; i < n; i++)
      if (sheet->boxes.at[i].column == c)
        most = fmax(most, sheet->boxes.at[i].width);
    sheet->width += most + (c > 0 ? sheet->gap : 0);
  }
}

static bool sheet_fits(const struct pl_power_book *book, struct pl_power_sheet *sheet) {
  static const double widths[] = {96, 66, 40, 25};
  for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
    sheet->list_width = widths[i];
    fill_sheet(book, sheet);
    if (sheet->boxes.n > BOXES)
      return false;
    lay_sheet(book, sheet);
    if (sheet->height > book->room.height)
      return false;
    if (sheet->width <= book->room.width)
      return true;
  }
  return false;
}

static void push_sheet(struct pl_power_book *book, uint32_t head, uint32_t from, uint32_t to) {
  struct pl_power_sheet sheet = {.columns = 0};
  struct pl_power_part part = {head, from, to};
  PL_PUSH(book->arena, &sheet.parts, part);
  PL_PUSH(book->arena, &book->sheets, sheet);
}

/* All that lies behind one stop goes to a page of its own: behind the fuse with the most behind it,
 * or else the last stop on the widest way. */
static bool cut_one(struct pl_power_book *book, const struct pl_power_sheet *sheet, bool fuses) {
  uint32_t best = NONE;
  uint32_t column = 0;
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct pl_power_box *box = &sheet->boxes.at[b];
    if (box->kind == PL_BOX_LIST)
      continue;
    if (box->kind == PL_BOX_HEAD)
      continue;
    if (box->to == 0)
      continue;
    if (pl_power_is_fuse(book, box->stop) != fuses)
      continue;
    const struct pl_stop *stop = &book->power.stops.at[box->stop];
    if (stop->backward)
      continue;
    if (!fuses && stop->parent == sheet->parts.at[0].head)
      continue;
    bool better = best == NONE ||
                  (fuses ? book->weight[box->stop] > book->weight[best] : box->column > column);
    if (!better)
      continue;
    best = box->stop;
    column = box->column;
  }
  if (best == NONE)
    return false;
  book->limit[best] = 0;
  push_sheet(book, best, 0, book->power.stops.at[best].kids.n);
  return true;
}

/* The kids of the stop with the most of them are shared out. */
static bool part_kids(struct pl_power_book *book, uint32_t at) {
  struct pl_power_sheet *sheet = &book->sheets.at[at];
  struct pl_power_part *own = &sheet->parts.at[0];
  uint32_t best = own->head;
  uint32_t most = own->to - own->from;
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct pl_power_box *box = &sheet->boxes.at[b];
    if (box->kind == PL_BOX_LIST)
      continue;
    if (box->kind == PL_BOX_HEAD)
      continue;
    if (box->to <= most)
      continue;
    best = box->stop;
    most = box->to;
  }
  if (most < 2)
    return false;
  double pages = fmax(2, ceil(sheet->height / book->room.height));
  uint32_t part;
  if (sheet->boxes.n > BOXES)
    part = (most > 24 ? 12 : most / 2);
  else
    part = (uint32_t)ceil(most / pages);
  if (part >= most)
    part = most - 1;
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
static void order_sheets(struct pl_power_book *book) {
  uint32_t n = book->sheets.n;
  uint32_t done = 1;
  uint32_t *home = PL_NEW_ARRAY(book->arena, uint32_t, book->power.stops.n);
  struct pl_power_sheet *sorted = PL_NEW_ARRAY(book->arena, struct pl_power_sheet, n);
  for (uint32_t i = 0; i < n; i++)
    for (uint32_t b = 0; b < book->sheets.at[i].boxes.n; b++) {
      const struct pl_power_box *box = &book->sheets.at[i].boxes.at[b];
      if (box->kind == PL_BOX_STOP || box->kind == PL_BOX_FUSE)
        home[box->stop] = i;
    }
  uint32_t *order = PL_NEW_ARRAY(book->arena, uint32_t, n);
  for (uint32_t at = 0; at < done; at++)
    for (uint32_t i = 1; i < n; i++) {
      uint32_t head = book->sheets.at[i].parts.at[0].head;
      if (head != 0 ? home[head] == order[at] : at == 0)
        order[done++] = i;
    }
  for (uint32_t i = 0; i < n; i++)
    sorted[i] = book->sheets.at[order[i]];
  book->sheets.at = sorted;
  book->sheets.cap = n;
}

/* Small sheets together on one. */
static void join_sheets(struct pl_power_book *book) {
  uint32_t kept = 1;
  for (uint32_t i = 1; i < book->sheets.n; i++) {
    struct pl_power_sheet *last = &book->sheets.at[kept - 1];
    struct pl_power_sheet both = *last;
    const struct pl_power_sheet *next = &book->sheets.at[i];
    if (kept > 1) {
      memset(&both, 0, sizeof both);
      for (uint32_t k = 0; k < last->parts.n; k++)
        PL_PUSH(book->arena, &both.parts, last->parts.at[k]);
      for (uint32_t k = 0; k < next->parts.n; k++)
        PL_PUSH(book->arena, &both.parts, next->parts.at[k]);
      if (last->boxes.n + next->boxes.n <= BOXES &&
          last->height + next->height + GAP <= book->room.height && sheet_fits(book, &both)) {
        *last = both;
        continue;
      }
    }
    book->sheets.at[kept++] = *next;
  }
  book->sheets.n = kept;
}

void pl_power_share_out(struct pl_power_book *book) {
  uint32_t n = book->power.stops.n;
  book->limit = PL_NEW_ARRAY(book->arena, uint32_t, n);
  book->weight = PL_NEW_ARRAY(book->arena, uint32_t, n);
  for (uint32_t s = 0; s < n; s++) {
    book->limit[s] = book->power.stops.at[s].kids.n;
    uint32_t up = s;
    for (uint32_t hops = 0; up != 0 && hops < 64; hops++)
      book->weight[up = book->power.stops.at[up].parent]++;
  }
  push_sheet(book, 0, 0, book->power.stops.at[0].kids.n);
  for (uint32_t i = 0; i < book->sheets.n; i++)
    while (!sheet_fits(book, &book->sheets.at[i])) {
      struct pl_power_sheet sheet = book->sheets.at[i];
      bool wide = sheet.boxes.n <= BOXES && sheet.width > book->room.width;
      if (cut_one(book, &sheet, true))
        continue;
      if (wide && cut_one(book, &sheet, false))
        continue;
      if ((sheet.boxes.n > BOXES || sheet.height > book->room.height) && part_kids(book, i))
        continue;
      if (sheet.boxes.n > BOXES && cut_one(book, &sheet, false))
        continue;
      lay_sheet(book, &book->sheets.at[i]); /* the paper grows */
      break;
    }
  order_sheets(book);
  join_sheets(book);
}

uint32_t pl_power_page_of(const struct pl_power_book *book, uint32_t stop, uint32_t from) {
  for (uint32_t i = 0; i < book->sheets.n; i++)
    for (uint32_t k = 0; k < book->sheets.at[i].parts.n; k++) {
      const struct pl_power_part *part = &book->sheets.at[i].parts.at[k];
      if (part->head == stop && part->from == from)
        return i + 1;
    }
  return 0;
}

uint32_t pl_power_home_of(const struct pl_power_book *book, uint32_t stop) {
  for (uint32_t i = 0; i < book->sheets.n; i++)
    for (uint32_t b = 0; b < book->sheets.at[i].boxes.n; b++) {
      const struct pl_power_box *box = &book->sheets.at[i].boxes.at[b];
      if (box->stop == stop && (box->kind == PL_BOX_STOP || box->kind == PL_BOX_FUSE))
        return i + 1;
    }
  return 0;
}
