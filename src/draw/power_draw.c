/* Power distribution pages drawn: boxes, feeders, bars of how much of a rating is used. */
#include <math.h>

#include "base/buffer.h"
#include "base/number.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"
#include "draw/power_page_inner.h"

static const char *share_text(const struct pl_power_book *book, double share) {
  char text[PL_NUMBER_SIZE];
  if (share > 0 && share < 0.01)
    return "under 1 %";
  return pl_arena_printf(book->arena, "%s %%", pl_number_fixed(text, 100 * share, 0));
}

static void place_sheet(struct pl_power_sheet *sheet, struct pl_room room) {
  double tall = fmin(1.3, room.height / fmax(sheet->height, 1));
  double x = room.x;
  double extra = 0;
  if (sheet->columns > 1)
    extra = fmin(14, fmax(0, room.width - sheet->width) / (sheet->columns - 1));
  double used = sheet->width + extra * (sheet->columns - 1);
  x += fmax(0, room.width - used) / 2;
  for (uint32_t c = 0; c < sheet->columns; c++) {
    double most = 0;
    for (uint32_t i = 0; i < sheet->boxes.n; i++) {
      struct pl_power_box *box = &sheet->boxes.at[i];
      if (box->column != c)
        continue;
      box->x = x;
      box->y = room.y + (room.height - sheet->height * tall) / 2 + box->y * tall;
      most = fmax(most, box->width);
    }
    x += most + sheet->gap + extra;
  }
}

/* Where several feeders come in at one box they come in one above the other. */
static void set_entries(struct pl_power_sheet *sheet) {
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    struct pl_power_feeder *feeder = &sheet->feeders.at[i];
    uint32_t n = 0;
    uint32_t above = 0;
    for (uint32_t k = 0; k < sheet->feeders.n; k++) {
      const struct pl_power_feeder *other = &sheet->feeders.at[k];
      if (other->to != feeder->to)
        continue;
      n++;
      double y = sheet->boxes.at[feeder->from].y;
      double y2 = sheet->boxes.at[other->from].y;
      if (y2 < y || (!(y2 > y) && k < i))
        above++;
    }
    double step = fmin(4.6, (sheet->boxes.at[feeder->to].height - 1) / fmax(1, n - 1.0));
    feeder->entry = sheet->boxes.at[feeder->to].y + step * (above - (n - 1) / 2.0);
  }
}

struct span {
  double y1, y2;
};

static struct span span_of(const struct pl_power_sheet *sheet, uint32_t from) {
  struct span span = {sheet->boxes.at[from].y, sheet->boxes.at[from].y};
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    if (sheet->feeders.at[i].from != from)
      continue;
    span.y1 = fmin(span.y1, sheet->feeders.at[i].entry);
    span.y2 = fmax(span.y2, sheet->feeders.at[i].entry);
  }
  return span;
}

/* Uprights of one channel that would lie on each other stand side by side; lane 0 is the nearest to
 * the parents. */
static void set_lanes(struct pl_power_sheet *sheet) {
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    struct pl_power_feeder *feeder = &sheet->feeders.at[i];
    const struct pl_power_box *from = &sheet->boxes.at[feeder->from];
    struct span mine = span_of(sheet, feeder->from);
    double lane = 0;
    for (uint32_t k = 0; k < i; k++) {
      const struct pl_power_feeder *other = &sheet->feeders.at[k];
      if (other->from == feeder->from) {
        lane = other->lane;
        break;
      }
      if (sheet->boxes.at[other->from].column != from->column)
        continue;
      struct span theirs = span_of(sheet, other->from);
      if (mine.y1 < theirs.y2 + 0.5 && theirs.y1 < mine.y2 + 0.5)
        lane = fmax(lane, other->lane + 1);
    }
    feeder->lane = fmin(lane, 3);
  }
}

static void draw_feeders(const struct pl_power_sheet *sheet, struct pl_scene *scene) {
  for (uint32_t i = 0; i < sheet->feeders.n; i++) {
    const struct pl_power_feeder *feeder = &sheet->feeders.at[i];
    const struct pl_power_box *from = &sheet->boxes.at[feeder->from];
    const struct pl_power_box *to = &sheet->boxes.at[feeder->to];
    enum pl_stroke stroke = PL_STROKE_BOLD;
    if (to->kind == PL_BOX_LIST)
      stroke = PL_STROKE_THIN;
    double right =
        from->x + (from->kind == PL_BOX_FUSE && from->listed ? PL_POWER_FUSE_WIDTH : from->width);
    double column = 0;
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
    if (inside)
      pl_scene_circle(scene, PL_STROKE_NONE, PL_FILL_INK, x, feeder->entry, 0.7);
    if (bent && from->y > span.y1 + 0.05 && from->y < span.y2 - 0.05)
      pl_scene_circle(scene, PL_STROKE_NONE, PL_FILL_INK, x, from->y, 0.7);
    pl_scene_text(scene,
                  to->x - 1,
                  feeder->entry - 0.9,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_END,
                  feeder->label);
  }
}

static void open_group(const struct pl_power_book *book,
                       const struct pl_power_box *box,
                       struct pl_scene *scene) {
  const struct pl_device *device = pl_power_device(book, box->stop);
  const char *link = "";
  const char *title = pl_power_join(book, device->name, ": ", device->text);
  for (uint32_t i = 0; i < device->pin_count && link[0] == '\0'; i++) {
    const struct pl_pin *pin = &book->harness->pins.at[device->first_pin + i];
    for (uint32_t k = 0; k < pin->wires.n && link[0] == '\0'; k++) {
      pl_id circuit = book->harness->wires.at[pin->wires.at[k]].circuit;
      if (circuit < book->harness->circuits.n)
        link = pl_circuit_file(book->arena, book->harness, circuit, 1);
    }
  }
  bool reference = box->kind == PL_BOX_HEAD;
  const char *id;
  if (reference)
    id = "";
  else
    id = pl_arena_printf(book->arena,
                         "d-%s_-%u",
                         pl_safe_name(book->arena, device->name),
                         box->stop);
  pl_scene_open_of(scene, id, title, link, reference ? "reference" : "device", device->name);
}

static void draw_stop(const struct pl_power_book *book,
                      const struct pl_power_box *box,
                      struct pl_scene *scene) {
  bool head = box->kind == PL_BOX_HEAD;
  uint32_t more = 0;
  if (box->to < book->power.stops.at[box->stop].kids.n)
    more = pl_power_page_of(book, box->stop, box->to);
  double y = box->y - box->height / 2;
  open_group(book, box, scene);
  pl_scene_box(scene,
               head ? PL_STROKE_DASHED : PL_STROKE_NORMAL,
               PL_FILL_PAPER,
               box->x,
               y,
               box->width,
               box->height);
  for (uint32_t i = 0; i < box->line_count; i++) {
    const char *line = box->lines[i];
    double at = y + 3.3 + i * PL_LEADING;
    double middle = box->x + box->width / 2;
    if (i == 0) {
      pl_scene_bold(scene, middle, at, PL_NAME_SIZE, PL_ANCHOR_MIDDLE, line);
      continue;
    }
    if (line[0] == ' ' && head && i == 1)
      line = pl_arena_printf(book->arena, "from page %u", pl_power_home_of(book, box->stop));
    else if (line[0] == ' ')
      line = more == 0 ? "" : pl_arena_printf(book->arena, "more: page %u", more);
    pl_scene_text(scene, middle, at, PL_TEXT_SIZE, PL_ANCHOR_MIDDLE, line);
  }
  pl_scene_close(scene);
}

#define BAR 20.0 /* mm for the whole rating */

static void hatch(struct pl_buffer *path, double full, double height, double step, bool back) {
  char a[PL_NUMBER_SIZE], b[PL_NUMBER_SIZE], c[PL_NUMBER_SIZE], d[PL_NUMBER_SIZE];
  for (double at = step - height; at < full; at += step) {
    double from = fmax(at, 0);
    double to = fmin(at + height, full);
    double low = height - (from - at);
    double high = height - (to - at);
    if (to - from < 0.2)
      continue;
    pl_buffer_printf(path,
                     "M%s %sL%s %s",
                     pl_number_fixed(a, from, 2),
                     pl_number_fixed(b, back ? height - low : low, 2),
                     pl_number_fixed(c, to, 2),
                     pl_number_fixed(d, back ? height - high : high, 2));
  }
}

/* How much of the rating is used, told three times: by colour, by hatching for grey paper (strokes
 * on a slant; crossed and close when it is too much), and in words beside it.  The mark is the most
 * for a lasting load. */
static void draw_bar(const struct pl_power_book *book,
                     double x,
                     double y,
                     double share,
                     struct pl_scene *scene) {
  const double height = 2.2;
  const double limit = book->harness->machine.fuse_share;
  struct pl_buffer path;
  char a[PL_NUMBER_SIZE], b[PL_NUMBER_SIZE], c[PL_NUMBER_SIZE];
  double full = BAR * fmin(share, 1);
  bool over = share > limit;
  bool near = share > 0.8 * limit;
  pl_scene_box(scene, PL_STROKE_THIN, PL_FILL_PAPER, x, y, BAR, height);
  if (full > 0) {
    enum pl_fill fill = PL_FILL_LITTLE;
    if (over)
      fill = PL_FILL_OVER;
    else if (near)
      fill = PL_FILL_NEAR;
    pl_scene_box(scene, PL_STROKE_NONE, fill, x, y, full, height);
    pl_buffer_init(&path, book->arena);
    hatch(&path, full, height, near || over ? 0.8 : 1.4, false);
    if (over)
      hatch(&path, full, height, 0.8, true);
    pl_buffer_printf(&path,
                     "M%s 0L%s %s",
                     pl_number_fixed(a, full, 2),
                     pl_number_fixed(b, full, 2),
                     pl_number_fixed(c, height, 2));
    pl_scene_path(scene, PL_STROKE_THIN, PL_FILL_NONE, x, y, path.at);
  }
  double mark = x + BAR * fmin(1, limit);
  if (isfinite(mark))
    pl_scene_line(scene, PL_STROKE_NORMAL, mark, y - 0.6, mark, y + height + 0.6);
}

/* "15 A blade, most 8.04 A, state plowing" and the bar below. */
static void draw_load(const struct pl_power_book *book,
                      const struct pl_power_box *box,
                      double y,
                      struct pl_scene *scene) {
  const struct pl_device *device = pl_power_device(book, box->stop);
  struct pl_power_worst worst =
      pl_power_worst(book, box->stop == 0 ? PL_NONE : book->power.stops.at[box->stop].device, NULL);
  double x = box->x + PL_POWER_INSET;
  double width = PL_POWER_FUSE_WIDTH - 2 * PL_POWER_INSET;
  bool rated = device->rating > 0;
  const char *text = "rating not given";
  if (rated)
    text = pl_arena_printf(book->arena, "%s A", pl_power_figure(book, device->rating));
  if (device->family != NULL)
    text = pl_power_join(book, text, " ", device->family);
  if (worst.state != PL_NONE)
    text = pl_arena_printf(book->arena,
                           "%s, most %s A, state %s",
                           text,
                           pl_power_figure(book, worst.amps),
                           book->harness->states.at[worst.state].name);
  pl_scene_text(scene,
                x,
                y + 3.3 + PL_LEADING,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(book->arena, text, PL_TEXT_SIZE, false, width));
  double low = y + 3.9 + 2 * PL_LEADING;
  if (isnan(worst.amps)) {
    pl_scene_text(scene, x, low, PL_TEXT_SIZE, PL_ANCHOR_START, "amps not worked out");
    return;
  }
  double drop = book->worst_drop[box->stop];
  const char *lost = "";
  if (drop > 0)
    lost = pl_arena_printf(book->arena, "drop %s", pl_power_drop_text(book, drop));
  if (!rated) {
    pl_scene_text(scene, x, low, PL_TEXT_SIZE, PL_ANCHOR_START, lost);
    return;
  }
  double share = worst.amps / device->rating;
  bool much = share > book->harness->machine.fuse_share;
  draw_bar(book, x, low - 2, share, scene);
  const char *words = "no lasting load";
  if (share > 0)
    words = share_text(book, share);
  if (share > 1)
    words = pl_arena_printf(book->arena, "%s: opens", words);
  else if (much)
    words = pl_arena_printf(book->arena, "%s: too much", words);
  words = pl_text_fit(book->arena,
                      pl_power_join(book, words, "; ", lost),
                      PL_TEXT_SIZE,
                      much,
                      width - BAR - 2);
  if (much)
    pl_scene_bold(scene, x + BAR + 2, low, PL_TEXT_SIZE, PL_ANCHOR_START, words);
  else
    pl_scene_text(scene, x + BAR + 2, low, PL_TEXT_SIZE, PL_ANCHOR_START, words);
}

static void draw_fuse(const struct pl_power_book *book,
                      const struct pl_power_box *box,
                      struct pl_scene *scene) {
  const struct pl_device *device = pl_power_device(book, box->stop);
  const struct pl_stop *stop = &book->power.stops.at[box->stop];
  double y = box->y - box->height / 2;
  double x = box->x + PL_POWER_INSET;
  open_group(book, box, scene);
  pl_scene_box(scene,
               PL_STROKE_NORMAL,
               PL_FILL_PAPER,
               box->x,
               y,
               PL_POWER_FUSE_WIDTH,
               PL_POWER_FUSE_HEIGHT);
  const char *name = pl_text_fit(book->arena, device->name, PL_NAME_SIZE, true, 34);
  double after = pl_text_width(name, PL_NAME_SIZE, true) + 1.6;
  pl_scene_bold(scene, x, y + 3.4, PL_NAME_SIZE, PL_ANCHOR_START, name);
  const char *text;
  if (device->text[0] != '\0')
    text = device->text;
  else
    text = pl_kind_name(device->kind);
  if (stop->parent == 0)
    text = pl_arena_printf(book->arena, "NO FEED FOUND; %s", text);
  pl_scene_text(scene,
                x + after,
                y + 3.4,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(book->arena,
                            text,
                            PL_TEXT_SIZE,
                            false,
                            PL_POWER_FUSE_WIDTH - 2 * PL_POWER_INSET - after));
  draw_load(book, box, y, scene);
  double at = box->y - (box->line_count - 1) * PL_LEADING / 2 + 0.9;
  if (box->listed && box->line_count > 0)
    pl_scene_line(scene,
                  PL_STROKE_THIN,
                  box->x + PL_POWER_FUSE_WIDTH,
                  box->y,
                  box->x + PL_POWER_FUSE_WIDTH + 2,
                  box->y);
  for (uint32_t i = 0; i < box->line_count; i++) {
    const char *line = box->lines[i];
    if (line[0] == ' ') {
      pl_id next = book->power.stops.at[stop->kids.at[0]].device;
      line = pl_arena_printf(book->arena,
                             "page %u: %s%s",
                             pl_power_page_of(book, box->stop, 0),
                             book->harness->devices.at[next].name,
                             stop->kids.n > 1 ? " and more" : "");
      pl_scene_bold(
          scene,
          box->x + PL_POWER_FUSE_WIDTH + 3,
          at + i * PL_LEADING,
          PL_TEXT_SIZE,
          PL_ANCHOR_START,
          pl_text_fit(book->arena, line, PL_TEXT_SIZE, true, box->width - PL_POWER_FUSE_WIDTH - 3));
      continue;
    }
    pl_scene_text(scene,
                  box->x + PL_POWER_FUSE_WIDTH + 3,
                  at + i * PL_LEADING,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  line);
  }
  pl_scene_close(scene);
}

static void draw_list(const struct pl_power_box *box, struct pl_scene *scene) {
  double at = box->y - (box->line_count - 1) * PL_LEADING / 2 + 0.9;
  for (uint32_t i = 0; i < box->line_count; i++)
    pl_scene_text(scene,
                  box->x + 1,
                  at + i * PL_LEADING,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  box->lines[i]);
}

/* In words, for those who do not see the page. */
static const char *describe(const struct pl_power_book *book, const struct pl_power_sheet *sheet) {
  struct pl_buffer text;
  pl_buffer_init(&text, book->arena);
  pl_buffer_puts(
      &text,
      "Power from left to right: from the supply through studs and fuses to what takes current.");
  pl_buffer_puts(&text, " Fuses:");
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct pl_power_box *box = &sheet->boxes.at[b];
    if (box->kind != PL_BOX_FUSE)
      continue;
    const struct pl_device *device = pl_power_device(book, box->stop);
    double amps = pl_power_worst(book, book->power.stops.at[box->stop].device, NULL).amps;
    pl_buffer_printf(&text, " %s", device->name);
    if (device->rating > 0)
      pl_buffer_printf(&text, " %s A", pl_power_figure(book, device->rating));
    if (device->rating > 0 && amps > 0)
      pl_buffer_printf(&text, ", used to %s", share_text(book, amps / device->rating));
    if (book->worst_drop[box->stop] > 0)
      pl_buffer_printf(&text,
                       ", worst drop behind it %s",
                       pl_power_drop_text(book, book->worst_drop[box->stop]));
    pl_buffer_puts(&text, ";");
  }
  return text.at;
}

static const char *bar_note(const struct pl_power_book *book) {
  char share[PL_NUMBER_SIZE];
  return pl_arena_printf(book->arena,
                         "Bar: share of the rating in a lasting state; hatched closer near the "
                         "limit (mark, %s %%), crossed above.",
                         pl_number_print(share, 100 * book->harness->machine.fuse_share, 3));
}

static void draw_sheet(struct pl_power_book *book, uint32_t page, pl_scenes *pages) {
  struct pl_power_sheet *sheet = &book->sheets.at[page - 1];
  struct pl_scene scene;
  struct pl_mm paper = pl_frame_paper(book->harness);
  const char *notes[PL_POWER_NOTES] = {
      bar_note(book),
      "After a name: the most it takes in a lasting state; drop: lost there and back.",
      "A dashed box and a page number say where a feeder comes from or goes on.",
      "Disconnect the battery before working on these wires."};
  double width = fmax(paper.x, sheet->width + paper.x - book->room.width);
  double height = fmax(paper.y, sheet->height + paper.y - book->room.height);
  struct pl_room room = pl_frame_room(width, height, PL_POWER_NOTES);
  const char *title;
  if (book->sheets.n == 1)
    title = "Power distribution";
  else
    title = pl_arena_printf(book->arena, "Power distribution, page %u of %u", page, book->sheets.n);
  pl_scene_init(&scene, book->arena, pl_power_file(book->arena, page), title, width, height);
  scene.description = describe(book, sheet);
  pl_frame_draw(
      &scene,
      book->harness,
      &(struct pl_frame){"Power distribution", notes, PL_POWER_NOTES, page, book->sheets.n});
  place_sheet(sheet, room);
  set_entries(sheet);
  set_lanes(sheet);
  draw_feeders(sheet, &scene);
  for (uint32_t b = 0; b < sheet->boxes.n; b++) {
    const struct pl_power_box *box = &sheet->boxes.at[b];
    if (box->kind == PL_BOX_FUSE)
      draw_fuse(book, box, &scene);
    else if (box->kind == PL_BOX_LIST)
      draw_list(box, &scene);
    else
      draw_stop(book, box, &scene);
  }
  PL_PUSH(book->arena, pages, scene);
}

void pl_draw_power(const struct pl_harness *harness,
                   const struct pl_network *network,
                   const struct pl_solution *solutions,
                   struct pl_arena *arena,
                   pl_scenes *pages) {
  struct pl_power_book book = {.harness = harness,
                               .network = network,
                               .solutions = network == NULL ? NULL : solutions,
                               .arena = arena};
  struct pl_mm paper = pl_frame_paper(harness);
  bool any = false;
  for (pl_id d = 0; d < harness->devices.n; d++)
    any = any || pl_kind_is_protection(harness->devices.at[d].kind);
  if (!any)
    return;
  book.room = pl_frame_room(paper.x, paper.y, PL_POWER_NOTES);
  pl_power_make(&book.power, harness, arena);
  pl_power_find_drops(&book);
  pl_power_share_out(&book);
  for (uint32_t page = 1; page <= book.sheets.n; page++)
    draw_sheet(&book, page, pages);
}
