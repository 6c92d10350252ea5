/* Cuts the faces out of a connector's page: the groups of its cavities say where they are. */
#include "out/faces.h"

#include <math.h>
#include <string.h>

#define EDGE 4.0     /* mm kept around the cavities: the shell */
#define ABOVE 10.0   /* mm kept above them: shell, tab, and the words that say which side it is */
#define LABEL 42.0   /* mm those words take at most */
#define BESIDE 190.0 /* mm: faces that are wider together stand above each other */
#define GAP 6.0

struct cut {
  double left, top, right, bottom;
}; /* left > right: nothing */

static void widen(struct cut *cut, double left, double top, double right, double bottom) {
  cut->left = fmin(cut->left, left);
  cut->top = fmin(cut->top, top);
  cut->right = fmax(cut->right, right);
  cut->bottom = fmax(cut->bottom, bottom);
}

/* Around the cavities of one side: those left (side 0) or right (side 1) of the middle of the page. */
static struct cut cut_of(const struct pl_scene *page, int side) {
  struct cut cut = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  uint32_t cavity = 0, depth = 0;
  for (uint32_t i = 0; i < page->items.n; i++) {
    const struct pl_item *item = &page->items.at[i];
    if (item->kind == PL_SHAPE_OPEN && ++depth > 0 && cavity == 0 && strcmp(item->what, "cavity") == 0) cavity = depth;
    if (item->kind == PL_SHAPE_CLOSE && depth > 0 && depth-- == cavity) cavity = 0;
    bool box = item->kind == PL_SHAPE_BOX, circle = item->kind == PL_SHAPE_CIRCLE;
    if (cavity == 0 || (!box && !circle)) continue;
    double x = box ? item->x : item->x - item->x2, y = box ? item->y : item->y - item->x2;
    double width = box ? item->x2 : 2 * item->x2, height = box ? item->y2 : 2 * item->x2;
    if ((x + width / 2 > page->width / 2) == (side == 1)) widen(&cut, x, y, x + width, y + height);
  }
  if (cut.left > cut.right) return cut;
  double middle = (cut.left + cut.right) / 2, half = fmax((cut.right - cut.left) / 2 + EDGE, LABEL / 2);
  return (struct cut){middle - half, cut.top - ABOVE, middle + half, cut.bottom + EDGE};
}

static bool is_inside(const struct pl_item *item, const struct cut *cut) {
  double right = item->x, bottom = item->y;
  if (item->kind == PL_SHAPE_BOX) {
    right += item->x2;
    bottom += item->y2;
  } else if (item->kind == PL_SHAPE_LINE) {
    right = item->x2;
    bottom = item->y2;
  }
  return item->x >= cut->left && item->y >= cut->top && right <= cut->right && bottom <= cut->bottom;
}

static struct pl_item moved(struct pl_item item, struct pl_arena *arena, double dx, double dy) {
  item.x += dx;
  item.y += dy;
  if (item.kind == PL_SHAPE_LINE) {
    item.x2 += dx;
    item.y2 += dy;
  }
  if (item.point_count > 0) {
    struct pl_mm *points = PL_NEW_ARRAY(arena, struct pl_mm, item.point_count);
    for (uint32_t i = 0; i < item.point_count; i++)
      points[i] = (struct pl_mm){item.points[i].x + dx, item.points[i].y + dy};
    item.points = points;
  }
  return item;
}

/* What lies inside; of groups only those of cavities, with all that is in them. */
static void copy(const struct pl_scene *page, const struct cut *cut, struct pl_scene *faces, double dx, double dy) {
  bool group = false;
  for (uint32_t i = 0; i < page->items.n; i++) {
    const struct pl_item *item = &page->items.at[i];
    if (item->kind == PL_SHAPE_OPEN) {
      group = !group && strcmp(item->what, "cavity") == 0 && i + 1 < page->items.n && is_inside(item + 1, cut);
      if (group) PL_PUSH(faces->arena, &faces->items, *item);
    } else if (item->kind == PL_SHAPE_CLOSE) {
      if (group) PL_PUSH(faces->arena, &faces->items, *item);
      group = false;
    } else if (is_inside(item, cut)) {
      struct pl_item one = moved(*item, faces->arena, dx, dy);
      PL_PUSH(faces->arena, &faces->items, one);
    }
  }
}

bool pl_faces_cut(const struct pl_scene *page, struct pl_arena *arena, struct pl_scene *faces) {
  struct cut cuts[2] = {cut_of(page, 0), cut_of(page, 1)};
  if (cuts[0].left > cuts[0].right || cuts[1].left > cuts[1].right) return false;
  double width[2], height[2];
  for (int side = 0; side < 2; side++) {
    width[side] = cuts[side].right - cuts[side].left;
    height[side] = cuts[side].bottom - cuts[side].top;
  }
  bool beside = width[0] + GAP + width[1] <= BESIDE;
  double wide = beside ? width[0] + GAP + width[1] : fmax(width[0], width[1]);
  double high = beside ? fmax(height[0], height[1]) : height[0] + height[1];
  pl_scene_init(faces, arena, page->file, page->title, wide, high);
  faces->description = page->description;
  for (int side = 0; side < 2; side++) {
    double x = side == 1 && beside ? width[0] + GAP : 0, y = side == 1 && !beside ? height[0] : 0;
    copy(page, &cuts[side], faces, x - cuts[side].left, y - cuts[side].top);
  }
  return true;
}
