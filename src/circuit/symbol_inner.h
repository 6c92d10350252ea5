/* Symbols of the current-path pages: between measuring (symbol_size.c) and drawing (symbol_draw.c).
 */
#ifndef PL_CIRCUIT_SYMBOL_INNER_H
#define PL_CIRCUIT_SYMBOL_INNER_H

#include "circuit/page_inner.h"

/* mm: of a lead; of a lead into a box; of the stub at a bare pin; between supply lines. */
#define PL_SYMBOL_LEAD 3.2
#define PL_SYMBOL_BOX_LEAD 1.2
#define PL_SYMBOL_STUB 1.2
#define PL_SYMBOL_RAIL_PITCH 5.5
#define PL_SYMBOL_INSET 2.4 /* texts inside a box begin this far left of their pin */

/* Fills in what a part takes: its height, and the width of its cells. */
void pl_symbol_measure(struct pl_page *page, uint32_t part);
void pl_symbol_draw(struct pl_page *page, uint32_t part, struct pl_scene *scene);
double pl_symbol_rail_y(const struct pl_page *page, const char *rail);

/* ---- texts at a symbol, measured and drawn by the same rules ---- */

/* NULL for an end made for this page, which is drawn as a joint. */
const struct pl_piece *pl_symbol_piece(const struct pl_page *page, const struct pl_part *part);
enum pl_sign pl_symbol_sign(const struct pl_page *page, const struct pl_part *part);
bool pl_symbol_is_relay(const struct pl_page *page, const struct pl_part *part);
const char *pl_symbol_pin_label(const struct pl_page *page, pl_id pin);
double pl_symbol_lines_width(const struct pl_part *part);
double pl_symbol_lines_height(const struct pl_part *part);
/* What a pin does, in at most two lines. */
uint32_t pl_symbol_function_lines(const struct pl_page *page, pl_id pin, const char **lines);
/* Lines inside a box along one edge: the pin's name, then its function. */
uint32_t pl_symbol_side_lines(const struct pl_page *page, const uint32_t *spots, uint32_t n);
/* A wire at the other half of a relay, which is drawn in another circuit; PL_NONE. */
pl_id pl_symbol_twin_wire(const struct pl_page *page, const struct pl_piece *piece);
const char *pl_symbol_twin_word(const struct pl_piece *piece);
/* Lines that say where the other half of a relay stands. */
uint32_t pl_symbol_twin_lines(const struct pl_page *page, const struct pl_part *part);
/* One contact: its texts stand beside it, else above the bar. */
bool pl_symbol_is_beside(const struct pl_piece *piece);
const char *pl_symbol_position_words(const struct pl_page *page, const struct pl_piece *piece);
const char *pl_symbol_feeder_word(const struct pl_part *part);

#endif
