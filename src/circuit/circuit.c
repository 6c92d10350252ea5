/* Current-path pages of a circuit: as many A4 pages as it takes, filled from left to right in the
 * order of the paths.
 */
#include "circuit/circuit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buffer.h"
#include "circuit/page_inner.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "draw/frame.h"

#define NONE UINT32_MAX
#define ELSEWHERE (UINT32_MAX - 1)
#define FOOT 6.0 /* column numbers */

enum {
  MOST_NOTES = 5
}; /* lines at the foot: see write_notes */

/* Memory for a plan that is thrown away: given back at once, and when it cannot be had the failure
 * is the big arena's.
 */
struct scratch {
  struct pl_arena arena, *parent;
};

static void scratch_fails(void *context) {
  struct scratch *scratch = context;
  struct pl_arena *parent = scratch->parent;
  pl_arena_release(&scratch->arena);
  parent->on_oom(parent->oom_context);
}

static void start_scratch(struct scratch *scratch, struct pl_arena *parent) {
  scratch->parent = parent;
  pl_arena_init(&scratch->arena, scratch_fails, scratch);
  if (parent->fail_at > parent->calls)
    scratch->arena.fail_at = parent->fail_at - parent->calls;
}

static void end_scratch(struct scratch *scratch) {
  scratch->parent->calls += scratch->arena.calls;
  pl_arena_release(&scratch->arena);
}

/* What is put on a page as one: a symbol, or one port of a symbol that may be shared out. */
struct unit {
  uint32_t port, count, column, rank;
};

struct book {
  struct pl_paths paths;
  struct pl_arena *arena;
  uint32_t *page_of;
  struct unit *units;
  uint32_t unit_count;
  uint32_t pages;
  struct pl_page *plans;
};

static uint32_t notes_of(const struct book *book) {
  if (book->paths.solution == NULL)
    return MOST_NOTES - 1;
  return MOST_NOTES;
}

static int by_column(const void *left, const void *right) {
  const struct unit *a = left;
  const struct unit *b = right;
  if (a->column != b->column)
    return a->column < b->column ? -1 : 1;
  if (a->rank != b->rank)
    return a->rank < b->rank ? -1 : 1;
  if (a->port < b->port)
    return -1;
  return a->port > b->port;
}

/* An open end stands where its wire is: it goes with the port at the wire's other end.  NONE: it
 * has none. */
static uint32_t holder(const struct pl_paths *paths, const struct pl_piece *piece) {
  if (piece->symbol != PL_SYM_AIR)
    return NONE;
  const struct pl_port *port = &paths->ports.at[piece->first_port];
  uint32_t other = paths->wires.at[port->wire].end[!port->end].port;
  if (other == NONE)
    return NONE;
  /* a wire that hangs free at both ends hangs on its first */
  const struct pl_piece *far = &paths->pieces.at[paths->ports.at[other].piece];
  bool free_too = far->symbol == PL_SYM_AIR;
  if (free_too && other > piece->first_port)
    return NONE;
  return other;
}

static void list_units(struct book *book) {
  book->units = PL_NEW_ARRAY(book->arena, struct unit, (size_t)book->paths.ports.n + 1);
  for (uint32_t p = 0; p < book->paths.pieces.n; p++) {
    const struct pl_piece *piece = &book->paths.pieces.at[p];
    if (!piece->split) {
      if (piece->port_count > 0 && holder(&book->paths, piece) == NONE)
        book->units[book->unit_count++] =
            (struct unit){.port = piece->first_port, .count = piece->port_count};
      continue;
    }
    for (uint32_t i = 0, n; i < piece->port_count; i += n) {
      /* what says where a node goes on stands with its first wire */
      bool goes_on = book->paths.ports.at[piece->first_port].wire == NONE;
      bool first = piece->symbol == PL_SYM_BAR && i == 0 && piece->port_count > 1;
      n = first && goes_on ? 2 : 1;
      book->units[book->unit_count++] = (struct unit){.port = piece->first_port + i, .count = n};
    }
  }
}

/* Order of the units from a plan of all of them on one endless page. */
static void order_units(struct book *book) {
  struct pl_page page;
  struct scratch scratch;
  start_scratch(&scratch, book->arena);
  pl_page_plan(&page, &book->paths, book->page_of, 1, INFINITY, &scratch.arena);
  for (uint32_t u = 0; u < book->unit_count; u++) {
    const struct pl_spot *spot = &page.spots.at[page.spot_of_port[book->units[u].port]];
    book->units[u].column = page.cells.at[spot->cell].column;
    book->units[u].rank = page.parts.at[spot->part].rank;
  }
  end_scratch(&scratch);
  qsort(book->units, book->unit_count, sizeof *book->units, by_column);
}

static void mark(struct book *book, uint32_t from, uint32_t to, uint32_t page) {
  const struct pl_paths *paths = &book->paths;
  for (uint32_t u = from; u < to; u++)
    for (uint32_t i = 0; i < book->units[u].count; i++) {
      uint32_t port = book->units[u].port + i;
      uint32_t wire = paths->ports.at[port].wire;
      book->page_of[port] = page;
      if (wire == NONE)
        continue;
      uint32_t other = paths->wires.at[wire].end[!paths->ports.at[port].end].port;
      if (other != NONE && holder(paths, &paths->pieces.at[paths->ports.at[other].piece]) == port)
        book->page_of[other] = page;
    }
}

static bool plan_fits(const struct book *book, uint32_t number, struct pl_room room) {
  struct pl_page page;
  struct scratch scratch;
  start_scratch(&scratch, book->arena);
  pl_page_plan(&page, &book->paths, book->page_of, number, room.height - FOOT, &scratch.arena);
  end_scratch(&scratch);
  if (!(page.width <= room.width))
    return false;
  return page.height <= room.height - FOOT + 0.01;
}

static bool
fits(struct book *book, uint32_t from, uint32_t to, uint32_t number, struct pl_room room) {
  mark(book, from, to, number);
  bool good = plan_fits(book, number, room);
  mark(book, from, to, ELSEWHERE);
  return good;
}

/* How many units from `from` on fit one page; at least one.  Steps of eight until it is too much,
 * then halving: about log n plans. */
static uint32_t fill(struct book *book, uint32_t from, uint32_t number, struct pl_room room) {
  uint32_t left = book->unit_count - from;
  if (left <= 80 && fits(book, from, book->unit_count, number, room))
    return left;
  uint32_t good = 1;
  uint32_t bad = left <= 80 ? left : left + 1;
  for (uint32_t step = 8; good < bad - 1;) {
    uint32_t n;
    if (step > 0 && good + step < bad)
      n = good + step;
    else
      n = good + (bad - good) / 2;
    if (n <= good)
      break;
    if (fits(book, from, from + n, number, room)) {
      good = n;
    } else {
      bad = n;
      step = 0;
    }
  }
  return good;
}

static void share_out(struct book *book, struct pl_room room) {
  for (uint32_t i = 0; i < book->paths.ports.n; i++)
    book->page_of[i] = 1;
  book->pages = 1;
  if (book->unit_count <= 80 && plan_fits(book, 1, room))
    return;
  if (book->unit_count <= 300)
    order_units(book);
  for (uint32_t i = 0; i < book->paths.ports.n; i++)
    book->page_of[i] = ELSEWHERE;
  book->pages = 0;
  for (uint32_t from = 0; from < book->unit_count;) {
    uint32_t n = fill(book, from, book->pages + 1, room);
    mark(book, from, from + n, ++book->pages);
    from += n;
  }
}

/* ---- words ---- */

static const char *title_of(const struct pl_harness *harness, pl_id circuit) {
  const struct pl_circuit *one = &harness->circuits.at[circuit];
  if (one->title != NULL && one->title[0] != '\0')
    return one->title;
  return one->name;
}

static const char *describe(const struct pl_page *page) {
  struct pl_buffer text;
  const struct pl_harness *harness = page->paths->harness;
  pl_buffer_init(&text, page->arena);
  pl_buffer_puts(&text, "Current-path diagram, supply above, ground below, drawn at rest. Wires:");
  for (uint32_t e = 0; e < page->edges.n; e++) {
    if (page->edges.at[e].wire == NONE)
      continue;
    const struct pl_wire *wire =
        &harness->wires.at[page->paths->wires.at[page->edges.at[e].wire].wire];
    char colour[16];
    pl_buffer_printf(&text,
                     " %s from %s to %s, %s %s;",
                     wire->number,
                     wire->end[0] == PL_NONE ? "an open end" : harness->pins.at[wire->end[0]].full,
                     wire->end[1] == PL_NONE ? "an open end" : harness->pins.at[wire->end[1]].full,
                     wire->size,
                     pl_colour_text(&wire->colour, colour));
  }
  return text.at;
}

/* The foot of the page; the second note counts what crosses. */
static uint32_t write_notes(const struct pl_page *page, const char *lines[MOST_NOTES]) {
  const struct pl_solution *solution = page->paths->solution;
  uint32_t n = 0;
  uint32_t crossings = pl_page_crossings(page, true);
  if (solution != NULL) {
    const struct pl_harness *harness = page->paths->harness;
    const char *state = "at rest";
    if (solution->state < harness->states.n)
      state = harness->states.at[solution->state].name;
    lines[n++] = pl_arena_printf(
        page->arena,
        "Figures in state %s: volts against the battery's earthed post where the label is; amps.",
        state);
    lines[n++] = "Heavy wires carry current then; symbols are drawn at rest.";
  } else {
    lines[n++] = "Drawn at rest: key off, engine stopped, cold, no pressure.";
  }
  lines[n++] =
      crossings == 0
          ? "Dot: joined. No wires cross on this page."
          : pl_arena_printf(page->arena,
                            "Dot: joined. Crossing without dot: not joined (%u on this page).",
                            crossings);
  lines[n++] = "A box says where a conductor goes on.";
  lines[n++] = "Disconnect the battery before working on these wires.";
  return n;
}

/* Gives the page its millimetres; returns the paper it takes. */
static struct pl_mm place_page(const struct book *book, struct pl_page *page) {
  struct pl_mm paper = pl_frame_paper(book->paths.harness);
  struct pl_room room = pl_frame_room(paper.x, paper.y, notes_of(book));
  double width = fmax(paper.x, page->width + paper.x - room.width);
  double height = fmax(paper.y, page->height + FOOT + paper.y - room.height);
  room = pl_frame_room(width, height, notes_of(book));
  pl_page_place(page, room.x, room.y, room.width, room.height - FOOT);
  return (struct pl_mm){width, height};
}

static void draw_page(const struct book *book, struct pl_page *page, pl_scenes *pages) {
  const struct pl_harness *harness = book->paths.harness;
  pl_id circuit = book->paths.circuit;
  const char *title = title_of(harness, circuit);
  const char *lines[MOST_NOTES];
  struct pl_scene scene;
  const char *name;
  if (book->pages == 1)
    name = title;
  else
    name = pl_arena_printf(book->arena, "%s, page %u of %u", title, page->number, book->pages);
  struct pl_mm paper = place_page(book, page);
  pl_scene_init(&scene,
                book->arena,
                pl_circuit_file(book->arena, harness, circuit, page->number),
                name,
                paper.x,
                paper.y);
  scene.description = describe(page);
  uint32_t count = write_notes(page, lines);
  pl_frame_draw(&scene,
                harness,
                &(struct pl_frame){title, lines, count, page->number, book->pages});
  pl_page_draw(page, &scene);
  PL_PUSH(book->arena, pages, scene);
}

/* ---- all circuits: each is planned before any is drawn, since they refer to each other ---- */

static void note_places(struct book *book, const struct pl_page *page, struct pl_atlas *atlas) {
  for (uint32_t i = 0; i < book->paths.ports.n; i++) {
    if (page->spot_of_port[i] == NONE)
      continue;
    uint32_t column = page->cells.at[page->spots.at[page->spot_of_port[i]].cell].column + 1;
    book->paths.ports.at[i].where = (struct pl_where){page->number, column};
  }
  for (uint32_t e = 0; e < page->edges.n; e++) {
    const struct pl_edge *edge = &page->edges.at[e];
    if (edge->wire == NONE)
      continue;
    uint32_t column = page->cells.at[page->spots.at[edge->spot[edge->label_tie]].cell].column + 1;
    atlas->wires[book->paths.wires.at[edge->wire].wire] = (struct pl_where){page->number, column};
  }
}

static void plan_book(struct book *book,
                      const struct pl_flow *flow,
                      const struct pl_solution *solution,
                      pl_id circuit,
                      struct pl_atlas *atlas) {
  pl_paths_make(&book->paths, flow, solution, circuit, book->arena);
  book->page_of = PL_NEW_ARRAY(book->arena, uint32_t, (size_t)book->paths.ports.n + 1);
  struct pl_mm paper = pl_frame_paper(flow->harness);
  struct pl_room room = pl_frame_room(paper.x, paper.y, notes_of(book));
  list_units(book);
  share_out(book, room);
  book->plans = PL_NEW_ARRAY(book->arena, struct pl_page, (size_t)book->pages + 1);
  for (uint32_t p = 0; p < book->pages; p++) {
    pl_page_plan(&book->plans[p],
                 &book->paths,
                 book->page_of,
                 p + 1,
                 room.height - FOOT,
                 book->arena);
    note_places(book, &book->plans[p], atlas);
  }
  atlas->pages[circuit] = book->pages;
}

/* The books of all circuits, planned. */
static struct book *plan_books(const struct pl_harness *harness,
                               const struct pl_solution *solution,
                               struct pl_arena *arena,
                               struct pl_atlas *atlas) {
  const struct pl_flow *flow = pl_flow_make(harness, arena);
  uint32_t n = harness->circuits.n;
  if (solution != NULL && solution->status != PL_SOLVED)
    solution = NULL;
  struct book *books = PL_NEW_ARRAY(arena, struct book, (size_t)n + 1);
  *atlas =
      (struct pl_atlas){.wires = PL_NEW_ARRAY(arena, struct pl_where, (size_t)harness->wires.n + 1),
                        .pages = PL_NEW_ARRAY(arena, uint32_t, (size_t)n + 1)};
  for (pl_id c = 0; c < n; c++) {
    books[c].arena = arena;
    plan_book(&books[c], flow, solution, c, atlas);
  }
  return books;
}

/* Draws one circuit, or all of them (PL_NONE). */
static void draw_circuits(const struct pl_harness *harness,
                          const struct pl_solution *solution,
                          pl_id one,
                          struct pl_arena *arena,
                          pl_scenes *pages) {
  struct pl_atlas atlas;
  struct book *books = plan_books(harness, solution, arena, &atlas);
  for (pl_id c = 0; c < harness->circuits.n; c++) {
    if (one != PL_NONE && c != one)
      continue;
    books[c].paths.atlas = &atlas;
    for (uint32_t p = 0; p < books[c].pages; p++)
      draw_page(&books[c], &books[c].plans[p], pages);
  }
}

void pl_circuits_look(const struct pl_harness *harness,
                      struct pl_arena *arena,
                      void (*look)(void *context, const struct pl_page *page, const char *title),
                      void *context) {
  struct pl_atlas atlas;
  struct book *books = plan_books(harness, NULL, arena, &atlas);
  for (pl_id c = 0; c < harness->circuits.n; c++)
    for (uint32_t p = 0; p < books[c].pages; p++) {
      place_page(&books[c], &books[c].plans[p]);
      look(context, &books[c].plans[p], title_of(harness, c));
    }
}

void pl_draw_circuit(const struct pl_harness *harness,
                     pl_id circuit,
                     struct pl_arena *arena,
                     pl_scenes *pages) {
  draw_circuits(harness, NULL, circuit, arena, pages);
}

void pl_draw_all_in(const struct pl_harness *harness,
                    const struct pl_solution *solution,
                    struct pl_arena *arena,
                    pl_scenes *pages) {
  draw_circuits(harness, solution, PL_NONE, arena, pages);
  for (pl_id i = 0; i < harness->connectors.n; i++)
    pl_draw_connector(harness, i, arena, pages);
  pl_draw_legend(harness, arena, pages);
}
