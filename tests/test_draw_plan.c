/* The routing plan and the assembly board: texts apart and on the page, scale as stated, lengths
 * those of the model, tiles that meet, nothing twice and nothing missing; on the demos and on
 * harnesses by lot. */
#include "test_draw.h"

#include <stdlib.h>

#include "base/buffer.h"
#include "draw/board_inner.h"
#include "draw/drawings.h"
#include "draw/frame.h"
#include "draw/metrics.h"
#include "model/build.h"
#include "write/svg.h"

static const char *const demos[] = {"harnesses/pump-skid/pump-skid.loom",
                                    "harnesses/snowplow/snowplow.loom"};

struct built {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
};

/* `text` NULL: the file `path`. */
static void build(struct built *built, const char *path, const char *text) {
  struct pl_reader reader = pl_reader_text(text);
  pl_test_arena(&built->arena);
  pl_sources_init(&built->sources, &built->arena);
  pl_findings_init(&built->findings, &built->arena);
  pl_harness_init(&built->harness, &built->arena);
  bool read = pl_build(path,
                       text == NULL ? &pl_reader_disk : &reader,
                       &built->sources,
                       &built->findings,
                       &built->harness);
  for (uint32_t i = 0; !read && i < built->findings.list.n && i < 3; i++)
    puts(built->findings.list.at[i].text);
  CU_ASSERT_TRUE_FATAL(read);
}

/* ---- harnesses by lot ---- */

static uint32_t rolled(uint32_t *seed, uint32_t n) {
  *seed = *seed * 1664525u + 1013904223u;
  return (*seed >> 8) % n;
}

static void random_runs(struct pl_buffer *out, uint32_t *seed, uint32_t places) {
  static const char *const lengths[] =
      {"0.01 m", "15 mm", "0.1 m", "0.35 m", "0.8 m", "1.25 m", "2.4 m", "7 m", "31.5 m"};
  static const char *const covers[] = {"",
                                       "  covering split conduit 13 mm\n",
                                       "  covering grommet 60 mm\n"};
  for (uint32_t i = 1; i < places; i++) {
    if (rolled(seed, 9) == 0)
      continue;
    pl_buffer_printf(out,
                     "run P%u to P%u\n  length %s\n%s",
                     rolled(seed, 2) == 0 ? i - 1 : rolled(seed, i),
                     i,
                     lengths[rolled(seed, 9)],
                     covers[rolled(seed, 3)]);
  }
  for (uint32_t i = rolled(seed, 3); i > 0 && places > 2; i--) { /* rings */
    uint32_t a = rolled(seed, places);
    uint32_t b = (a + 1 + rolled(seed, places - 1)) % places;
    pl_buffer_printf(out, "run P%u to P%u\n  length %s\n", a, b, lengths[2 + rolled(seed, 7)]);
  }
}

static uint32_t random_devices(struct pl_buffer *out, uint32_t *seed, uint32_t places, bool crowd) {
  static const char *const forms[] = {
      "stud D%u at P%u\n",
      "splice D%u at P%u\n",
      "fuse D%u at P%u \"a name that says what it is for\"\n  rating 10 A\n",
      ("module D%u at P%u \"controller\"\n"
       "  connector A 8 cavities, 2 rows, sealed\n"
       "  A1..A8 contact\n"),
      "module D%u at P%u\n  connector J1 6 cavities, round\n  J1.1..J1.6 contact\n"};
  uint32_t n = 2 + rolled(seed, crowd ? 90 : 30);
  for (uint32_t i = 0; i < n; i++) {
    uint32_t place = rolled(seed, crowd ? 2 : places) % places;
    pl_buffer_printf(out, forms[i < 2 ? 0 : rolled(seed, 5)], i, place);
  }
  return n;
}

static const char *random_text(struct pl_arena *arena, uint32_t seed) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  pl_buffer_printf(&out,
                   "machine \"By lot\"\n%s%s%s",
                   rolled(&seed, 3) == 0 ? "  units us\n" : "",
                   rolled(&seed, 4) == 0 ? "  tail 40 mm\n" : "",
                   rolled(&seed, 9) == 0 ? "  slack 12.5 %\n" : "");
  uint32_t places = 1 + rolled(&seed, rolled(&seed, 6) == 0 ? 60 : 14);
  for (uint32_t i = 0; i < places; i++)
    pl_buffer_printf(&out,
                     "place P%u%s\n",
                     i,
                     rolled(&seed, 3) == 0 ? " \"somewhere on the left of the frame, low\"" : "");
  random_runs(&out, &seed, places);
  bool crowd = rolled(&seed, 5) == 0;
  uint32_t devices = random_devices(&out, &seed, places, crowd);
  struct built probe; /* to know the pins */
  build(&probe, "lot.loom", out.at);
  uint32_t pins = probe.harness.pins.n;
  uint32_t wires = 1 + rolled(&seed, 3 * devices);
  pl_buffer_puts(&out, "wires of all\n");
  for (uint32_t i = 0; i < wires; i++) {
    const char *from = probe.harness.pins.at[rolled(&seed, pins)].full;
    const char *to = probe.harness.pins.at[rolled(&seed, pins)].full;
    if (strcmp(from, to) == 0)
      continue;
    pl_buffer_printf(&out,
                     "  %u %s %s %s RD%s\n",
                     i + 1,
                     from,
                     to,
                     rolled(&seed, 8) == 0 ? "2/0 AWG" : "16 AWG",
                     rolled(&seed, 4) == 0 ? " length 0.4 m" : "");
  }
  pl_arena_release(&probe.arena);
  return out.at;
}

/* ---- reading scenes ---- */

static const struct pl_item *text_with(const struct pl_scene *scene, const char *part) {
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind == PL_SHAPE_TEXT && strstr(item->text, part) != NULL)
      return item;
  }
  return NULL;
}

/* ---- the plan ---- */

static double stated_scale(const struct pl_scene *scene) {
  const struct pl_item *item = text_with(scene, ", scale 1:");
  if (item == NULL)
    return 0;
  return strtod(strstr(item->text, "1:") + 2, NULL);
}

/* A run is a box or a line of its length; broken, it is shorter and the strokes of the break stand
 * in its group. */
static void check_run(const struct built *built,
                      const struct pl_scene *scene,
                      uint32_t at,
                      double scale,
                      const char *row) {
  uint32_t id = (uint32_t)strtoul(scene->items.at[at].id + 2, NULL, 10);
  uint32_t lines = 0;
  const struct pl_run *run = &built->harness.runs.at[id];
  const double ring = 2.6; /* the run ends in the middle of its ring */
  double drawn = ring;
  for (uint32_t i = at + 1; scene->items.at[i].kind != PL_SHAPE_CLOSE; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (i == at + 1)
      drawn += item->kind == PL_SHAPE_BOX ? item->x2 : item->x2 - item->x;
    lines += item->kind == PL_SHAPE_LINE && i > at + 1;
  }
  if (scale <= 0)
    return;
  const char *what = pl_arena_printf(built->harness.arena, "%s: length of run %u", row, id);
  if (fabs(drawn * scale / 1000 - run->length) < 1e-6)
    return;
  PL_CHECK(text_with(scene,
                     drawn * scale / 1000 > run->length ? " (drawn longer): "
                                                        : " (drawn broken): ") != NULL,
           what);
  PL_CHECK(drawn * scale / 1000 > run->length ? lines == 0 && drawn < 4.6 : lines == 2, what);
}

static void check_plan(struct built *built, const char *row) {
  pl_scenes pages = {0};
  pl_scenes again = {0};
  uint32_t runs = 0;
  uint32_t places = 0;
  pl_draw_plan(&built->harness, &built->arena, &pages);
  pl_draw_plan(&built->harness, &built->arena, &again);
  PL_CHECK((pages.n > 0) == (built->harness.runs.n > 0), row);
  draw_check_same(&pages, &again, row);
  for (uint32_t p = 0; p < pages.n; p++) {
    const struct pl_scene *scene = &pages.at[p];
    double scale = stated_scale(scene);
    draw_check_texts(scene, row);
    for (uint32_t i = 0; i < scene->items.n; i++) {
      const struct pl_item *item = &scene->items.at[i];
      if (item->kind != PL_SHAPE_OPEN)
        continue;
      places += strcmp(item->what, "place") == 0;
      if (strcmp(item->what, "run") != 0)
        continue;
      runs++;
      check_run(built, scene, i, scale, row);
    }
  }
  if (pages.n == 0)
    return;
  PL_CHECK_INT(runs, built->harness.runs.n, row);
  PL_CHECK_INT(places, built->harness.places.n, row);
}

/* ---- the board ---- */

/* Ring to ring, and what is left out, is the run's length. */
static void check_distances(const struct pl_board *board, const char *row) {
  double ring = NAN;
  struct pl_gap out = {NAN, 0};
  for (uint32_t i = 0; i < board->tiles.n; i++) {
    const struct pl_tile *tile = &board->tiles.at[i];
    if (!tile->joins_left) {
      ring = NAN;
      out = (struct pl_gap){NAN, 0};
    } else {
      PL_CHECK(fabs(tile->from - board->tiles.at[i - 1].to) < 1e-9, row);
    }
    PL_CHECK(tile->to - tile->from <= board->window.width + 1e-9 && tile->to > tile->from, row);
    if (!isnan(tile->begin))
      ring = tile->begin;
    double at = tile->twig != UINT32_MAX ? tile->ring : tile->end;
    if (isnan(at))
      continue;
    double length;
    if (tile->run == UINT32_MAX)
      length = 0;
    else
      length = 1000 * board->tree.harness->runs.at[board->tree.twigs.at[tile->run].run].length;
    if (!isnan(ring)) {
      double left_out = (isnan(out.at) ? 0 : out.mm) + (isnan(tile->in.at) ? 0 : tile->in.mm);
      PL_CHECK(fabs(at - ring + left_out - length) < 1e-6, row);
      if (board->full && left_out > 0)
        PL_CHECK(length > 100 * board->window.width, row);
    } else if (tile->run != UINT32_MAX) {
      PL_CHECK(length < 16, row); /* too short for two rings */
    }
    ring = at;
    out = tile->out;
  }
}

/* Every takeoff with a tail has one lane, every other run of the tree one stub or one way straight
 * on. */
static void check_complete(const struct pl_board *board, const char *row) {
  uint32_t wanted = 0;
  uint32_t stubs = 0;
  uint32_t branches = 0;
  uint32_t runs = 0;
  for (pl_id p = 0; p < board->tree.harness->places.n; p++)
    for (uint32_t i = 0; i < board->tree.takeoffs[p].n; i++)
      wanted += board->tree.takeoffs[p].at[i].tailed > 0;
  for (uint32_t i = 0; i < board->tiles.n; i++) {
    const struct pl_tile *tile = &board->tiles.at[i];
    branches += tile->twig != UINT32_MAX && tile->next != UINT32_MAX;
    for (uint32_t k = 0; k < tile->stubs.n; k++) {
      stubs += tile->stubs.at[k].twig == UINT32_MAX;
      branches += tile->stubs.at[k].twig != UINT32_MAX;
      if (k > 0)
        PL_CHECK(fabs(tile->stubs.at[k].y - tile->stubs.at[k - 1].y) > 4.99, row);
      PL_CHECK(fabs(tile->stubs.at[k].y) < board->window.height / 2 - 4.9, row);
    }
  }
  for (uint32_t t = 0; t < board->tree.twigs.n; t++)
    runs += board->tree.twigs.at[t].parent != UINT32_MAX;
  PL_CHECK_INT(runs, board->tree.harness->runs.n, row);
  if (board->tiles.n == 0)
    return;
  PL_CHECK_INT(stubs, wanted, row);
  PL_CHECK_INT(branches, runs, row);
}

/* Slant and straight of each tail are as long as a tail, where the page does not say otherwise. */
static void
check_tails(const struct pl_board *board, const struct pl_scene *scene, const char *row) {
  bool to_length = text_with(scene, "TAILS ARE NOT TO LENGTH") == NULL;
  PL_CHECK(to_length == (fabs(board->tail - board->tail_drawn) < 0.01), row);
  for (uint32_t i = 0; i + 2 < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    const struct pl_item *one = item + 1;
    const struct pl_item *two = item + 2;
    if (item->kind != PL_SHAPE_OPEN)
      continue;
    if (strcmp(item->what, "device") != 0)
      continue;
    double length =
        hypot(one->x2 - one->x, one->y2 - one->y) + hypot(two->x2 - two->x, two->y2 - two->y);
    if (to_length)
      PL_CHECK(fabs(length - board->tail) < 1e-6, row);
  }
}

/* The heights at which lines of runs end at x, read from the file. */
static uint32_t
ends_at(const char *svg, struct pl_room window, double x, double *ys, uint32_t most) {
  uint32_t n = 0;
  for (const char *at = strstr(svg, "<line "); at != NULL; at = strstr(at + 1, "<line ")) {
    double v[4] = {0, 0, 0, 0};
    static const char *const names[] = {" x1=\"", " y1=\"", " x2=\"", " y2=\""};
    for (int i = 0; i < 4; i++) {
      const char *found = strstr(at, names[i]);
      CU_ASSERT_PTR_NOT_NULL_FATAL(found);
      v[i] = strtod(found + 5, NULL);
    }
    if (fabs(v[1] - v[3]) > 1e-9 || fabs(v[0] - v[2]) < 7.1)
      continue; /* uprights; the arms of crosses are 7 mm */
    if (v[1] < window.y + 1)
      continue;
    if (v[1] > window.y + window.height - 1)
      continue;
    if ((fabs(v[0] - x) < 0.5 || fabs(v[2] - x) < 0.5) && n < most)
      ys[n++] = v[1];
  }
  return n;
}

static void
check_joins(const struct pl_board *board, const pl_scenes *pages, uint32_t maps, const char *row) {
  for (uint32_t i = 0; i + 1 < board->tiles.n; i++) {
    const struct pl_tile *tile = &board->tiles.at[i];
    const struct pl_tile *next = tile + 1;
    struct pl_buffer one, two;
    double left[64], right[64];
    if (!tile->joins_right)
      continue;
    if (tile->to - tile->from < 8)
      continue;
    if (next->to - next->from < 8)
      continue;
    pl_buffer_init(&one, board->arena);
    pl_buffer_init(&two, board->arena);
    pl_svg_write(&one, &pages->at[maps + i]);
    pl_svg_write(&two, &pages->at[maps + i + 1]);
    uint32_t n = ends_at(one.at, board->window, board->window.x + tile->to - tile->from, left, 64);
    uint32_t m = ends_at(two.at, board->window, board->window.x, right, 64);
    PL_CHECK(n > 0 && n == m,
             pl_arena_printf(board->arena,
                             "%s: %s and %s: %u and %u lines",
                             row,
                             tile->file,
                             next->file,
                             n,
                             m));
    for (uint32_t k = 0; k < n && k < m; k++)
      PL_CHECK(fabs(left[k] - right[k]) < 0.5, row); /* half a millimetre */
  }
}

/* Inside the cut lines nothing written may be cut. */
static void check_cut(const struct pl_board *board,
                      const struct pl_tile *tile,
                      const struct pl_scene *scene,
                      const char *row) {
  double left = board->window.x;
  double right = left + tile->to - tile->from;
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind != PL_SHAPE_TEXT)
      continue;
    if (item->y < board->window.y)
      continue;
    if (item->y > board->window.y + board->window.height)
      continue;
    double wide = pl_text_width(item->text, item->size, item->bold);
    double x;
    if (item->anchor == PL_ANCHOR_START)
      x = item->x;
    else if (item->anchor == PL_ANCHOR_MIDDLE)
      x = item->x - wide / 2;
    else
      x = item->x - wide;
    PL_CHECK(x > left && x + wide < right,
             pl_arena_printf(board->arena, "%s: %s: %s", row, scene->file, item->text));
  }
}

static void
check_ruler(const struct pl_harness *harness, const struct pl_scene *scene, const char *row) {
  for (uint32_t i = 0; i + 1 < scene->items.n; i++) {
    if (scene->items.at[i].kind != PL_SHAPE_OPEN)
      continue;
    if (strcmp(scene->items.at[i].id, "ruler") != 0)
      continue;
    double length = scene->items.at[i + 1].x2 - scene->items.at[i + 1].x;
    PL_CHECK(fabs(length - (harness->machine.units == PL_UNITS_US ? 101.6 : 100)) < 1e-9, row);
    return;
  }
  PL_CHECK(false, row);
}

static uint32_t check_board(struct built *built, bool full, const char *row) {
  struct pl_board board;
  pl_scenes pages = {0};
  pl_scenes again = {0};
  pl_board_make(&board, &built->harness, full, &built->arena);
  pl_draw_board(&built->harness, full, &built->arena, &pages);
  pl_draw_board(&built->harness, full, &built->arena, &again);
  draw_check_same(&pages, &again, row);
  if (board.tiles.n == 0) {
    PL_CHECK_INT(pages.n, 0, row);
    return 0;
  }
  uint32_t maps = pages.n - board.tiles.n;
  PL_CHECK(maps > 0, row);
  check_distances(&board, row);
  check_complete(&board, row);
  for (uint32_t p = 0; p < pages.n; p++) {
    draw_check_texts(&pages.at[p], row);
    for (uint32_t k = 0; k < p && pages.n < 60; k++)
      PL_CHECK(strcmp(pages.at[p].file, pages.at[k].file) != 0, pages.at[p].file);
    if (p < maps)
      continue;
    PL_CHECK_STR(pages.at[p].file, board.tiles.at[p - maps].file, row);
    check_ruler(&built->harness, &pages.at[p], row);
    check_tails(&board, &pages.at[p], row);
    check_cut(&board, &board.tiles.at[p - maps], &pages.at[p], row);
  }
  check_joins(&board, &pages, maps, row);
  return board.tiles.n;
}

static void check_both(struct built *built, const char *row) {
  check_plan(built, row);
  check_board(built, false, row);
  check_board(built, true, row);
}

static void demo_pages(void) {
  for (size_t d = 0; d < sizeof demos / sizeof demos[0]; d++) {
    struct built built;
    build(&built, pl_test_path(demos[d]), NULL);
    check_both(&built, demos[d]);
    pl_scenes pages = {0};
    pl_draw_plan(&built.harness, &built.arena, &pages);
    pl_draw_board(&built.harness, false, &built.arena, &pages);
    for (uint32_t p = 0; p < pages.n; p++) /* ISO 216: A4 */
      PL_CHECK(fabs(pages.at[p].width - 297) < 1e-9 && fabs(pages.at[p].height - 210) < 1e-9,
               pages.at[p].file);
    built.harness.machine.units = PL_UNITS_US; /* ASME Y14.1: size A, 8.5 by 11 in */
    check_both(&built, "Letter");
    pages.n = 0;
    pl_draw_plan(&built.harness, &built.arena, &pages);
    for (uint32_t p = 0; p < pages.n; p++)
      PL_CHECK(fabs(pages.at[p].width - 279.4) < 1e-9, pages.at[p].file);
    pl_arena_release(&built.arena);
  }
}

static void random_pages(void) {
  for (uint32_t seed = 1; seed <= 160; seed++) {
    struct pl_arena arena;
    struct built built;
    char row[40];
    snprintf(row, sizeof row, "lot %u", seed);
    pl_test_arena(&arena);
    build(&built, "lot.loom", random_text(&arena, seed * 7919u));
    check_plan(&built, row);
    check_board(&built, false, row);
    if (seed % 8 == 0)
      check_board(&built, true, row);
    pl_arena_release(&built.arena);
    pl_arena_release(&arena);
  }
}

/* Deeper than any scale: no scale is claimed, and stretches begin at the left again. */
static void deep(void) {
  struct pl_arena arena;
  struct pl_buffer text;
  struct built built;
  pl_scenes pages = {0};
  pl_test_arena(&arena);
  pl_buffer_init(&text, &arena);
  pl_buffer_puts(&text, "machine \"Deep\"\n");
  for (int i = 0; i < 90; i++)
    pl_buffer_printf(&text, "place P%d\n", i);
  for (int i = 1; i < 90; i++)
    pl_buffer_printf(&text, "run P%d to P%d\n  length 0.4 m\n", i - 1, i);
  build(&built, "deep.loom", text.at);
  check_plan(&built, "deep");
  pl_draw_plan(&built.harness, &built.arena, &pages);
  CU_ASSERT_PTR_NOT_NULL(text_with(&pages.at[0], "Not to scale"));
  CU_ASSERT_TRUE(stated_scale(&pages.at[0]) <= 0);
  pl_arena_release(&built.arena);
  pl_arena_release(&arena);
}

static const char line_text[] =
    "machine \"Line\"\n  units %s\n"
    "place A\nplace B \"the middle\"\nplace C\nplace D\nplace E\n"
    "run A to B\n  length 1.2 m\n  covering split conduit 13 mm\nrun B to C\n  length 0.8 m\nrun B "
    "to D\n  length 0.5 "
    "m\n"
    "run D to A\n  length 2 m\n"
    "stud S1 at A\nstud S2 at B\nstud S3 at C\nstud S4 at D\nstud S5 at E\nstud S6 at C\n"
    "wires of all\n  1 S1 S2 16 AWG RD\n  2 S1 S3 16 AWG RD\n  3 S1 S4 16 AWG RD\n  4 S1 S5 16 AWG "
    "RD length 3 m\n%s";

/* By hand: the ways from A are B 1.2 m, C 2.0 m, D 1.7 m; the run from D to A closes a ring. */
static void by_hand(void) {
  struct built built;
  struct pl_tree tree;
  pl_scenes pages = {0};
  char text[1024];
  snprintf(text, sizeof text, line_text, "metric", "");
  build(&built, "line.loom", text);
  check_both(&built, "line");
  pl_tree_make(&tree, &built.harness, &built.arena);
  static const struct {
    const char *place;
    double far;
    bool again;
  } rows[] = {{"A", 0, false},
              {"B", 1.2, false},
              {"D", 1.7, false},
              {"A", 3.7, true},
              {"C", 2.0, false},
              {"E", 0, false}};
  PL_CHECK_INT(tree.twigs.n, 6, "twigs");
  for (uint32_t i = 0; i < 6 && i < tree.twigs.n; i++) {
    PL_CHECK_STR(built.harness.places.at[tree.twigs.at[i].place].name, rows[i].place, "order");
    PL_CHECK(fabs(tree.twigs.at[i].far - rows[i].far) < 1e-9 &&
                 tree.twigs.at[i].again == rows[i].again,
             rows[i].place);
  }
  pl_draw_plan(&built.harness, &built.arena, &pages);
  CU_ASSERT_EQUAL_FATAL(pages.n, 1);
  CU_ASSERT_PTR_NOT_NULL(text_with(&pages.at[0], "1.2 m: 3 wires, about "));
  CU_ASSERT_PTR_NOT_NULL(text_with(&pages.at[0], "split conduit 13 mm"));
  CU_ASSERT_PTR_NOT_NULL(text_with(&pages.at[0], "800 mm: 1 wire, about "));
  CU_ASSERT_PTR_NOT_NULL(text_with(&pages.at[0], "2 m: no wire"));
  CU_ASSERT_PTR_NOT_NULL(text_with(&pages.at[0], "no place, or no run leads there): wires 4."));
  pl_arena_release(&built.arena);
}

/* Three equal wires are 2.155 times as thick as one (geometry); the words say the figure. */
static void bundles(void) {
  struct built built;
  char text[1024];
  snprintf(text, sizeof text, line_text, "metric", "");
  build(&built, "line.loom", text);
  struct pl_bundle three = pl_run_bundle(&built.harness, &built.harness.runs.at[0]);
  struct pl_bundle one = pl_run_bundle(&built.harness, &built.harness.runs.at[1]);
  PL_CHECK_INT(three.wires, 3, "three");
  PL_CHECK_INT(one.wires, 1, "one");
  CU_ASSERT_TRUE(fabs(three.mm / one.mm - (1 + 2 / sqrt(3))) < 0.001);
  PL_CHECK_INT(pl_run_bundle(&built.harness, &built.harness.runs.at[3]).wires, 0, "none");
  pl_arena_release(&built.arena);
}

/* A wire more at C changes the tile of C and the plan's page, and no other tile. */
static void one_wire_more(void) {
  struct built built[2];
  pl_scenes pages[2] = {{0}, {0}};
  uint32_t changed = 0;
  for (int i = 0; i < 2; i++) {
    char text[1024];
    snprintf(text, sizeof text, line_text, "metric", i == 0 ? "" : "  5 S3 S6 16 AWG BK\n");
    build(&built[i], "line.loom", text);
    built[i].harness.digest = "0123456789abcdef"; /* every title block has the text's own */
    pl_draw_board(&built[i].harness, false, &built[i].arena, &pages[i]);
  }
  CU_ASSERT_EQUAL_FATAL(pages[0].n, pages[1].n);
  for (uint32_t p = 0; p < pages[0].n; p++) {
    struct pl_buffer one, two;
    pl_buffer_init(&one, &built[0].arena);
    pl_buffer_init(&two, &built[1].arena);
    pl_svg_write(&one, &pages[0].at[p]);
    pl_svg_write(&two, &pages[1].at[p]);
    bool same = strcmp(one.at, two.at) == 0;
    bool is_c = strcmp(pages[0].at[p].file, "board-C.svg") == 0;
    PL_CHECK(same != is_c, pages[0].at[p].file);
    changed += !same;
  }
  PL_CHECK_INT(changed, 1, "tiles changed");
  for (int i = 0; i < 2; i++)
    pl_arena_release(&built[i].arena);
}

/* More takeoffs than lanes: the rest gets tiles of its own on the same ring. */
static void crowded(void) {
  struct pl_arena arena;
  struct pl_buffer text;
  struct built built;
  pl_test_arena(&arena);
  pl_buffer_init(&text, &arena);
  pl_buffer_puts(&text,
                 "machine \"Crowd\"\nplace A\nplace B\nrun A to B\n  length 3 m\nstud S at B\n");
  for (int i = 0; i < 100; i++)
    pl_buffer_printf(&text, "stud T%d at A\n", i);
  pl_buffer_puts(&text, "wires of all\n");
  for (int i = 0; i < 100; i++)
    pl_buffer_printf(&text, "  %d T%d S 16 AWG RD\n", i + 1, i);
  build(&built, "crowd.loom", text.at);
  PL_CHECK(check_board(&built, false, "crowd") >= 5, "tiles for a hundred takeoffs");
  pl_arena_release(&built.arena);
  pl_arena_release(&arena);
}

CU_TestInfo draw_plan_tests[] = {{"demos", demo_pages},
                                 {"harnesses by lot", random_pages},
                                 {"deep", deep},
                                 {"by hand", by_hand},
                                 {"bundles", bundles},
                                 {"one wire more", one_wire_more},
                                 {"crowded place", crowded},
                                 CU_TEST_INFO_NULL};
