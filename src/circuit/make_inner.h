/* What the maker of pieces (pieces.c) is helped by. */
#ifndef PL_CIRCUIT_MAKE_INNER_H
#define PL_CIRCUIT_MAKE_INNER_H

#include "circuit/pieces_inner.h"

#define PL_PIECE_TEXT_WIDTH 21.0 /* mm: beside a symbol */

/* ---- wire_ends.c ---- */

/* What the end of a wire at this pin is; at PL_NONE, an end in the air, a port. */
struct pl_wire_end pl_wire_end_of(const struct pl_paths *paths, pl_id pin);
/* Both ends of a wire, and its upper one. */
void pl_wire_ends_find(struct pl_paths *paths, struct pl_path_wire *wire);

/* ---- piece_texts.c ---- */

const char *pl_piece_ohms(struct pl_paths *paths, double ohms);
/* What gives a controller its ohms; a gauge's sender shows no figure. */
bool pl_piece_is_sensor(enum pl_kind kind);
/* Left out when it is empty or when there is no room. */
void pl_piece_add_line(struct pl_piece *piece, const char *text);
/* The designation, at most `most` lines of purpose, and the figure if asked for. */
void pl_piece_add_texts(struct pl_paths *paths,
                        struct pl_piece *piece,
                        double width,
                        uint32_t most,
                        bool value);

#endif
