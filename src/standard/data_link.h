/* The kinds of data link that a circuit can name, and what each bears.  Lengths in metres. */
#ifndef PL_STANDARD_DATA_LINK_H
#define PL_STANDARD_DATA_LINK_H

#include <stdbool.h>
#include <stdint.h>

struct pl_data_link {
  const char *name;      /* as typed: "J1939-15" */
  const char *title;     /* "SAE J1939-15" */
  double bits;           /* a second */
  double backbone, stub; /* between the terminators; off the line */
  uint32_t nodes, terminators;
  bool shield; /* its pair is shielded */
  const char *bits_source, *backbone_source, *stub_source, *nodes_source, *terminator_source;
};
extern const struct pl_data_link pl_data_links[];
extern const uint32_t pl_data_link_count;
/* What is taken for a link whose kind is not said: what all kinds of SAE J1939 bear. */
extern const struct pl_data_link pl_data_link_unsaid;
uint32_t pl_data_link_find(const char *name); /* row, or UINT32_MAX; letter case does not matter */

#endif
