/* References: the boxes that say where a conductor goes on. */
#ifndef PL_CIRCUIT_REFER_INNER_H
#define PL_CIRCUIT_REFER_INNER_H

#include "circuit/page_inner.h"

#define PL_PLACE_TEXT "page 88, col. 88"
const char *pl_refer_place(const struct pl_page *page,
                           uint32_t far_port);            /* "col. 4", "page 2, col. 4" */
uint32_t pl_refer_line_count(const struct pl_spot *spot); /* 0: no reference */
double pl_refer_height(const struct pl_spot *spot);
double pl_refer_width(const struct pl_page *page, const struct pl_spot *spot);
void pl_refer_draw(const struct pl_page *page,
                   const struct pl_spot *spot,
                   double x,
                   double y,
                   struct pl_scene *scene);
/* Two lines of text without a box: "from power", "wire 3, col. 4". */
double pl_refer_plain_width(const struct pl_page *page, pl_id wire, const char *word);
void pl_refer_plain(const struct pl_page *page,
                    pl_id wire,
                    const char *word,
                    double x,
                    double y,
                    struct pl_scene *scene);

#endif
