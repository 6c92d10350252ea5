/* Every drawing of both demos, of all harnesses of mistakes and of random harnesses is written,
 * read back from its SVG text, and held against the rules of drawing and against the model: the
 * netlist read from the pages is the model's. */
#include "test_readback.h"

#include <dirent.h>

#include "circuit/circuit.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "draw/metrics.h"
#include "model/build.h"
#include "network/network.h"

enum {
  RANDOM = 200
};

struct tally {
  uint32_t pages, wires, crossings;
};

static void read_scenes(const pl_scenes *scenes, struct pl_arena *arena, rb_pages *pages) {
  for (uint32_t i = 0; i < scenes->n; i++) {
    struct pl_buffer out;
    struct rb_page page;
    pl_buffer_init(&out, arena);
    pl_svg_write(&out, &scenes->at[i]);
    rb_read(&page, scenes->at[i].file, out.at, out.n, arena);
    PL_PUSH(arena, pages, page);
  }
}

/* Where the pages of a circuit begin, and how many there are. */
static uint32_t pages_of(const struct pl_harness *harness,
                         pl_id circuit,
                         const rb_pages *pages,
                         struct pl_arena *arena,
                         uint32_t *first) {
  uint32_t n = 0;
  for (*first = 0; *first < pages->n; ++*first)
    if (strcmp(pages->at[*first].file, pl_circuit_file(arena, harness, circuit, 1)) == 0)
      break;
  while (*first + n < pages->n &&
         strcmp(pages->at[*first + n].file, pl_circuit_file(arena, harness, circuit, n + 1)) == 0)
    n++;
  return n;
}

/* The page says itself how many wires cross on it. */
static void
check_crossings(const struct rb_page *page, struct rb_faults *faults, struct tally *tally) {
  uint32_t told = UINT32_MAX;
  uint32_t crossings = rb_crossings(page);
  for (uint32_t i = 0; i < page->texts.n; i++) {
    const char *text = page->texts.at[i].text;
    if (strcmp(text, "Dot: joined. No wires cross on this page.") == 0)
      told = 0;
    sscanf(text, "Dot: joined. Crossing without dot: not joined (%u on this page).", &told);
  }
  tally->crossings += crossings;
  if (told != crossings)
    rb_fault(faults, page, "%u crossings are told, %u are there", told, crossings);
}

static void check_pages(const struct pl_harness *harness,
                        const rb_pages *pages,
                        struct rb_faults *faults,
                        struct tally *tally) {
  for (uint32_t p = 0; p < pages->n; p++) {
    rb_check_texts(&pages->at[p], faults);
    tally->pages++;
  }
  for (pl_id c = 0; c < harness->circuits.n; c++) {
    uint32_t first;
    uint32_t n = pages_of(harness, c, pages, faults->arena, &first);
    for (uint32_t p = first; p < first + n; p++) {
      rb_check_wires(&pages->at[p], faults);
      check_crossings(&pages->at[p], faults, tally);
      tally->wires += pages->at[p].wires.n;
    }
    rb_check_net(harness, c, pages->at + first, n, faults);
  }
  rb_check_references(harness, pages, faults);
}

static void tell(const struct rb_faults *faults) {
  for (uint32_t i = 0; i < faults->lines.n && i < 400; i++)
    printf("\n    %s", faults->lines.at[i]);
  if (faults->lines.n > 400)
    printf("\n    and %u more", faults->lines.n - 400);
  PL_CHECK_INT(faults->lines.n, 0, faults->row);
}

static void draw_everything(const struct pl_harness *harness,
                            const struct pl_network *network,
                            const struct pl_solution *solutions,
                            struct pl_arena *arena,
                            pl_scenes *scenes) {
  pl_draw_power(harness, network, solutions, arena, scenes);
  pl_draw_all_in(harness, NULL, arena, scenes);
}

/* ---- texts of the tree ---- */

static void check_file(const char *path, struct tally *tally) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  if (pl_build(pl_test_path(path), &pl_reader_disk, &sources, &findings, &harness)) {
    struct pl_network *network = pl_network_new(&harness, &arena);
    struct pl_solution *solutions = PL_NEW_ARRAY(&arena, struct pl_solution, harness.states.n);
    for (pl_id s = 0; s < harness.states.n; s++)
      pl_network_solve(network, s, &solutions[s], NULL);
    pl_scenes scenes = {0};
    rb_pages pages = {0};
    struct rb_faults faults = {.arena = &arena, .row = path};
    draw_everything(&harness, network, solutions, &arena, &scenes);
    read_scenes(&scenes, &arena, &pages);
    check_pages(&harness, &pages, &faults, tally);
    tell(&faults);
    pl_network_release(network);
  }
  pl_arena_release(&arena);
}

static void demos(void) {
  struct tally tally = {0};
  check_file("harnesses/pump-skid/pump-skid.loom", &tally);
  check_file("harnesses/snowplow/snowplow.loom", &tally);
  check_file("harnesses/starter/starter.loom", &tally);
  PL_CHECK(tally.wires > 400, "as many wires as the demos have");
  printf("\n  demos: %u pages, %u wires, %u crossings", tally.pages, tally.wires, tally.crossings);
}

static void mistakes(void) {
  struct tally tally = {0};
  DIR *folder = opendir(pl_test_path("harnesses/mistakes"));
  CU_ASSERT_FATAL(folder != NULL);
  uint32_t files = 0;
  for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
    size_t n = strlen(entry->d_name);
    if (n < 6)
      continue;
    if (strcmp(entry->d_name + n - 5, ".loom") != 0)
      continue;
    char path[600];
    snprintf(path, sizeof path, "harnesses/mistakes/%s", entry->d_name);
    check_file(path, &tally);
    files++;
  }
  closedir(folder);
  PL_CHECK(files > 100 && tally.wires > 500, "all of them");
  printf("\n  mistakes: %u files, %u pages, %u wires, %u crossings",
         files,
         tally.pages,
         tally.wires,
         tally.crossings);
}

static void random_harnesses(void) {
  struct tally tally = {0};
  const char *other =
      getenv("PL_MACHINES"); /* fewer in the slow build with sanitizers, more by hand */
  uint32_t machines = RANDOM;
  if (other != NULL)
    machines = (uint32_t)strtoul(other, NULL, 10);
  for (uint32_t seed = 1; seed <= machines; seed++) {
    struct draw_kit kit;
    char row[40];
    draw_kit_start(&kit);
    draw_random_machine(&kit, seed * 104729u);
    snprintf(row, sizeof row, "random harness %u", seed);
    pl_scenes scenes = {0};
    rb_pages pages = {0};
    struct rb_faults faults = {.arena = &kit.arena, .row = row};
    draw_everything(&kit.harness, NULL, NULL, &kit.arena, &scenes);
    read_scenes(&scenes, &kit.arena, &pages);
    check_pages(&kit.harness, &pages, &faults, &tally);
    tell(&faults);
    draw_kit_end(&kit);
  }
  printf("\n  random: %u pages, %u wires, %u crossings", tally.pages, tally.wires, tally.crossings);
}

/* ---- solved figures ---- */

/* What a label says of a wire is what the solution has: volts at one of its ends, amps, and the
 * weight of the line. */
static void check_figures(const struct pl_harness *harness,
                          const struct pl_solution *solution,
                          const rb_pages *pages,
                          struct rb_faults *faults,
                          uint32_t *seen) {
  for (uint32_t p = 0; p < pages->n; p++)
    for (uint32_t i = 0; i < pages->at[p].wires.n; i++) {
      const struct rb_page *page = &pages->at[p];
      const struct rb_wire *line = &page->wires.at[i];
      uint32_t id;
      if (line->group == UINT32_MAX)
        continue;
      if (strcmp(page->groups.at[line->group].what, "wire") != 0)
        continue;
      if (!pl_table_find(&harness->wire_numbers, page->groups.at[line->group].name, &id))
        continue;
      double volts = NAN;
      double amps = NAN;
      double is = fabs(solution->wire_amps[id]);
      for (uint32_t t = 0; t < page->texts.n; t++) {
        double v, a;
        const char *text = page->texts.at[t].text;
        if (page->texts.at[t].group != line->group)
          continue;
        if (sscanf(text, "floats %lf A", &a) == 1)
          amps = a;
        if (sscanf(text, "%lf V %lf A", &v, &a) != 2)
          continue;
        volts = v;
        amps = a;
      }
      bool good = false;
      for (int e = 0; e < 2; e++) {
        pl_id pin = harness->wires.at[id].end[e];
        double at = pin == PL_NONE ? NAN : solution->pin_volts[pin];
        good = good || (isnan(at) ? isnan(volts) : fabs(at - volts) <= 0.0501);
      }
      if (!good)
        rb_fault(faults, page, "wire %s: %g V is said of it", harness->wires.at[id].number, volts);
      if (!(is < 1e-3 ? fabs(amps) <= 0 : fabs(amps - is) <= 0.051 * is)) /* two digits */
        rb_fault(faults,
                 page,
                 "wire %s: %g A is said of it, it carries %g A",
                 harness->wires.at[id].number,
                 amps,
                 is);
      if ((line->half > 0.9) != (is >= 1e-3))
        rb_fault(faults, page, "wire %s has the wrong weight", harness->wires.at[id].number);
      ++*seen;
    }
}

static void figures(void) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct tally tally = {0};
  uint32_t seen = 0;
  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  CU_ASSERT_FATAL(pl_build(pl_test_path("harnesses/snowplow/snowplow.loom"),
                           &pl_reader_disk,
                           &sources,
                           &findings,
                           &harness));
  struct pl_network *network = pl_network_new(&harness, &arena);
  for (pl_id s = 0; s < harness.states.n; s++) {
    struct pl_solution solution;
    struct rb_faults faults = {.arena = &arena, .row = harness.states.at[s].name};
    pl_scenes scenes = {0};
    rb_pages pages = {0};
    pl_network_solve(network, s, &solution, NULL);
    pl_draw_all_in(&harness, &solution, &arena, &scenes);
    read_scenes(&scenes, &arena, &pages);
    check_pages(&harness, &pages, &faults, &tally);
    check_figures(&harness, &solution, &pages, &faults, &seen);
    tell(&faults);
  }
  PL_CHECK(seen > 2000, "every wire in every state");
  printf("\n  figures on %u labels", seen);
  pl_network_release(network);
  pl_arena_release(&arena);
}

/* ---- the real font ---- */

/* The widths that layout uses are the font's: every letter of the table, regular and bold. */
static void widths_of_the_font(void) {
  for (uint32_t code = 0x20; code <= 0xFF; code++) {
    if (code >= 0x7F && code < 0xA0)
      continue;
    char text[3] = {(char)code, '\0', '\0'};
    if (code >= 0x80) {
      text[0] = (char)(0xC0 | code >> 6);
      text[1] = (char)(0x80 | (code & 0x3F));
    }
    for (int bold = 0; bold < 2; bold++) {
      double advance;
      double ours = pl_text_width(text, 1, bold == 1);
      rb_font_area(text, bold == 1, &advance);
      PL_CHECK(fabs(advance - ours) <= 0.0011,
               text); /* the table is in thousandths, the font in 2048ths */
    }
  }
}

CU_TestInfo readback_tests[] = {{"widths of the font", widths_of_the_font},
                                {"demos", demos},
                                {"mistakes", mistakes},
                                {"random harnesses", random_harnesses},
                                {"figures", figures},
                                CU_TEST_INFO_NULL};

int main(void) {
  if (!rb_font_open()) {
    fprintf(stderr, "the font Liberation Sans is missing: install fonts-liberation\n");
    return 1;
  }
  CU_SuiteInfo suites[] = {PL_SUITE("read back", readback_tests),
                           PL_SUITE("spoilt drawings", readback_mutation_tests),
                           CU_SUITE_INFO_NULL};
  int status = pl_test_main(suites);
  rb_font_close();
  return status;
}
