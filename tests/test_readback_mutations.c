/* The reader can fail: drawings that are right are spoilt in one thing each, in their written text,
 * and every such fault must be found. */
#include "test_readback.h"

#include "circuit/circuit.h"

enum {
  MOST_PAGES = 8
};

struct drawing { /* the pages of one circuit, as written */
  struct pl_arena arena;
  struct draw_kit kit;
  const struct pl_harness *harness;
  pl_id circuit;
  const char *files[MOST_PAGES], *texts[MOST_PAGES];
  uint32_t count, tried, missed;
};

static void write_pages(struct drawing *drawing) {
  pl_scenes scenes = {0};
  pl_draw_circuit(drawing->harness, drawing->circuit, &drawing->arena, &scenes);
  for (uint32_t i = 0; i < scenes.n && i < MOST_PAGES; i++) {
    struct pl_buffer out;
    pl_buffer_init(&out, &drawing->arena);
    pl_svg_write(&out, &scenes.at[i]);
    drawing->files[drawing->count] = scenes.at[i].file;
    drawing->texts[drawing->count++] = out.at;
  }
}

/* How many faults are found when page `p` has this text. */
static uint32_t
faults_of(struct drawing *drawing, uint32_t p, const char *text, struct pl_arena *arena) {
  struct rb_page pages[MOST_PAGES];
  struct rb_faults faults = {.arena = arena, .row = "spoilt"};
  for (uint32_t i = 0; i < drawing->count; i++) {
    const char *svg = text;
    if (i != p)
      svg = drawing->texts[i];
    rb_read(&pages[i], drawing->files[i], svg, strlen(svg), arena);
    rb_check_texts(&pages[i], &faults);
    rb_check_wires(&pages[i], &faults);
  }
  rb_check_net(drawing->harness, drawing->circuit, pages, drawing->count, &faults);
  return faults.lines.n;
}

static void must_find(struct drawing *drawing, uint32_t p, const char *text, const char *what) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  drawing->tried++;
  if (faults_of(drawing, p, text, &arena) == 0) {
    drawing->missed++;
    PL_CHECK(false, pl_arena_printf(&arena, "not found: %s", what));
  }
  pl_arena_release(&arena);
}

/* ---- changes of a text ---- */

static const char *
with(struct pl_arena *arena, const char *text, const char *at, size_t n, const char *instead) {
  return pl_arena_printf(arena, "%.*s%s%s", (int)(at - text), text, instead, at + n);
}

static const char *
with_all(struct pl_arena *arena, const char *text, const char *from, const char *to) {
  for (const char *at = strstr(text, from); at != NULL;) {
    size_t before = (size_t)(at - text);
    text = with(arena, text, at, strlen(from), to);
    at = strstr(text + before + strlen(to), from);
  }
  return text;
}

static const char *quoted(struct pl_arena *arena, const char *at, const char *name) {
  at = strstr(at, name);
  if (at == NULL)
    return "";
  at += strlen(name);
  return pl_arena_strndup(arena, at, strcspn(at, "\""));
}

/* ---- wires ---- */

/* Every wire in turn: moved aside at an end, named like another, without a label, drawn twice. */
static void spoil_wires(struct drawing *drawing) {
  struct pl_arena *arena = &drawing->arena;
  for (uint32_t p = 0; p < drawing->count; p++) {
    const char *svg = drawing->texts[p];
    for (const char *at = svg; (at = strstr(at, "data-what=\"wire\"")) != NULL; at++) {
      const char *name = quoted(arena, at, "data-name=\"");
      const char *line = quoted(arena, at, " d=\"");
      double x, y;
      CU_ASSERT_EQUAL_FATAL(sscanf(line, "M%lf %lfL", &x, &y), 2);
      const char *rest = strchr(line, 'L');
      must_find(drawing,
                p,
                with_all(arena, svg, line, pl_arena_printf(arena, "M%.2f %.2f%s", x + 4, y, rest)),
                pl_arena_printf(arena, "wire %s moved aside at its end", name));
      must_find(drawing,
                p,
                with_all(arena, svg, line, pl_arena_printf(arena, "M%.2f %.2f%s", x, y + 3, rest)),
                pl_arena_printf(arena, "wire %s too short or too long", name));
      const char *label = strstr(at, "<text");
      for (int line_of_label = 0; line_of_label < 3;
           line_of_label++, label = strstr(label + 1, "<text")) {
        const char *content = strchr(label, '>') + 1;
        if (strstr(at, "</g>\n<g id") != NULL && label > strstr(at, "</g>\n<g id"))
          break; /* another's */
        must_find(drawing,
                  p,
                  with(arena, svg, content, strcspn(content, "<"), "?"),
                  pl_arena_printf(arena, "a line of the label of wire %s is wrong", name));
      }
      const char *start = at;
      while (strncmp(start, "<g ", 3) != 0)
        start--;
      const char *end = strstr(at, "</g>\n<");
      size_t n = 0;
      if (end != NULL)
        n = (size_t)(end + 5 - start);
      must_find(drawing,
                p,
                with(arena, svg, start, n, ""),
                pl_arena_printf(arena, "wire %s is not there", name));
      must_find(drawing,
                p,
                with(arena, svg, start, 0, pl_arena_strndup(arena, start, n)),
                pl_arena_printf(arena, "wire %s is there twice", name));
    }
  }
}

/* Two wires change their names, labels and all: nothing looks wrong, but it is another netlist. */
static void swap_names(struct drawing *drawing, uint32_t p, const char *a, const char *b) {
  struct pl_arena *arena = &drawing->arena;
  static const char *const forms[] = {"data-name=\"%s\"", "class=\"pl-b\">%s<", "id=\"w-%s\""};
  const char *text = drawing->texts[p];
  for (int i = 0; i < 3; i++) {
    char from[80], to[80];
    snprintf(from, sizeof from, forms[i], a);
    snprintf(to, sizeof to, forms[i], b);
    text = with_all(arena, text, from, "@@");
    text = with_all(arena, text, to, from);
    text = with_all(arena, text, "@@", to);
  }
  CU_ASSERT_FATAL(strcmp(text, drawing->texts[p]) != 0);
  must_find(drawing,
            p,
            text,
            pl_arena_printf(arena, "wires %s and %s have changed their names", a, b));
}

/* ---- texts ---- */

/* Every text in turn: put on the next one, off the page, too small, covered by paper. */
static void spoil_texts(struct drawing *drawing) {
  struct pl_arena *arena = &drawing->arena;
  for (uint32_t p = 0; p < drawing->count; p++) {
    const char *svg = drawing->texts[p];
    for (const char *at = svg; (at = strstr(at, "<text x=")) != NULL; at++) {
      const char *x = quoted(arena, at, "x=\"");
      const char *y = quoted(arena, at, "y=\"");
      const char *next = strstr(at + 1, "<text x=");
      size_t head = strlen("<text x=\"\" y=\"\"") + strlen(x) + strlen(y);
      if (next != NULL) {
        const char *there = pl_arena_printf(arena,
                                            "<text x=\"%s\" y=\"%s\"",
                                            quoted(arena, next, "x=\""),
                                            quoted(arena, next, "y=\""));
        if (strstr(pl_arena_strndup(arena, at, 200), "pl-e") == NULL &&
            strstr(pl_arena_strndup(arena, next, 200), "pl-e") == NULL)
          must_find(drawing,
                    p,
                    with(arena, svg, at, head, there),
                    pl_arena_printf(arena, "text at %s %s on another", x, y));
      }
      must_find(drawing,
                p,
                with(arena, svg, at, head, pl_arena_printf(arena, "<text x=\"%s\" y=\"8\"", x)),
                "text off the page");
      must_find(drawing,
                p,
                with_all(arena,
                         svg,
                         "</svg>",
                         pl_arena_printf(arena,
                                         "<rect x=\"%.2f\" y=\"%.2f\" width=\"4\" height=\"3\" "
                                         "class=\"pl-x pl-p\"/></svg>",
                                         atof(x) - 2,
                                         atof(y) - 2)),
                pl_arena_printf(arena, "text at %s %s covered", x, y));
      const char *size = strstr(at, "font-size=\"");
      must_find(drawing,
                p,
                with(arena, svg, size, strlen("font-size=\""), "font-size=\"1.9\" data-was=\""),
                "text too small");
    }
  }
}

static void spoil_ground(struct drawing *drawing) {
  struct pl_arena *arena = &drawing->arena;
  const char *svg = drawing->texts[0];
  must_find(drawing,
            0,
            with_all(arena, svg, "text{fill:#1a1a1a", "text{fill:#888888"),
            "grey texts"); /* 3.5 to 1 on white */
  must_find(drawing,
            0,
            with_all(arena, svg, "</svg>", "<image x=\"1\" y=\"1\"/></svg>"),
            "an element that is not known");
  must_find(drawing, 0, with_all(arena, svg, "</svg>", ""), "a text that breaks off");
  must_find(drawing,
            0,
            with_all(arena, svg, "width=\"297mm\"", "width=\"290mm\""),
            "a page that is not 1:1");
}

static void must_be_right(struct drawing *drawing) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  CU_ASSERT_EQUAL_FATAL(faults_of(drawing, 0, drawing->texts[0], &arena), 0);
  pl_arena_release(&arena);
}

static void spoilt_by_rule(void) {
  struct drawing drawing = {.circuit = 1};
  pl_test_arena(&drawing.arena);
  draw_kit_start(&drawing.kit);
  draw_small_machine(&drawing.kit);
  drawing.harness = &drawing.kit.harness;
  write_pages(&drawing);
  must_be_right(&drawing);
  spoil_wires(&drawing);
  spoil_texts(&drawing);
  spoil_ground(&drawing);
  swap_names(&drawing, 0, "10", "13");
  swap_names(&drawing, 0, "11", "12");
  swap_names(&drawing, 0, "21", "22");
  printf("\n  spoilt drawings: %u, not found: %u", drawing.tried, drawing.missed);
  PL_CHECK(drawing.tried > 200, "enough of them");
  draw_kit_end(&drawing.kit);
  pl_arena_release(&drawing.arena);
}

/* References of a circuit on several pages, crossings with and without a dot. */
static void spoilt_references(void) {
  struct drawing drawing = {.circuit = 0};
  pl_test_arena(&drawing.arena);
  draw_kit_start(&drawing.kit);
  draw_random_machine(&drawing.kit, 33 * 104729u);
  drawing.harness = &drawing.kit.harness;
  write_pages(&drawing);
  CU_ASSERT_FATAL(drawing.count > 1);
  must_be_right(&drawing);
  struct pl_arena *arena = &drawing.arena;
  uint32_t found = 0;
  for (uint32_t p = 0; p < drawing.count; p++)
    for (const char *at = drawing.texts[p]; (at = strstr(at, ">to D")) != NULL; at++) {
      const char *place = strstr(at, ">page ");
      if (place == NULL)
        break;
      found++;
      const char *wrong = place[6] == '1' ? "2" : "1";
      must_find(&drawing,
                p,
                with(arena, drawing.texts[p], place + 6, 1, wrong),
                "a reference to another page");
      const char *column = strstr(place, "col. ") + 5;
      must_find(&drawing,
                p,
                with(arena, drawing.texts[p], column, strcspn(column, "<"), "99"),
                "a reference to no column");
    }
  PL_CHECK(found > 3, "references");
  struct rb_page page;
  uint32_t dots = 0;
  for (uint32_t p = 0; p < drawing.count; p++) {
    rb_read(&page, drawing.files[p], drawing.texts[p], strlen(drawing.texts[p]), arena);
    for (uint32_t i = 0; i < page.wires.n; i++)
      for (uint32_t k = 0; k + 1 < page.wires.at[i].count; k++) {
        struct rb_mm a = page.wires.at[i].points[k];
        struct rb_mm b = page.wires.at[i].points[k + 1];
        if (hypot(a.x - b.x, a.y - b.y) < 12)
          continue;
        const char *dot = pl_arena_printf(
            arena,
            "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"0.9\" class=\"pl-k pl-t pl-i\"/></svg>",
            (a.x + b.x) / 2,
            (a.y + b.y) / 2);
        must_find(&drawing, p, with_all(arena, drawing.texts[p], "</svg>", dot), "a dot on a wire");
        dots++;
      }
  }
  PL_CHECK(dots > 5, "dots");
  printf("\n  spoilt references and dots: %u, not found: %u", drawing.tried, drawing.missed);
  draw_kit_end(&drawing.kit);
  pl_arena_release(&drawing.arena);
}

CU_TestInfo readback_mutation_tests[] = {{"spoilt by rule", spoilt_by_rule},
                                         {"spoilt references", spoilt_references},
                                         CU_TEST_INFO_NULL};
