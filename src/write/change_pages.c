/* Two printed sets held against each other, page by page and byte by byte; and the page that says
 * what differs. */
#include "write/change_pages.h"

#include <string.h>

#include "write/csv.h"
#include "write/formats.h"
#include "write/html_page_inner.h"
#include "write/label_pages_inner.h"
#include "write/svg.h"
#include "write/xhtml_inner.h"

struct print { /* one page, or one table that runs over several */
  const char *name, *title, *section;
  struct pl_buffer bytes;
};
typedef PL_VEC(struct print) prints;

/* The set without what every page has in its margin and title block. */
static struct pl_output_inputs without_title(const struct pl_output_inputs *in,
                                             struct pl_arena *arena) {
  struct pl_output_inputs bare = *in;
  struct pl_harness *harness = PL_NEW(arena, struct pl_harness);
  *harness = *in->harness;
  harness->machine.revision = harness->machine.date = harness->machine.author = harness->digest =
      "";
  bare.harness = harness;
  return bare;
}

static void add_scene(struct print *one, const struct pl_scene *scene) {
  pl_svg_write(&one->bytes, scene);
}

/* A table with what stands over it; a connector's with its faces. */
static void add_sheet(struct print *one, const struct pl_sheet *sheet, const pl_scenes *scenes) {
  pl_buffer_printf(&one->bytes, "%s\n%s\n", sheet->title, sheet->note);
  for (uint32_t r = 0; r < sheet->rows.n; r++)
    if (sheet->rows.at[r].heading != NULL)
      pl_buffer_printf(&one->bytes, "%s\n%s\n", sheet->rows.at[r].heading, sheet->rows.at[r].note);
  pl_csv_write(&one->bytes, sheet);
  for (uint32_t i = 0; sheet->drawing[0] != '\0' && i < scenes->n; i++)
    if (strcmp(scenes->at[i].file, sheet->drawing) == 0)
      add_scene(one, &scenes->at[i]);
}

static struct print
print_of(struct pl_arena *arena, const char *name, const char *title, const char *section) {
  struct print one = {.name = name, .title = title, .section = section};
  pl_buffer_init(&one.bytes, arena);
  return one;
}

/* All that has a number in the book, and the tiles of the board, which are printed apart. */
static void add_prints(const struct pl_book *book, struct pl_arena *arena, prints *all) {
  struct pl_book_entry *entries;
  uint32_t n = pl_xhtml_entries(book, arena, &entries);
  bool *in_book = PL_NEW_ARRAY(arena, bool, book->drawings->n + 1);
  for (uint32_t e = 0; e < n; e++) {
    const struct pl_book_entry *entry = &entries[e];
    const struct pl_sheet *sheet;
    if (entry->sheet == PL_NONE)
      sheet = NULL;
    else
      sheet = &book->sheets->at[entry->sheet];
    const char *name;
    if (sheet != NULL)
      name = pl_arena_printf(arena, "table %s", sheet->file);
    else
      name = book->drawings->at[entry->drawing].file;
    struct print one =
        print_of(arena,
                 name,
                 pl_arena_printf(arena, "%u.%u %s", entry->part, entry->number, entry->title),
                 pl_sections[entry->section].title);
    if (sheet != NULL)
      add_sheet(&one, sheet, book->drawings);
    else
      add_scene(&one, &book->drawings->at[entry->drawing]);
    if (sheet == NULL)
      in_book[entry->drawing] = true;
    PL_PUSH(arena, all, one);
  }
  for (uint32_t d = 0; d < book->drawings->n; d++) {
    const struct pl_scene *scene = &book->drawings->at[d];
    if (in_book[d])
      continue;
    if (strncmp(scene->file, "board", 5) != 0)
      continue;
    struct print one = print_of(arena, scene->file, scene->title, "Assembly board, board.html");
    add_scene(&one, scene);
    PL_PUSH(arena, all, one);
  }
}

static void print_all(const struct pl_output_inputs *in,
                      struct pl_arena *arena,
                      prints *all,
                      struct pl_table *names) {
  struct pl_output_inputs bare = without_title(in, arena);
  pl_sheets sheets = {0};
  pl_scenes scenes = {0};
  pl_output_sheets(&bare, arena, &sheets);
  pl_output_scenes(&bare, arena, &scenes);
  pl_output_labels(&sheets, arena, &scenes);
  add_prints(&(struct pl_book){.harness = bare.harness,
                               .sheets = &sheets,
                               .drawings = &scenes,
                               .plates = true},
             arena,
             all);
  pl_table_init(names, arena);
  for (uint32_t i = 0; i < all->n; i++)
    pl_table_add(names, all->at[i].name, i);
}

static void compare_prints(const prints *was,
                           const struct pl_table *old_names,
                           const prints *is,
                           const struct pl_table *new_names,
                           struct pl_arena *arena,
                           pl_changed_pages *pages) {
  uint32_t at;
  for (uint32_t i = 0; i < is->n; i++) {
    const struct print *one = &is->at[i];
    bool there = pl_table_find(old_names, one->name, &at);
    if (there && was->at[at].bytes.n == one->bytes.n &&
        memcmp(was->at[at].bytes.at, one->bytes.at, one->bytes.n) == 0)
      continue;
    PL_PUSH(arena,
            pages,
            ((struct pl_changed_page){one->title,
                                      one->section,
                                      there ? PL_CHANGE_CHANGED : PL_CHANGE_ADDED}));
  }
  for (uint32_t i = 0; i < was->n; i++)
    if (!pl_table_find(new_names, was->at[i].name, &at))
      PL_PUSH(arena,
              pages,
              ((struct pl_changed_page){was->at[i].title, was->at[i].section, PL_CHANGE_REMOVED}));
}

void pl_output_changes(const struct pl_output_inputs *old,
                       const struct pl_output_inputs *in,
                       struct pl_arena *arena,
                       pl_sheets *sheets) {
  prints was = {0};
  prints is = {0};
  struct pl_table old_names, new_names;
  pl_changed_pages pages = {0};
  print_all(old, arena, &was, &old_names);
  print_all(in, arena, &is, &new_names);
  compare_prints(&was, &old_names, &is, &new_names, arena, &pages);
  pl_sheets_changes(old->harness, in->harness, in->network, &pages, arena, sheets);
}

/* ---- the page ---- */

static void put_block(struct pl_page *page, const char *what, const struct pl_harness *harness) {
  struct pl_title_block block = pl_title_block_of(harness);
  const size_t shown = 12; /* digits of a digest, as in the margin */
  pl_page_line(page,
               "p",
               pl_arena_printf(
                   page->arena,
                   "%s: revision %s, date %s, text %s",
                   what,
                   block.revision[0] != '\0' ? block.revision : "not said",
                   block.date[0] != '\0' ? block.date : "not said",
                   pl_arena_strndup(page->arena,
                                    block.digest,
                                    strlen(block.digest) < shown ? strlen(block.digest) : shown)));
}

static void write_page(struct pl_buffer *out,
                       const struct pl_output_inputs *old,
                       const struct pl_output_inputs *in,
                       const pl_sheets *sheets,
                       struct pl_arena *arena) {
  struct pl_page page;
  pl_page_begin(&page, out, in->harness, arena, "Changes", NULL);
  pl_page_title_block(&page);
  put_block(&page, "Built by the text of", old->harness);
  put_block(&page, "To be as the text of", in->harness);
  pl_page_line(&page,
               "p",
               "For a harness that is built already: what differs, cavity by cavity, what is "
               "tested again, and which printed pages are thrown away.");
  if (sheets->n == 0)
    pl_page_line(&page, "p", "Nothing is different.");
  pl_page_cautions(&page);
  for (uint32_t i = 0; i < sheets->n; i++)
    pl_page_sheet(&page, &sheets->at[i], NULL, "h2", "");
  pl_page_end(&page);
}

static void add_output(pl_outputs *outputs,
                       struct pl_arena *arena,
                       const char *name,
                       const struct pl_buffer *bytes) {
  PL_PUSH(arena, outputs, ((struct pl_output){.name = name, .bytes = bytes->at, .size = bytes->n}));
}

void pl_output_compare(const struct pl_output_inputs *old,
                       const struct pl_output_inputs *in,
                       const pl_sheets *sheets,
                       struct pl_arena *arena,
                       pl_outputs *outputs) {
  struct pl_buffer page;
  pl_buffer_init(&page, arena);
  write_page(&page, old, in, sheets, arena);
  add_output(outputs, arena, "changes.html", &page);
  for (uint32_t i = 0; i < sheets->n; i++)
    pl_table_files(&sheets->at[i], arena, outputs);
}
