/* The routing plan: places and runs as a tree, one row for each place in the order in which they
 * are come to from the root.  Runs lie from left to right to a stated scale; uprights have no
 * length. */
#include <math.h>
#include <string.h>

#include "base/buffer.h"
#include "base/number.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"
#include "draw/place_tree_inner.h"

#define NONE UINT32_MAX
#define RING 2.6  /* radius of the ring that stands for a place */
#define FIRST 3.3 /* from the top of a row to its ring */
#define ROW_GAP 3.4
#define RULER 9.0       /* height of the scale's ruler, above the rows */
#define REACH_MOST 0.45 /* share of the width that the runs may take; the rest is for words */
#define STEP_LEAST \
  4.5 /* shorter runs are drawn longer, so that rings stand clear; their words say so */
#define RUN_MOST 0.25  /* longer runs are drawn broken */
#define THICKNESS 10.0 /* bundles are drawn at 1:10 */
enum {
  NOTES = 4,
  HAVE_LINES = 8,
  SCALES = 13
};

/* ISO 5455:1979, reduction scales, and their tens. */
static const double scales[SCALES] = {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000};

struct row {
  uint32_t twig;
  bool ghost; /* stands on another page; here only so that what hangs on it has a beginning */
  const char *lines[HAVE_LINES + 2];
  uint32_t line_count;
  double height, y;
};

struct plan {
  struct pl_tree tree;
  double scale, most; /* 1:scale; metres from which a run is drawn broken */
  double *x;          /* by twig, mm from the left of the rows */
  bool *cut;          /* by twig: begins at the left again, apart from its parent */
  uint32_t *page_of;  /* by twig */
  PL_VEC(struct row) rows;
  PL_VEC(uint32_t) starts; /* first row of each page */
  struct pl_room room;
};

/* ---- scale ---- */

static double run_length(const struct plan *plan, const struct pl_twig *twig) {
  if (twig->parent == NONE)
    return 0;
  return plan->tree.harness->runs.at[twig->run].length;
}

static bool is_broken(const struct plan *plan, const struct pl_twig *twig) {
  return run_length(plan, twig) > plan->most;
}

static bool is_stretched(const struct plan *plan, const struct pl_twig *twig) {
  if (!(plan->scale > 0))
    return false;
  if (twig->parent == NONE)
    return false;
  return run_length(plan, twig) * 1000 / plan->scale < STEP_LEAST;
}

/* Places at this scale; how many runs are not drawn to it.  False: too wide. */
static bool scale_fits(struct plan *plan, double scale, uint32_t *odd) {
  double widest = 0;
  plan->scale = scale;
  plan->most = plan->room.width * RUN_MOST * scale / 1000;
  *odd = 0;
  for (uint32_t t = 0; t < plan->tree.twigs.n; t++) {
    const struct pl_twig *twig = &plan->tree.twigs.at[t];
    *odd += is_broken(plan, twig) || is_stretched(plan, twig);
    double drawn = fmin(run_length(plan, twig), plan->most) * 1000 / scale;
    if (twig->parent == NONE)
      plan->x[t] = 0;
    else
      plan->x[t] = plan->x[twig->parent] + fmax(drawn, STEP_LEAST);
    widest = fmax(widest, plan->x[t]);
  }
  return widest <= plan->room.width * REACH_MOST;
}

/* A tree too deep for every scale: steps of one width, in stretches that begin at the left again;
 * no scale is claimed.
 */
static void give_up_scale(struct plan *plan) {
  uint32_t most = (uint32_t)(plan->room.width * REACH_MOST / (STEP_LEAST + 1));
  uint32_t n = plan->tree.twigs.n;
  plan->scale = 0;
  plan->most = INFINITY;
  for (uint32_t t = 0; t < n; t++) {
    uint32_t depth = plan->tree.twigs.at[t].depth;
    if (depth == 0)
      plan->x[t] = 0;
    else
      plan->x[t] = ((depth - 1) % most + 1) * (STEP_LEAST + 1);
    plan->cut[t] = depth > 1 && (depth - 1) % most == 0;
  }
}

/* The one at which the fewest runs are drawn otherwise; of several the largest drawing. */
static void choose_scale(struct plan *plan) {
  uint32_t least = UINT32_MAX;
  uint32_t odd;
  int best = -1;
  for (int i = 0; i < SCALES; i++) {
    if (!scale_fits(plan, scales[i], &odd))
      continue;
    if (odd >= least)
      continue;
    least = odd;
    best = i;
  }
  if (best < 0)
    give_up_scale(plan);
  else
    scale_fits(plan, scales[best], &odd);
}

/* ---- rows ---- */

static const char *place_name(const struct plan *plan, pl_id place) {
  return plan->tree.harness->places.at[place].name;
}

/* What stands at a place, and how many wires go to each: "KEY 4, F1 2, ECM.A 31". */
static uint32_t have_lines(const struct plan *plan, pl_id place, double width, const char **lines) {
  struct pl_buffer text;
  const pl_takeoffs *takeoffs = &plan->tree.takeoffs[place];
  if (takeoffs->n == 0)
    return 0;
  pl_buffer_init(&text, plan->tree.arena);
  for (uint32_t i = 0; i < takeoffs->n;
       i++) /* a blank that does not break between a name and its figure */
    pl_buffer_printf(&text,
                     "%s%s\302\240%u",
                     i == 0 ? "" : ", ",
                     takeoffs->at[i].name,
                     takeoffs->at[i].wires);
  return pl_text_wrap(plan->tree.arena, text.at, PL_TEXT_SIZE, false, width, lines, HAVE_LINES);
}

static const char *run_line(const struct plan *plan, const struct pl_twig *twig) {
  const struct pl_tree *tree = &plan->tree;
  uint32_t root = twig->parent;
  if (root == NONE)
    return twig->kids.n > 0 ? "begins here" : "no run leads here";
  while (tree->twigs.at[root].parent != NONE)
    root = tree->twigs.at[root].parent;
  const char *length = pl_tree_length(tree, run_length(plan, twig));
  const char *words = pl_tree_run_words(tree, twig);
  if (plan->cut[twig - tree->twigs.at])
    length = pl_arena_printf(tree->arena,
                             "%s from %s",
                             length,
                             place_name(plan, tree->twigs.at[twig->parent].place));
  const char *more = "";
  if (is_stretched(plan, twig))
    more = " (drawn longer)";
  else if (is_broken(plan, twig))
    more = " (drawn broken)";
  const char *text = pl_arena_printf(tree->arena, "%s%s: %s", length, more, words);
  if (twig->depth < 2 || twig->again)
    return text;
  return pl_arena_printf(tree->arena,
                         "%s; %s from %s",
                         text,
                         pl_tree_length(tree, twig->far),
                         place_name(plan, tree->twigs.at[root].place));
}

static void add_row(struct plan *plan, uint32_t t, bool ghost) {
  const struct pl_twig *twig = &plan->tree.twigs.at[t];
  struct row row = {.twig = t, .ghost = ghost};
  double width = plan->room.width - plan->x[t] - RING - 3;
  const struct pl_place *place = &plan->tree.harness->places.at[twig->place];
  const char *name = place->name;
  if (twig->again)
    name = pl_arena_printf(plan->tree.arena, "on to %s: a loop closes there", name);
  if (ghost)
    name = pl_arena_printf(plan->tree.arena, "%s, from page %u", name, plan->page_of[t]);
  row.lines[row.line_count++] = pl_text_fit(plan->tree.arena, name, PL_NAME_SIZE, true, width);
  if (!ghost) {
    row.lines[row.line_count++] =
        pl_text_fit(plan->tree.arena, run_line(plan, twig), PL_TEXT_SIZE, false, width);
    if (!twig->again)
      row.line_count += have_lines(plan, twig->place, width, row.lines + row.line_count);
  }
  double thick = fmin(twig->bundle.mm / THICKNESS, 12);
  row.height =
      fmax(FIRST + 1.6 + (row.line_count - 1) * PL_LEADING, FIRST + fmax(RING, thick / 2)) +
      ROW_GAP;
  PL_PUSH(plan->tree.arena, &plan->rows, row);
}

static void start_page(struct plan *plan) {
  PL_PUSH(plan->tree.arena, &plan->starts, plan->rows.n);
}

/* Rows onto pages.  A row whose run comes from another page gets that place again above it, once a
 * page. */
static void share_rows(struct plan *plan) {
  double used = RULER;
  double room = plan->room.height;
  uint32_t n = plan->tree.twigs.n;
  uint32_t *shown_on = PL_NEW_ARRAY(plan->tree.arena, uint32_t, (size_t)n + 1);
  start_page(plan);
  for (uint32_t t = 0; t < n; t++) {
    uint32_t parent = plan->tree.twigs.at[t].parent;
    uint32_t before = plan->rows.n;
    for (int attempt = 0; attempt < 2; attempt++) {
      if (parent != NONE && !plan->cut[t] && shown_on[parent] != plan->starts.n)
        add_row(plan, parent, true);
      add_row(plan, t, false);
      double high = 0;
      for (uint32_t r = before; r < plan->rows.n; r++)
        high += plan->rows.at[r].height;
      if (used + high <= room || before == plan->starts.at[plan->starts.n - 1]) {
        used += high;
        break;
      }
      plan->rows.n = before; /* it begins the next page */
      start_page(plan);
      used = RULER;
    }
    if (parent != NONE)
      shown_on[parent] = plan->starts.n;
    shown_on[t] = plan->page_of[t] = plan->starts.n;
  }
}

static void place_rows(struct plan *plan) {
  for (uint32_t p = 0; p < plan->starts.n; p++) {
    uint32_t to;
    if (p + 1 < plan->starts.n)
      to = plan->starts.at[p + 1];
    else
      to = plan->rows.n;
    double y = plan->room.y + RULER;
    double used = RULER;
    for (uint32_t r = plan->starts.at[p]; r < to; r++)
      used += plan->rows.at[r].height;
    double spread = fmin(4, fmax(0, plan->room.height - used) / fmax(1, to - plan->starts.at[p]));
    for (uint32_t r = plan->starts.at[p]; r < to; r++) {
      plan->rows.at[r].y = y + FIRST;
      y += plan->rows.at[r].height + spread;
    }
  }
}

/* ---- drawing ---- */

/* Metres (feet) along the top. */
static void draw_ruler(const struct plan *plan, struct pl_scene *scene) {
  static const double steps[] = {0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000};
  bool us = plan->tree.harness->machine.units == PL_UNITS_US;
  double unit = us ? 0.3048 : 1;
  double x = plan->room.x + RING + 0.5;
  double y = plan->room.y + 6;
  double step = 0;
  if (plan->scale <= 0)
    return;
  double mm = unit * 1000 / plan->scale;
  double most = plan->room.width * REACH_MOST;
  for (size_t i = 0; i < sizeof steps / sizeof steps[0] && step <= 0; i++)
    if (steps[i] * mm >= 12)
      step = steps[i];
  if (step <= 0)
    return;
  uint32_t ticks = (uint32_t)(most / (step * mm));
  for (uint32_t i = 0; i <= ticks; i++) {
    char text[PL_NUMBER_SIZE];
    double at = x + i * step * mm;
    pl_scene_line(scene, PL_STROKE_THIN, at, y, at, y + 1.6);
    pl_scene_text(scene,
                  at,
                  y - 0.8,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_MIDDLE,
                  pl_arena_strdup(plan->tree.arena, pl_number_print(text, i * step, 6)));
  }
  pl_scene_line(scene, PL_STROKE_THIN, x, y + 1.6, x + ticks * step * mm, y + 1.6);
  char scale[PL_NUMBER_SIZE];
  pl_scene_text(scene,
                x + ticks * step * mm + 5,
                y + 1,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_arena_printf(plan->tree.arena,
                                "%s, scale 1:%s",
                                us ? "feet" : "metres",
                                pl_number_print(scale, plan->scale, 6)));
}

/* Two strokes on a slant and paper between them. */
static void draw_break(struct pl_scene *scene, double x, double y, double half) {
  pl_scene_box(scene, PL_STROKE_NONE, PL_FILL_PAPER, x - 0.7, y - half - 0.3, 1.4, 2 * half + 0.6);
  for (int i = -1; i <= 1; i += 2)
    pl_scene_line(scene,
                  PL_STROKE_NORMAL,
                  x + i * 0.7 - 0.6,
                  y + half + 0.8,
                  x + i * 0.7 + 0.6,
                  y - half - 0.8);
}

/* `x2`: at the ring, whose middle is the end of the run. */
static void draw_run(const struct plan *plan,
                     const struct pl_twig *twig,
                     double x,
                     double x2,
                     double y,
                     struct pl_scene *scene) {
  const struct pl_run *run = &plan->tree.harness->runs.at[twig->run];
  const char *a = place_name(plan, run->a);
  const char *b = place_name(plan, run->b);
  const char *name = pl_arena_printf(plan->tree.arena, "%s to %s", a, b);
  double thick = fmin(twig->bundle.mm / THICKNESS, 12);
  pl_scene_open_of(scene,
                   pl_arena_printf(plan->tree.arena, "r-%u", twig->run),
                   name,
                   "",
                   "run",
                   name);
  if (thick > 0.2 && x2 - x > 0.2)
    pl_scene_box(scene,
                 PL_STROKE_THIN,
                 run->covering[0] != '\0' ? PL_FILL_GREY : PL_FILL_PAPER,
                 x,
                 y - thick / 2,
                 x2 - x,
                 thick);
  else if (x2 - x > 0.2)
    pl_scene_line(scene, PL_STROKE_DASHED, x, y, x2, y); /* no wire in it */
  if (is_broken(plan, twig))
    draw_break(scene, (x + x2 + RING) / 2, y, thick / 2);
  pl_scene_close(scene);
}

static void draw_row(const struct plan *plan, const struct row *row, struct pl_scene *scene) {
  const struct pl_twig *twig = &plan->tree.twigs.at[row->twig];
  double left = plan->room.x + RING + 0.5;
  double x = left + plan->x[row->twig];
  struct pl_arena *arena = plan->tree.arena;
  const struct pl_place *place = &plan->tree.harness->places.at[twig->place];
  if (twig->parent != NONE && !row->ghost)
    draw_run(plan, twig, left + plan->x[twig->parent], x - RING, row->y, scene);
  const char *title;
  if (place->text[0] == '\0')
    title = place->name;
  else
    title = pl_arena_printf(arena, "%s: %s", place->name, place->text);
  bool repeated = row->ghost || twig->again;
  const char *id;
  if (repeated)
    id = "";
  else
    id = pl_arena_printf(arena, "l-%s", pl_safe_name(arena, place->name));
  pl_scene_open_of(scene, id, title, "", repeated ? "reference" : "place", place->name);
  pl_scene_circle(scene,
                  repeated ? PL_STROKE_DASHED : PL_STROKE_NORMAL,
                  PL_FILL_PAPER,
                  x,
                  row->y,
                  RING);
  uint32_t peg = plan->tree.peg_of[twig->place];
  pl_scene_bold(scene,
                x,
                row->y + 0.9,
                PL_TEXT_SIZE,
                PL_ANCHOR_MIDDLE,
                pl_arena_printf(arena, "%u", peg));
  double text = x + RING + 1.5;
  double width = plan->room.x + plan->room.width - text;
  pl_scene_bold(scene, text, row->y + 0.4, PL_NAME_SIZE, PL_ANCHOR_START, row->lines[0]);
  double after = pl_text_width(row->lines[0], PL_NAME_SIZE, true) + 2;
  if (!repeated && after + 8 < width && strcmp(place->text, place->name) != 0)
    pl_scene_text(scene,
                  text + after,
                  row->y + 0.4,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  pl_text_fit(arena, place->text, PL_TEXT_SIZE, false, width - after));
  for (uint32_t i = 1; i < row->line_count; i++)
    pl_scene_text(scene,
                  text,
                  row->y + 0.4 + i * PL_LEADING,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  row->lines[i]);
  pl_scene_close(scene);
}

/* From a place down to the last run on this page that leaves it. */
static void
draw_uprights(const struct plan *plan, uint32_t from, uint32_t to, struct pl_scene *scene) {
  for (uint32_t r = from; r < to; r++) {
    double y = 0;
    double x = plan->room.x + RING + 0.5 + plan->x[plan->rows.at[r].twig];
    if (plan->tree.twigs.at[plan->rows.at[r].twig].again)
      continue;
    for (uint32_t k = r + 1; k < to; k++) {
      if (plan->rows.at[k].ghost)
        continue;
      if (plan->cut[plan->rows.at[k].twig])
        continue;
      if (plan->tree.twigs.at[plan->rows.at[k].twig].parent != plan->rows.at[r].twig)
        continue;
      y = plan->rows.at[k].y;
    }
    if (y > 0)
      pl_scene_line(scene, PL_STROKE_NORMAL, x, plan->rows.at[r].y + RING, x, y);
  }
}

static const char *scale_note(const struct plan *plan) {
  char scale[PL_NUMBER_SIZE];
  bool odd = false;
  for (uint32_t t = 0; t < plan->tree.twigs.n; t++)
    odd = odd || is_broken(plan, &plan->tree.twigs.at[t]) ||
          is_stretched(plan, &plan->tree.twigs.at[t]);
  if (plan->scale <= 0)
    return "Not to scale: the lengths are written. Grey: covered; dashed: no wire.";
  return pl_arena_printf(
      plan->tree.arena,
      "Runs, left to right, at 1:%s%s; thickness at 1:10. Grey: covered. Uprights have no length.",
      pl_number_print(scale, plan->scale, 6),
      odd ? " unless said" : "");
}

static const char *stray_note(const struct plan *plan) {
  const char *strays = pl_tree_strays(&plan->tree, 12);
  if (strays[0] == '\0')
    return "Every wire between two places is in these runs.";
  return pl_arena_printf(plan->tree.arena,
                         "In no run (no place, or no run leads there): wires %s.",
                         strays);
}

static const char *length_note(const struct plan *plan) {
  char slack[PL_NUMBER_SIZE];
  const struct pl_machine *machine = &plan->tree.harness->machine;
  return pl_arena_printf(plan->tree.arena,
                         "Wires are cut longer: a tail of %s at both ends and %s %% slack.",
                         pl_tree_length(&plan->tree, machine->tail),
                         pl_number_print(slack, 100 * machine->slack, 3));
}

/* In words, for those who do not see the page. */
static const char *describe(const struct plan *plan, uint32_t from, uint32_t to) {
  struct pl_buffer text;
  pl_buffer_init(&text, plan->tree.arena);
  pl_buffer_puts(&text, "Places in the order in which the harness comes to them.");
  for (uint32_t r = from; r < to; r++) {
    const struct pl_twig *twig = &plan->tree.twigs.at[plan->rows.at[r].twig];
    if (plan->rows.at[r].ghost)
      continue;
    pl_buffer_printf(&text, " %s", place_name(plan, twig->place));
    if (twig->parent != NONE)
      pl_buffer_printf(&text,
                       ", %s from %s",
                       pl_tree_length(&plan->tree, run_length(plan, twig)),
                       place_name(plan, plan->tree.twigs.at[twig->parent].place));
    pl_buffer_puts(&text, ";");
  }
  return text.at;
}

static void
draw_page(const struct plan *plan, uint32_t page, struct pl_mm paper, pl_scenes *pages) {
  struct pl_scene scene;
  struct pl_arena *arena = plan->tree.arena;
  uint32_t from = plan->starts.at[page - 1];
  uint32_t to;
  if (page < plan->starts.n)
    to = plan->starts.at[page];
  else
    to = plan->rows.n;
  const char *notes[NOTES] = {
      scale_note(plan),
      "In a ring: its number on the assembly board. Behind a name: how many wires.",
      length_note(plan),
      stray_note(plan)};
  const char *title;
  if (plan->starts.n == 1)
    title = "Routing plan";
  else
    title = pl_arena_printf(arena, "Routing plan, page %u of %u", page, plan->starts.n);
  pl_scene_init(&scene, arena, pl_plan_file(arena, page), title, paper.x, paper.y);
  scene.description = describe(plan, from, to);
  pl_frame_draw(&scene,
                plan->tree.harness,
                &(struct pl_frame){"Routing plan", notes, NOTES, page, plan->starts.n});
  draw_ruler(plan, &scene);
  draw_uprights(plan, from, to, &scene);
  for (uint32_t r = from; r < to; r++)
    draw_row(plan, &plan->rows.at[r], &scene);
  PL_PUSH(arena, pages, scene);
}

void pl_draw_plan(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages) {
  struct plan plan = {.scale = 0};
  struct pl_mm paper = pl_frame_paper(harness);
  if (harness->runs.n == 0)
    return;
  pl_tree_make(&plan.tree, harness, arena);
  plan.room = pl_frame_room(paper.x, paper.y, NOTES);
  plan.x = PL_NEW_ARRAY(arena, double, (size_t)plan.tree.twigs.n + 1);
  plan.page_of = PL_NEW_ARRAY(arena, uint32_t, (size_t)plan.tree.twigs.n + 1);
  plan.cut = PL_NEW_ARRAY(arena, bool, (size_t)plan.tree.twigs.n + 1);
  choose_scale(&plan);
  share_rows(&plan);
  place_rows(&plan);
  for (uint32_t page = 1; page <= plan.starts.n; page++)
    draw_page(&plan, page, paper, pages);
}
