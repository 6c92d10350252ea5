/* The frame of every drawing: border, notes at the lower left, title block at the lower right. */
#include "draw/frame.h"

#include <string.h>

#include "draw/metrics.h"

#define MARGIN 10.0
#define BLOCK_HEIGHT 15.0
#define BLOCK_WIDTH 160.0

struct pl_mm pl_frame_paper(const struct pl_harness *harness) {
  return harness->machine.units == PL_UNITS_US ? (struct pl_mm){279.4, 215.9}
                                               : (struct pl_mm){297, 210};
}

static double foot_height(uint32_t notes) {
  double high = notes * PL_LEADING + 2;
  return high > BLOCK_HEIGHT ? high : BLOCK_HEIGHT;
}

static bool narrow(double width) {
  return width < 2 * MARGIN + BLOCK_WIDTH + 70;
}

struct pl_room pl_frame_room(double width, double height, uint32_t notes) {
  double foot = narrow(width) ? BLOCK_HEIGHT + notes * PL_LEADING + 2 : foot_height(notes);
  return (struct pl_room){MARGIN + 2,
                          MARGIN + 2,
                          width - 2 * MARGIN - 4,
                          height - 2 * MARGIN - 4 - foot};
}

static void cell(struct pl_scene *scene,
                 double x,
                 double y,
                 double width,
                 const char *head,
                 const char *text,
                 bool bold) {
  pl_scene_text(scene, x + 1, y + 2.75, PL_TEXT_SIZE, PL_ANCHOR_START, head);
  const char *shown = pl_text_fit(scene->arena, text, 2.8, bold, width - 2);
  if (bold)
    pl_scene_bold(scene, x + 1, y + 6.4, 2.8, PL_ANCHOR_START, shown);
  else
    pl_scene_text(scene, x + 1, y + 6.4, 2.8, PL_ANCHOR_START, shown);
}

static const char *or_empty(const char *text) {
  return text == NULL ? "" : text;
}

void pl_frame_draw(struct pl_scene *scene,
                   const struct pl_harness *harness,
                   const struct pl_frame *frame) {
  const struct pl_machine *machine = &harness->machine;
  double right = scene->width - MARGIN;
  double bottom = scene->height - MARGIN;
  double width = BLOCK_WIDTH;
  pl_scene_box(scene,
               PL_STROKE_NORMAL,
               PL_FILL_NONE,
               MARGIN,
               MARGIN,
               scene->width - 2 * MARGIN,
               scene->height - 2 * MARGIN);
  double x = right - width;
  double y = bottom - BLOCK_HEIGHT;
  double half = BLOCK_HEIGHT / 2;
  pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, x, y, width, BLOCK_HEIGHT);
  pl_scene_line(scene, PL_STROKE_THIN, x, y + half, right, y + half);
  cell(scene, x, y, 80, "machine", or_empty(machine->title), true);
  cell(scene, x + 80, y, 80, "drawing", frame->title, true);
  char digest[13] = "";
  strncat(digest, or_empty(harness->digest), 12);
  const char *heads[] = {"revision", "date", "author", "text's digest", "page"};
  const char *texts[] = {or_empty(machine->revision),
                         or_empty(machine->date),
                         or_empty(machine->author),
                         pl_arena_strdup(scene->arena, digest),
                         pl_arena_printf(scene->arena, "%u of %u", frame->page, frame->pages)};
  const double widths[] = {26, 28, 52, 33, 21};
  double at = x;
  for (int i = 0; i < 5; i++) {
    if (i > 0)
      pl_scene_line(scene, PL_STROKE_THIN, at, y + half, at, bottom);
    cell(scene, at, y + half, widths[i], heads[i], texts[i], false);
    at += widths[i];
  }
  pl_scene_line(scene, PL_STROKE_THIN, x + 80, y, x + 80, y + half);
  double note_width;
  if (narrow(scene->width))
    note_width = right - MARGIN - 4;
  else
    note_width = x - MARGIN - 4;
  double note_y;
  if (narrow(scene->width))
    note_y = y - frame->note_count * PL_LEADING - 1;
  else
    note_y = bottom - foot_height(frame->note_count) + 1;
  for (uint32_t i = 0; i < frame->note_count; i++)
    pl_scene_text(scene,
                  MARGIN + 2,
                  note_y + i * PL_LEADING + 2.2,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  pl_text_fit(scene->arena, frame->notes[i], PL_TEXT_SIZE, false, note_width));
}
