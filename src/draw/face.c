/* Connector faces: the cavities where they are, from the wire side and mirrored from the mating
 * side, and the list of what sits in them.  Rows and columns of the model are those of the wire
 * side. */
#include <math.h>
#include <string.h>

#include "base/buffer.h"
#include "base/number.h"
#include "draw/drawings.h"
#include "draw/face_inner.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"

#define FACE_HEIGHT 66.0 /* at most */
#define CELL_WIDTH 16.0  /* of a cavity, at most */
#define PI 3.14159265358979323846

static const char *const notes[] = {
    "Wire side: seen with the wires pointing at you.",
    "Mating side: seen looking into the contacts; left and right change.",
    "Cross: plugged. Dash: no wire. The moulded marks decide.",
    "Disconnect the battery before you unplug connectors.",
};
enum {
  NOTES = sizeof notes / sizeof notes[0]
};

static const struct pl_manner manners[] = {{3.7, 13.0, 2, true},
                                           {3.15, 9.7, 2, true},
                                           {3.15, 9.7, 3, false}};
enum {
  MANNERS = sizeof manners / sizeof manners[0]
};

static const struct pl_pin *pin_at(const struct pl_face *face, uint32_t i) {
  return &face->harness->pins.at[face->connector->first_pin + i];
}

static const char *word_of(const struct pl_pin *pin) {
  if (pin->plugged)
    return "plug";
  bool unused = pin->role == PL_ROLE_UNUSED || pin->need == PL_NEED_UNUSED;
  return unused ? "unused" : "no wire";
}

static void draw_sign(const struct pl_face *face, const struct pl_pin *pin, double x, double y) {
  if (pin->plugged)
    pl_scene_path(face->scene,
                  PL_STROKE_NORMAL,
                  PL_FILL_NONE,
                  x,
                  y,
                  "M-1.1-1.1L1.1 1.1M-1.1 1.1L1.1-1.1");
  else
    pl_scene_line(face->scene, PL_STROKE_NORMAL, x - 1.1, y, x + 1.1, y);
}

static void draw_in_box(const struct pl_face *face,
                        const struct pl_pin *pin,
                        double x,
                        double y,
                        double w,
                        double h) {
  struct pl_scene *scene = face->scene;
  double inner = w - 1;
  double middle = y - h / 2 + 3.0 + (h >= 8.4 ? 3.2 : 2.6);
  if (h < 3.2)
    return;
  if (pl_text_width("...", PL_TEXT_SIZE, true) > inner)
    return;
  pl_scene_bold(scene,
                x,
                y - h / 2 + 2.6,
                PL_TEXT_SIZE,
                PL_ANCHOR_MIDDLE,
                pl_text_fit(face->arena, pin->cavity, PL_TEXT_SIZE, true, inner));
  if (h < 6.4)
    return;
  if (pin->wires.n == 0) {
    draw_sign(face, pin, x, middle - 1);
    const char *word = word_of(pin);
    if (h >= 9.6 && pl_text_width(word, PL_TEXT_SIZE, false) <= inner)
      pl_scene_text(scene, x, middle + 2.7, PL_TEXT_SIZE, PL_ANCHOR_MIDDLE, word);
    return;
  }
  pl_scene_text(scene,
                x,
                middle,
                PL_TEXT_SIZE,
                PL_ANCHOR_MIDDLE,
                pl_text_fit(face->arena, pl_face_number(face, pin), PL_TEXT_SIZE, false, inner));
  double length = fmin(w - 1.6, 10);
  if (h >= 9 && length > 1.5)
    pl_face_draw_swatch(face,
                        pl_face_wire(face, pin, 0),
                        x - length / 2,
                        fmin(middle + 2.2, y + h / 2 - 1.2),
                        length,
                        1.5);
}

/* In a circle: the text must fit the chord at its farther edge. */
static double chord(double size, double away) {
  double radius = size / 2 - 0.3;
  if (radius > away)
    return 2 * sqrt(radius * radius - away * away);
  return 0;
}

static void draw_in_circle(const struct pl_face *face,
                           const struct pl_pin *pin,
                           double x,
                           double y,
                           double size) {
  struct pl_scene *scene = face->scene;
  const char *number;
  if (pin->wires.n > 0)
    number = pl_face_number(face, pin);
  else
    number = word_of(pin);
  double label = pl_text_width(pin->cavity, PL_TEXT_SIZE, true);
  bool two =
      pl_text_width(number, PL_TEXT_SIZE, false) <= chord(size, 2.1) && label <= chord(size, 3.0);
  if (!two && label > chord(size, 1.2))
    return; /* the list says it */
  pl_scene_bold(scene, x, two ? y - 1.2 : y + 0.9, PL_TEXT_SIZE, PL_ANCHOR_MIDDLE, pin->cavity);
  if (!two)
    return;
  pl_scene_text(scene, x, y + 1.2, PL_TEXT_SIZE, PL_ANCHOR_MIDDLE, number);
  double length = fmin(chord(size, 3.2), 8);
  if (length < 2.4)
    return;
  if (pin->wires.n > 0)
    pl_face_draw_swatch(face, pl_face_wire(face, pin, 0), x - length / 2, y + 2.5, length, 0.9);
  else if (chord(size, 4.4) > 2.4)
    draw_sign(face, pin, x, y + 3.2);
}

static const char *cavity_title(const struct pl_face *face, const struct pl_pin *pin) {
  struct pl_buffer text;
  pl_buffer_init(&text, face->arena);
  pl_buffer_printf(&text, "Cavity %s", pin->cavity);
  if (pin->text[0] != '\0')
    pl_buffer_printf(&text, ", %s", pin->text);
  if (pin->wires.n == 0)
    pl_buffer_printf(&text, ": %s", pl_face_state(pin));
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    const struct pl_wire *wire = pl_face_wire(face, pin, i);
    char colour[16];
    pl_buffer_printf(&text,
                     "%s wire %s %s %s",
                     i == 0 ? ":" : " and",
                     wire->number,
                     pl_colour_text(&wire->colour, colour),
                     wire->size);
  }
  return text.at;
}

static void draw_cavity(const struct pl_face *face,
                        uint32_t i,
                        const char *prefix,
                        double x,
                        double y,
                        double w,
                        double h,
                        bool round) {
  const struct pl_pin *pin = pin_at(face, i);
  pl_scene_open_of(
      face->scene,
      pl_arena_printf(face->arena, "%s-%s", prefix, pl_safe_name(face->arena, pin->cavity)),
      cavity_title(face, pin),
      "",
      "cavity",
      pin->full);
  enum pl_fill fill = PL_FILL_GREY;
  if (pin->wires.n > 0)
    fill = PL_FILL_PAPER;
  if (round)
    pl_scene_circle(face->scene, PL_STROKE_NORMAL, fill, x, y, w / 2);
  else
    pl_scene_box(face->scene, PL_STROKE_NORMAL, fill, x - w / 2, y - h / 2, w, h);
  if (round)
    draw_in_circle(face, pin, x, y, w);
  else
    draw_in_box(face, pin, x, y, w, h);
  pl_scene_close(face->scene);
}

/* ---- faces ---- */

static uint32_t rows_of(const struct pl_face *face) {
  uint32_t rows = face->connector->rows == 0 ? 1 : face->connector->rows;
  for (uint32_t i = 0; i < face->connector->pin_count; i++)
    rows = pin_at(face, i)->row > rows ? pin_at(face, i)->row : rows;
  return rows;
}

static uint32_t columns_of(const struct pl_face *face) {
  uint32_t columns = face->connector->columns == 0 ? 1 : face->connector->columns;
  for (uint32_t i = 0; i < face->connector->pin_count; i++)
    columns = pin_at(face, i)->column > columns ? pin_at(face, i)->column : columns;
  return columns;
}

/* Height used. */
static double
draw_rows(const struct pl_face *face, double x, double y, double width, bool mirrored) {
  uint32_t rows = rows_of(face);
  uint32_t columns = columns_of(face);
  double w = fmin(CELL_WIDTH, (width - 4) / columns);
  double h = fmin(face->manner.cell_height, (FACE_HEIGHT - 4) / rows);
  double left = x + (width - columns * w) / 2;
  double top = y + 2;
  pl_scene_box(face->scene,
               PL_STROKE_BOLD,
               PL_FILL_NONE,
               left - 2,
               y,
               columns * w + 4,
               rows * h + 4);
  pl_scene_box(face->scene,
               PL_STROKE_BOLD,
               PL_FILL_INK,
               left + columns * w / 2 - 3,
               y - 1.6,
               6,
               1.6);
  for (uint32_t i = 0; i < face->connector->pin_count; i++) {
    const struct pl_pin *pin = pin_at(face, i);
    uint32_t row = pin->row == 0 ? i / columns : pin->row - 1;
    uint32_t column = pin->column == 0 ? i % columns : pin->column - 1;
    if (mirrored)
      column = columns - 1 - column;
    draw_cavity(face,
                i,
                mirrored ? "m" : "v",
                left + (column + 0.5) * w,
                top + (row + 0.5) * h,
                w,
                h,
                false);
  }
  return rows * h + 4;
}

enum {
  MOST_RINGS = 20
};

/* Cavities of the next ring inward: six fewer round it, or one in the middle. */
static uint32_t ring_inside(uint32_t ring) {
  if (ring > 6)
    return ring - 6;
  return ring > 3 ? 1 : 0;
}

/* How many cavities each ring takes, outermost first.  Stated rows are rings; else six fewer in
 * each ring inward (common practice). */
static uint32_t ring_counts(const struct pl_face *face, uint32_t counts[MOST_RINGS]) {
  uint32_t n = face->connector->pin_count;
  uint32_t rows = rows_of(face);
  uint32_t rings = 0;
  memset(counts, 0, MOST_RINGS * sizeof counts[0]);
  if (rows > 1 && rows <= MOST_RINGS) {
    for (uint32_t i = 0; i < n; i++)
      counts[pin_at(face, i)->row == 0 ? 0 : pin_at(face, i)->row - 1]++;
    return rows;
  }
  uint32_t outer = n <= 6 ? n : 6;
  while (outer < n) { /* the smallest outer ring with which all fit inward */
    uint32_t all = 0;
    for (uint32_t ring = outer; ring > 0; ring = ring_inside(ring))
      all += ring;
    if (all >= n)
      break;
    outer++;
  }
  for (uint32_t ring = outer, left = n; left > 0 && rings < MOST_RINGS; rings++) {
    if (left < ring || rings + 1 == MOST_RINGS)
      counts[rings] = left;
    else
      counts[rings] = ring;
    left -= counts[rings];
    if (ring > 6)
      ring -= 6;
    else
      ring = ring > 1 ? 1 : left;
  }
  return rings;
}

static double
draw_rings(const struct pl_face *face, double x, double y, double width, bool mirrored) {
  uint32_t counts[MOST_RINGS];
  uint32_t rings = ring_counts(face, counts);
  uint32_t i = 0;
  double radius = fmin(FACE_HEIGHT, width) / 2 - 1;
  double cx = x + width / 2;
  double cy = y + radius;
  double pitch = radius / (rings - (counts[rings > 0 ? rings - 1 : 0] == 1 ? 0.5 : 0) + 0.1);
  double size = pitch;
  for (uint32_t ring = 0; ring < rings; ring++) { /* neighbours on a ring must not touch */
    double r = radius - (ring + 0.55) * pitch;
    if (counts[ring] > 1)
      size = fmin(size, 2 * r * sin(PI / counts[ring]));
  }
  size = fmin(size * 0.94, CELL_WIDTH);
  pl_scene_circle(face->scene, PL_STROKE_BOLD, PL_FILL_NONE, cx, cy, radius);
  pl_scene_box(face->scene, PL_STROKE_BOLD, PL_FILL_INK, cx - 2, cy - radius - 1.2, 4, 1.6);
  for (uint32_t ring = 0; ring < rings; ring++) {
    double r;
    if (counts[ring] == 1 && ring + 1 == rings && ring > 0)
      r = 0;
    else
      r = radius - (ring + 0.55) * pitch;
    if (counts[ring] == 1 && rings == 1)
      r = 0;
    for (uint32_t k = 0; k < counts[ring]; k++, i++) {
      double angle = 2 * PI * (k + 0.5) / counts[ring];
      draw_cavity(face,
                  i,
                  mirrored ? "m" : "v",
                  cx + (mirrored ? -1 : 1) * r * sin(angle),
                  cy - r * cos(angle),
                  size,
                  size,
                  true);
    }
  }
  return 2 * radius;
}

/* One side within a width; returns its height. */
static double draw_side(const struct pl_face *face, int side, double x, double y, double width) {
  pl_scene_bold(face->scene,
                x + width / 2,
                y + 3,
                3,
                PL_ANCHOR_MIDDLE,
                side == 0 ? "Wire side" : "Mating side (mirrored)");
  return 6 + (face->connector->shape == PL_SHAPE_ROUND
                  ? draw_rings(face, x, y + 6, width, side == 1)
                  : draw_rows(face, x, y + 6, width, side == 1));
}

static double draw_faces(const struct pl_face *face, struct pl_room room, double y) {
  double width = (room.width - 8) / 2;
  double high = 0;
  for (int side = 0; side < 2; side++)
    high = fmax(high, draw_side(face, side, room.x + side * (width + 8), y, width));
  return y + high;
}

/* ---- the page ---- */

static const char *name_of(const struct pl_face *face) {
  if (face->connector->name[0] == '\0')
    return pl_arena_printf(face->arena, "%s, connector", face->device->name);
  return pl_arena_printf(face->arena,
                         "%s, connector %s",
                         face->device->name,
                         face->connector->name);
}

static const char *facts_of(const struct pl_face *face) {
  const struct pl_connector *one = face->connector;
  struct pl_buffer text;
  pl_buffer_init(&text, face->arena);
  if (face->device->text[0] != '\0')
    pl_buffer_printf(&text, "%s; ", face->device->text);
  pl_buffer_printf(&text,
                   "%u cavities, %s, %s, the harness half carries %s",
                   one->pin_count,
                   one->shape == PL_SHAPE_ROUND ? "round" : "rectangular",
                   one->sealed ? "sealed" : "not sealed",
                   one->pin_half ? "pins" : "sockets");
  if (one->colour[0] != '\0')
    pl_buffer_printf(&text, ", colour %s", one->colour);
  if (face->device->place != PL_NONE)
    pl_buffer_printf(&text, ", at %s", face->harness->places.at[face->device->place].name);
  return text.at;
}

static const char *keying_of(const struct pl_face *face) {
  const struct pl_connector *one = face->connector;
  struct pl_buffer text;
  pl_buffer_init(&text, face->arena);
  pl_buffer_printf(&text, "Keying: %s.", one->key[0] != '\0' ? one->key : "not stated");
  if (one->mate[0] != '\0')
    pl_buffer_printf(&text, " Mates with %s.", one->mate);
  if (one->part[0] != '\0')
    pl_buffer_printf(&text, " Part %s.", one->part);
  pl_buffer_puts(
      &text,
      one->shape == PL_SHAPE_ROUND
          ? " Round: cavities in the order of the text, clockwise from the key on the wire side, "
            "outer ring first; the true places are moulded on the connector."
          : " The dark tab only marks the upper edge.");
  return text.at;
}

static const char *describe(const struct pl_face *face) {
  struct pl_buffer text;
  pl_buffer_init(&text, face->arena);
  pl_buffer_printf(&text,
                   "Face from the wire side and, mirrored, from the mating side. %s. %s",
                   facts_of(face),
                   keying_of(face));
  for (uint32_t i = 0; i < face->connector->pin_count; i++)
    pl_buffer_printf(&text, " %s.", cavity_title(face, pin_at(face, i)));
  return text.at;
}

static const char *page_file(const struct pl_face *face, pl_id connector, uint32_t page) {
  const char *file = pl_connector_file(face->arena, face->harness, connector);
  if (page <= 1)
    return file;
  return pl_arena_printf(face->arena, "%.*s_-p%u.svg", (int)(strlen(file) - 4), file, page);
}

static bool same_emptiness(const struct pl_pin *a, const struct pl_pin *b) {
  if (b->wires.n != 0)
    return false;
  if (strcmp(pl_face_state(a), pl_face_state(b)) != 0)
    return false;
  return strcmp(pl_face_function(a), pl_face_function(b)) == 0;
}

static uint32_t list_entries(const struct pl_face *face, struct pl_face_entry **entries) {
  uint32_t n = 0;
  uint32_t count = face->connector->pin_count;
  for (uint32_t i = 0; i < count; i++)
    n += pin_at(face, i)->wires.n > 0 ? pin_at(face, i)->wires.n : 1;
  *entries = PL_NEW_ARRAY(face->arena, struct pl_face_entry, (size_t)n + 1);
  n = 0;
  for (uint32_t i = 0; i < count; i++) {
    const struct pl_pin *pin = pin_at(face, i);
    for (uint32_t w = 0; w < pin->wires.n; w++)
      (*entries)[n++] = (struct pl_face_entry){pin, pin, pl_face_wire(face, pin, w)};
    if (pin->wires.n > 0)
      continue;
    while (i + 1 < count && same_emptiness(pin, pin_at(face, i + 1)))
      i++;
    (*entries)[n++] = (struct pl_face_entry){pin, pin_at(face, i), NULL};
  }
  return n;
}

static double faces_height(const struct pl_face *face) {
  if (face->connector->shape == PL_SHAPE_ROUND)
    return FACE_HEIGHT + 6;
  return fmin(face->manner.cell_height * rows_of(face), FACE_HEIGHT - 4) + 4 + 6;
}

#define HEAD_HEIGHT (13 + 2 * PL_LEADING)

/* The first manner in which all fits one page; the first of all when none does. */
static void choose_manner(struct pl_face *face, uint32_t n) {
  struct pl_mm paper = pl_frame_paper(face->harness);
  struct pl_room room = pl_frame_room(paper.x, paper.y, NOTES);
  for (uint32_t i = 0; i < MANNERS; i++) {
    face->manner = manners[i];
    if (pl_face_list_rows(face, room, room.y + HEAD_HEIGHT + faces_height(face) + 4) *
            manners[i].columns >=
        n)
      return;
  }
  face->manner = manners[0];
}

/* Returns the first entry that did not fit. */
static uint32_t draw_page(struct pl_face *face,
                          const struct pl_face_entry *entries,
                          uint32_t n,
                          uint32_t from,
                          bool first) {
  struct pl_mm paper = pl_frame_paper(face->harness);
  struct pl_room room = pl_frame_room(paper.x, paper.y, NOTES);
  double y = room.y;
  pl_scene_bold(face->scene,
                room.x,
                y + 4,
                4,
                PL_ANCHOR_START,
                pl_text_fit(face->arena, name_of(face), 4, true, room.width));
  pl_scene_text(face->scene,
                room.x,
                y + 8.4,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(face->arena, facts_of(face), PL_TEXT_SIZE, false, room.width));
  const char *lines[2];
  uint32_t count =
      pl_text_wrap(face->arena, keying_of(face), PL_TEXT_SIZE, false, room.width, lines, 2);
  for (uint32_t i = 0; i < count; i++)
    pl_scene_text(face->scene,
                  room.x,
                  y + 11.8 + i * PL_LEADING,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  lines[i]);
  y += 13 + count * PL_LEADING;
  if (first)
    y = draw_faces(face, room, y) + 4;
  return pl_face_draw_list(face, entries, n, from, room, y);
}

void pl_draw_connector(const struct pl_harness *harness,
                       pl_id connector,
                       struct pl_arena *arena,
                       pl_scenes *pages) {
  struct pl_face face = {.harness = harness,
                         .connector = &harness->connectors.at[connector],
                         .arena = arena};
  face.device = &harness->devices.at[face.connector->device];
  if (face.connector->pin_count == 0)
    return;
  struct pl_face_entry *entries;
  uint32_t n = list_entries(&face, &entries);
  uint32_t first_page = pages->n;
  choose_manner(&face, n);
  for (uint32_t from = 0, page = 1; from < n; page++) {
    struct pl_scene scene;
    struct pl_mm paper = pl_frame_paper(harness);
    pl_scene_init(&scene,
                  arena,
                  page_file(&face, connector, page),
                  name_of(&face),
                  paper.x,
                  paper.y);
    face.scene = &scene;
    from = draw_page(&face, entries, n, from, page == 1);
    if (page == 1)
      scene.description = describe(&face);
    else
      scene.description = "The list of cavities goes on.";
    PL_PUSH(arena, pages, scene);
  }
  uint32_t count = pages->n - first_page;
  for (uint32_t p = 0; p < count; p++)
    pl_frame_draw(&pages->at[first_page + p],
                  harness,
                  &(struct pl_frame){name_of(&face), notes, NOTES, p + 1, count});
}

/* ---- the faces alone ---- */

#define WORDS 42.0   /* mm that the words above a face take */
#define BESIDE 190.0 /* mm: faces that are wider together stand above each other */

bool pl_draw_faces(const struct pl_harness *harness,
                   pl_id connector,
                   struct pl_arena *arena,
                   struct pl_scene *faces) {
  struct pl_face face = {.harness = harness,
                         .connector = &harness->connectors.at[connector],
                         .arena = arena};
  face.device = &harness->devices.at[face.connector->device];
  if (face.connector->pin_count == 0)
    return false;
  struct pl_face_entry *entries;
  choose_manner(&face, list_entries(&face, &entries));
  struct pl_mm paper = pl_frame_paper(harness);
  double half = (pl_frame_room(paper.x, paper.y, NOTES).width - 8) / 2;
  double own;
  if (face.connector->shape == PL_SHAPE_ROUND)
    own = FACE_HEIGHT;
  else
    own = fmin(CELL_WIDTH, (half - 4) / columns_of(&face)) * columns_of(&face) + 4;
  double width = fmax(own, WORDS);
  bool beside = 2 * width + 10 <= BESIDE;
  pl_scene_init(faces, arena, pl_connector_file(arena, harness, connector), name_of(&face), 0, 0);
  face.scene = faces;
  faces->description = describe(&face);
  double first = draw_side(&face, 0, 1, 1, width);
  double second = draw_side(&face, 1, beside ? width + 9 : 1, beside ? 1 : first + 5, width);
  if (beside)
    faces->width = 2 * width + 10;
  else
    faces->width = width + 2;
  if (beside)
    faces->height = fmax(first, second) + 2;
  else
    faces->height = first + second + 6;
  return true;
}
