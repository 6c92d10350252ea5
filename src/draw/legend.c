/* The key to the drawings: the symbols and the colours that this machine uses, and no others. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/drawings.h"
#include "draw/frame.h"
#include "draw/metrics.h"
#include "draw/shape.h"
#include "draw/sign.h"
#include "standard/limits_data.h"

#define CELL_WIDTH 54.4
#define CELL_HEIGHT 20.2
#define SYMBOL 16.0 /* height of a symbol with its leads */
#define ROW 5.4     /* of the colour key */
#define SWATCH 18.0
enum {
  COLOUR_COLUMNS = 3
};

static const char *const notes[] = {
    "Symbols stand at rest: key off, engine stopped, cold, no pressure.",
    "Current runs down the page, from the supply lines to ground.",
};
enum {
  NOTES = sizeof notes / sizeof notes[0]
};

/* ---- symbols ---- */

/* What is on every circuit page. */
enum mark {
  MARK_SUPPLY,
  MARK_GROUND,
  MARK_LABEL,
  MARK_CROSSING,
  MARK_REFERENCE,
  MARK_COUNT
};

static const char *const marks[MARK_COUNT][2] = {
    [MARK_SUPPLY] = {"supply line",
                     "30: battery plus. 15: live with the key on. 50: live in start (DIN 72552)"},
    [MARK_GROUND] = {"ground line", "31: battery minus, the chassis and its studs (DIN 72552)"},
    [MARK_LABEL] = {"wire", "number, colours, size. Drawn in its colours, the stripe as dashes"},
    [MARK_CROSSING] = {"crossing", "no dot: not joined"},
    [MARK_REFERENCE] = {"reference", "the conductor goes on there: circuit, wire, page, column"},
};

/* A contact of a relay or of a switch. */
struct contact {
  const char *name, *words;
  bool closed, relay, springs;
};
static const struct contact make_contact = {"relay: make contact",
                                            "closes when the coil pulls in",
                                            .relay = true};
static const struct contact break_contact = {"relay: break contact",
                                             "opens when the coil pulls in",
                                             .closed = true,
                                             .relay = true};
static const struct contact button = {"switch that springs back", "held: closed", .springs = true};

enum {
  ENTRIES = (int)MARK_COUNT + (int)PL_SIGN_COUNT + 3
};

/* One of the three: a mark when contact is NULL and sign is PL_SIGN_COUNT. */
struct entry {
  const char *name, *words;
  enum mark mark;
  enum pl_sign sign;
  const struct contact *contact;
};

static bool wired(const struct pl_harness *harness, const struct pl_device *device) {
  for (uint32_t i = 0; i < device->pin_count; i++)
    if (harness->pins.at[device->first_pin + i].wires.n > 0)
      return true;
  return false;
}

/* What the machine has: signs, contacts of its relays, switches that stay and that spring back. */
struct used {
  bool sign[PL_SIGN_COUNT], make, brk, stays, springs;
};

static bool springs_back(const struct pl_device *device) {
  for (uint32_t t = 0; t < device->throws.n; t++)
    if (device->throws.at[t].momentary)
      return true;
  return false;
}

static struct used find_used(const struct pl_harness *harness) {
  struct used used = {.make = false};
  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    if (!wired(harness, device))
      continue;
    enum pl_sign sign = pl_kind_row(device->kind)->sign;
    used.sign[sign] = true;
    if (sign == PL_SIGN_RELAY) {
      used.make = used.make || device->make.n > 0;
      used.brk = used.brk || device->brk.n > 0;
    }
    if (sign == PL_SIGN_SWITCH) {
      bool springs = springs_back(device);
      used.springs = used.springs || springs;
      used.stays = used.stays || !springs;
    }
  }
  return used;
}

static struct entry mark_entry(enum mark mark) {
  return (struct entry){marks[mark][0], marks[mark][1], .mark = mark, .sign = PL_SIGN_COUNT};
}

static struct entry sign_entry(enum pl_sign sign) {
  const struct pl_sign_row *row = pl_sign_row(sign);
  return (struct entry){row->name, row->words, .sign = sign};
}

static struct entry contact_entry(const struct contact *contact) {
  return (struct entry){contact->name, contact->words, .sign = PL_SIGN_COUNT, .contact = contact};
}

/* What moves contacts stands last, with its contacts. */
static uint32_t list_entries(const struct pl_harness *harness, struct entry entries[ENTRIES]) {
  struct used used = find_used(harness);
  uint32_t n = 0;
  for (enum mark mark = 0; mark < MARK_COUNT; mark++)
    entries[n++] = mark_entry(mark);
  for (enum pl_sign sign = 0; sign < PL_SIGN_COUNT; sign++) {
    if (!used.sign[sign])
      continue;
    if (sign == PL_SIGN_RELAY)
      continue;
    if (sign == PL_SIGN_SWITCH)
      continue;
    entries[n++] = sign_entry(sign);
  }
  if (used.sign[PL_SIGN_RELAY])
    entries[n++] = sign_entry(PL_SIGN_RELAY);
  if (used.make)
    entries[n++] = contact_entry(&make_contact);
  if (used.brk)
    entries[n++] = contact_entry(&break_contact);
  if (used.stays)
    entries[n++] = sign_entry(PL_SIGN_SWITCH);
  if (used.springs)
    entries[n++] = contact_entry(&button);
  return n;
}

static void line(struct pl_scene *scene, double x, double y, double x2, double y2) {
  pl_scene_line(scene, PL_STROKE_NORMAL, x, y, x2, y2);
}

static void draw_wire(struct pl_scene *scene,
                      const char *base,
                      const char *stripe,
                      double x,
                      double y,
                      double x2,
                      double y2) {
  pl_scene_wire(scene, (struct pl_colour){base, stripe, ""}, (struct pl_mm[]){{x, y}, {x2, y2}}, 2);
}

static void draw_box(struct pl_scene *scene, enum pl_sign sign, double x, double y, double y2) {
  const struct pl_sign_row *row = pl_sign_row(sign);
  double middle = (y + y2) / 2;
  pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_GREY, x - 6.5, middle - 5.5, 13, 11);
  line(scene, x - 3, middle - 7, x - 3, middle - 5.5);
  line(scene, x + 3, middle - 7, x + 3, middle - 5.5);
  if (row->pins != NULL)
    pl_scene_bold(scene, x, middle + 1, PL_TEXT_SIZE, PL_ANCHOR_MIDDLE, row->pins);
  else
    pl_shape_inner(scene, sign, x, middle);
}

/* Three wires at two points of a node. */
static void draw_joint(struct pl_scene *scene, bool stud, double x, double y, double y2) {
  double middle = (y + y2) / 2;
  draw_wire(scene, "RD", "", x - 3, y + 1, x - 3, middle);
  draw_wire(scene, "RD", "", x - 3, middle, x - 3, y2 - 1);
  draw_wire(scene, "RD", "", x + 4, middle, x + 4, y2 - 1);
  pl_scene_line(scene, PL_STROKE_BOLD, x - 3, middle, x + 4, middle);
  for (int i = 0; i < 2; i++) {
    double at = i == 0 ? x - 3 : x + 4;
    if (stud)
      pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, at, middle, 1.3);
    else
      pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_INK, at, middle, 1.2);
  }
}

static void draw_line_mark(struct pl_scene *scene,
                           const char *rail,
                           const char *colour,
                           double x,
                           double middle,
                           double end) {
  pl_scene_bold(scene, x - 3.4, middle + 1.1, 3.2, PL_ANCHOR_END, rail);
  pl_scene_line(scene, PL_STROKE_BOLD, x - 2.2, middle, x + 7, middle);
  draw_wire(scene, colour, "", x + 2, middle, x + 2, end);
  pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_INK, x + 2, middle, 0.9);
}

static void draw_mark(struct pl_scene *scene, enum mark mark, double x, double y, double y2) {
  double middle = (y + y2) / 2;
  switch (mark) {
    case MARK_SUPPLY:
      draw_line_mark(scene, "30", "RD", x, middle, y2 - 1);
      return;
    case MARK_GROUND:
      draw_line_mark(scene, "31", "BK", x, middle, y + 1);
      return;
    case MARK_REFERENCE:
      line(scene, x - 2, y + 3, x - 2, middle - 3);
      pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, x - 6.5, middle - 3, 13, 6.8);
      pl_scene_text(scene, x - 5.7, middle - 0.2, PL_TEXT_SIZE, PL_ANCHOR_START, "wire 7");
      pl_scene_text(scene, x - 5.7, middle + 2.9, PL_TEXT_SIZE, PL_ANCHOR_START, "col. 4");
      return;
    case MARK_LABEL:
      draw_wire(scene, "YE", "BK", x - 6, y, x - 6, y2);
      pl_scene_box(scene, PL_STROKE_THIN, PL_FILL_PAPER, x - 4.7, middle - 3.2, 11.4, 6.4);
      pl_scene_bold(scene, x - 4.2, middle - 0.6, PL_TEXT_SIZE, PL_ANCHOR_START, "7");
      pl_scene_text(scene, x - 1.8, middle - 0.6, PL_TEXT_SIZE, PL_ANCHOR_START, "YE/BK");
      pl_scene_text(scene, x - 4.2, middle + 2.4, PL_TEXT_SIZE, PL_ANCHOR_START, "16 AWG");
      return;
    case MARK_CROSSING:
      draw_wire(scene, "BU", "", x, y + 1, x, y2 - 1);
      draw_wire(scene, "GN", "", x - 6, middle, x + 6, middle);
      return;
    case MARK_COUNT:
      return;
  }
}

static void draw_sign(struct pl_scene *scene, enum pl_sign sign, double x, double y, double y2) {
  double middle = (y + y2) / 2;
  switch (pl_sign_row(sign)->figure) {
    case PL_FIGURE_UPRIGHT:
      pl_shape_two(scene, sign, false, x, y, y2);
      return;
    case PL_FIGURE_BOX:
      draw_box(scene, sign, x, y, y2);
      return;
    case PL_FIGURE_COIL:
      pl_shape_coil(scene, x, y, y2);
      return;
    case PL_FIGURE_SWITCH:
      pl_shape_switch(scene, x, y, y2, false, false, false);
      return;
    case PL_FIGURE_CAVITY:
      pl_shape_cavity(scene, x, y, y2);
      return;
    case PL_FIGURE_SPLICE:
      draw_joint(scene, false, x, y, y2);
      return;
    case PL_FIGURE_STUD:
      draw_joint(scene, true, x, y, y2);
      return;
    case PL_FIGURE_CHASSIS:
      line(scene, x, y + 4, x, middle);
      pl_shape_chassis(scene, x, middle);
      return;
  }
}

static void
draw_figure(struct pl_scene *scene, const struct entry *entry, double x, double y, double y2) {
  const struct contact *contact = entry->contact;
  if (contact != NULL)
    pl_shape_switch(scene, x, y, y2, contact->closed, contact->relay, contact->springs);
  else if (entry->sign != PL_SIGN_COUNT)
    draw_sign(scene, entry->sign, x, y, y2);
  else
    draw_mark(scene, entry->mark, x, y, y2);
}

static void draw_entry(struct pl_scene *scene, const struct entry *entry, double x, double y) {
  const char *lines[3];
  pl_scene_open(scene, "", entry->name, "");
  draw_figure(scene, entry, x + 9, y + 1.5, y + 1.5 + SYMBOL);
  uint32_t n =
      pl_text_wrap(scene->arena, entry->words, PL_TEXT_SIZE, false, CELL_WIDTH - 20, lines, 3);
  double top = y + 1.5 + SYMBOL / 2 - n * PL_LEADING / 2;
  pl_scene_bold(scene,
                x + 18,
                top + 0.9,
                PL_NAME_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(scene->arena, entry->name, PL_NAME_SIZE, true, CELL_WIDTH - 19));
  for (uint32_t i = 0; i < n; i++)
    pl_scene_text(scene,
                  x + 18,
                  top + 0.9 + (i + 1) * PL_LEADING + 0.3,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  lines[i]);
  pl_scene_close(scene);
}

/* ---- pages ---- */

struct legend {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  const char *stem, *title, *description;
  pl_scenes *pages;
  uint32_t first;
};

static struct pl_room open_page(struct legend *legend, struct pl_scene *scene) {
  struct pl_mm paper = pl_frame_paper(legend->harness);
  struct pl_room room = pl_frame_room(paper.x, paper.y, NOTES);
  uint32_t page = legend->pages->n - legend->first + 1;
  const char *file;
  if (page == 1)
    file = pl_arena_printf(legend->arena, "%s.svg", legend->stem);
  else
    file = pl_arena_printf(legend->arena, "%s-p%u.svg", legend->stem, page);
  pl_scene_init(scene, legend->arena, file, legend->title, paper.x, paper.y);
  scene->description = legend->description;
  pl_scene_bold(scene, room.x, room.y + 4, 4, PL_ANCHOR_START, legend->title);
  room.y += 8;
  room.height -= 8;
  return room;
}

static void end_pages(const struct legend *legend) {
  uint32_t count = legend->pages->n - legend->first;
  for (uint32_t p = 0; p < count; p++)
    pl_frame_draw(&legend->pages->at[legend->first + p],
                  legend->harness,
                  &(struct pl_frame){legend->title, notes, NOTES, p + 1, count});
}

static void
draw_symbols(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages) {
  struct entry entries[ENTRIES];
  uint32_t n = list_entries(harness, entries);
  struct legend legend = {harness,
                          arena,
                          "legend-symbols",
                          "Symbols of these drawings",
                          "The symbols that the circuit pages of this machine use.",
                          pages,
                          pages->n};
  for (uint32_t at = 0; at < n;) {
    struct pl_scene scene;
    struct pl_room room = open_page(&legend, &scene);
    uint32_t columns = (uint32_t)(room.width / CELL_WIDTH);
    uint32_t rows = (uint32_t)(room.height / CELL_HEIGHT);
    for (uint32_t i = 0; i < columns * rows && at < n; i++, at++)
      draw_entry(&scene,
                 &entries[at],
                 room.x + i % columns * CELL_WIDTH,
                 room.y + i / columns * CELL_HEIGHT);
    PL_PUSH(arena, pages, scene);
  }
  end_pages(&legend);
}

/* ---- colours ---- */

struct shade {
  struct pl_colour colour;
  uint32_t wires, turn[3];
};

static uint32_t turn_of(const char *letters) {
  if (letters[0] == '\0')
    return 0;
  uint32_t row = pl_colour_find(letters, (uint32_t)strlen(letters));
  if (row == UINT32_MAX)
    return pl_colour_count + 1;
  return row + 1;
}

static bool same_colour(const struct pl_colour *a, const struct pl_colour *b) {
  if (strcmp(a->base, b->base) != 0)
    return false;
  if (strcmp(a->stripe, b->stripe) != 0)
    return false;
  return strcmp(a->stripe2, b->stripe2) == 0;
}

static int by_turn(const void *left, const void *right) {
  const struct shade *a = left;
  const struct shade *b = right;
  for (int i = 0; i < 3; i++)
    if (a->turn[i] != b->turn[i])
      return a->turn[i] < b->turn[i] ? -1 : 1;
  int base = strcmp(a->colour.base, b->colour.base);
  if (base != 0)
    return base;
  return strcmp(a->colour.stripe, b->colour.stripe);
}

static uint32_t
list_shades(const struct pl_harness *harness, struct pl_arena *arena, struct shade **shades) {
  uint32_t n = 0;
  *shades = PL_NEW_ARRAY(arena, struct shade, (size_t)harness->wires.n + 1);
  for (pl_id w = 0; w < harness->wires.n; w++) {
    const struct pl_colour *colour = &harness->wires.at[w].colour;
    uint32_t i = 0;
    while (i < n && !same_colour(&(*shades)[i].colour, colour))
      i++;
    if (i == n)
      (*shades)[n++] = (struct shade){
          .colour = *colour,
          .turn = {turn_of(colour->base), turn_of(colour->stripe), turn_of(colour->stripe2)}};
    (*shades)[i].wires++;
  }
  qsort(*shades, n, sizeof **shades, by_turn);
  return n;
}

static const char *colour_name(const char *letters) {
  uint32_t row = pl_colour_find(letters, (uint32_t)strlen(letters));
  if (row == UINT32_MAX)
    return letters;
  return pl_colours[row].name;
}

static const char *colour_words(struct pl_arena *arena, const struct pl_colour *colour) {
  if (colour->base[0] == '\0')
    return "no colour stated";
  if (colour->stripe[0] == '\0')
    return colour_name(colour->base);
  if (colour->stripe2[0] == '\0')
    return pl_arena_printf(arena,
                           "%s, %s stripe",
                           colour_name(colour->base),
                           colour_name(colour->stripe));
  return pl_arena_printf(arena,
                         "%s, %s and %s stripes",
                         colour_name(colour->base),
                         colour_name(colour->stripe),
                         colour_name(colour->stripe2));
}

static void
draw_shade(struct pl_scene *scene, const struct shade *shade, double x, double y, double width) {
  char buffer[16];
  const char *letters = pl_arena_strdup(scene->arena, pl_colour_text(&shade->colour, buffer));
  const char *words = colour_words(scene->arena, &shade->colour);
  const char *wires =
      pl_arena_printf(scene->arena, "%u wire%s", shade->wires, shade->wires == 1 ? "" : "s");
  double count = pl_text_width(wires, PL_TEXT_SIZE, false);
  double at = x + SWATCH + 2;
  pl_scene_open(scene, "", pl_arena_printf(scene->arena, "%s: %s, %s", letters, words, wires), "");
  pl_scene_wire(scene, shade->colour, (struct pl_mm[]){{x, y + 2}, {x + SWATCH, y + 2}}, 2);
  scene->items.at[scene->items.n - 1].size = 2;
  pl_scene_bold(scene, at, y + 2.9, PL_NAME_SIZE, PL_ANCHOR_START, letters);
  pl_scene_text(scene,
                at + 18,
                y + 2.9,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(scene->arena, words, PL_TEXT_SIZE, false, width - SWATCH - 22 - count));
  pl_scene_text(scene, x + width, y + 2.9, PL_TEXT_SIZE, PL_ANCHOR_END, wires);
  pl_scene_close(scene);
}

static void
draw_colours(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages) {
  struct shade *shades;
  uint32_t n = list_shades(harness, arena, &shades);
  struct legend legend = {harness,
                          arena,
                          "legend-colours",
                          "Wire colours of this machine",
                          "Letters of IEC 60757: before the stroke the base, after it the stripe.",
                          pages,
                          pages->n};
  for (uint32_t at = 0; at < n;) {
    struct pl_scene scene;
    struct pl_room room = open_page(&legend, &scene);
    pl_scene_text(&scene,
                  room.x,
                  room.y,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  "Letters of IEC 60757: before the stroke the base, after it the stripe. In black "
                  "and white go by the "
                  "letters, never by the shade.");
    double width = (room.width - 8 * (COLOUR_COLUMNS - 1)) / (double)COLOUR_COLUMNS;
    uint32_t rows = (uint32_t)((room.height - 6) / ROW);
    uint32_t left = (n - at + COLOUR_COLUMNS - 1) / COLOUR_COLUMNS;
    if (left < rows)
      rows = left;
    for (uint32_t i = 0; i < COLOUR_COLUMNS * rows && at < n; i++, at++)
      draw_shade(&scene,
                 &shades[at],
                 room.x + i / rows * (width + 8),
                 room.y + 4 + i % rows * ROW,
                 width);
    PL_PUSH(arena, pages, scene);
  }
  end_pages(&legend);
}

void pl_draw_legend(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages) {
  if (harness->wires.n == 0)
    return;
  draw_symbols(harness, arena, pages);
  draw_colours(harness, arena, pages);
}
