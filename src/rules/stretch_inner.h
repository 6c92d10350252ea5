/* A stretch of wiring: all that hangs together with a pin and is no pole of a source; where it
 * breaks off, and what on the other side leads to nothing.  Private to this room. */
#ifndef PL_RULES_STRETCH_INNER_H
#define PL_RULES_STRETCH_INNER_H

#include "rules/facts_inner.h"

/* Current goes in at one pin and out at another, and nothing is done by it: fuses, contacts,
 * diodes, resistors, plugs in the loom.  An empty pin of such a device is a break. */
bool pl_passes_on(enum pl_kind kind);

/* Walks from `end` towards what should feed or ground it, through contacts in any position, up to
 * the poles; by pin, `seen` becomes `id`.  The pins in order into `queue`, which has room for all
 * pins; how many. */
uint32_t
pl_stretch(const struct pl_check *check, pl_id end, uint32_t id, uint32_t *seen, pl_id *queue);

/* Where a wire is missing in a stretch: an empty pin of what should pass current on (a fuse, a
 * cavity, a contact), else a joint with one wire, else the joint at which most wires meet, else the
 * last pin. */
pl_id pl_stretch_gap(const struct pl_check *check, const pl_id *queue, uint32_t n);

/* The end of a way that comes from that pole and leads to nothing: the empty side of a fuse, diode
 * or plug whose other side is joined to the pole, or a splice with one wire (a stud waits for
 * more).  PL_NONE when there is
 * none or more than one. */
pl_id pl_loose_end(const struct pl_check *check, uint8_t pole);

#endif
