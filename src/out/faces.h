/* The faces of a connector without the page around them, for the head of its table. */
#ifndef PL_OUT_FACES_H
#define PL_OUT_FACES_H

#include "draw/scene.h"

/* Cuts wire side and mating side out of a connector's page and sets them beside or, when they are wide, above each
 * other, at the page's scale.  False when the page shows no cavities. */
bool pl_faces_cut(const struct pl_scene *page, struct pl_arena *arena, struct pl_scene *faces);

#endif
