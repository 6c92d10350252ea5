/* Data links: SAE J1939-11, -14, -15 and SAE J1708, as they were read; none of the texts themselves
 * was seen. */
#include "standard/data_link.h"

#include <strings.h>

#define SECOND "second hand"
#define MEMORY "from memory"

const struct pl_data_link pl_data_links[] = {
    {.name = "J1939-11",
     .title = "SAE J1939-11",
     .bits = 250000,
     .backbone = 40,
     .stub = 1,
     .nodes = 30,
     .terminators = 2,
     .shield = true,
     .bits_source = "SAE J1939-11 Oct 1999, title page",
     .backbone_source = "SAE J1939-11, " SECOND,
     .stub_source = "SAE J1939-11, " SECOND,
     .nodes_source = "SAE J1939-11, " SECOND,
     .terminator_source = "SAE J1939-11, " SECOND ": 120 ohm at each end"},
    {.name = "J1939-14",
     .title = "SAE J1939-14",
     .bits = 500000,
     .backbone = 40,
     .stub = 1.67,
     .nodes = 30,
     .terminators = 2,
     .shield = false,
     .bits_source = "SAE J1939-14, " MEMORY,
     .backbone_source = "SAE J1939-14, " MEMORY,
     .stub_source = "SAE J1939-14, " MEMORY,
     .nodes_source = "SAE J1939-14, " MEMORY,
     .terminator_source = "SAE J1939-11, " SECOND ": 120 ohm at each end"},
    {.name = "J1939-15",
     .title = "SAE J1939-15",
     .bits = 250000,
     .backbone = 40,
     .stub = 3,
     .nodes = 10,
     .terminators = 2,
     .shield = false,
     .bits_source = "SAE J1939-15, abstract",
     .backbone_source = "SAE J1939-15, " SECOND,
     .stub_source = "SAE J1939-15, " MEMORY,
     .nodes_source = "SAE J1939-15, " SECOND,
     .terminator_source = "SAE J1939-11, " SECOND ": 120 ohm at each end"},
    {.name = "J1708",
     .title = "SAE J1708",
     .bits = 9600,
     .backbone = 40,
     .stub = 40,
     .nodes = 20,
     .terminators = 0,
     .shield = false,
     .bits_source = "SAE J1708, " SECOND,
     .backbone_source = "SAE J1708, " SECOND,
     .stub_source = "SAE J1708, " SECOND,
     .nodes_source = "SAE J1708, " MEMORY,
     .terminator_source =
         "SAE J1708, " SECOND ": its modules bring their own pull-ups, a resistor across the "
         "pair can stop it"},
};
const uint32_t pl_data_link_count = sizeof pl_data_links / sizeof pl_data_links[0];

const struct pl_data_link pl_data_link_unsaid = {
    .name = "",
    .title = "data link",
    .bits = 0,
    .backbone = 40,
    .stub = 1,
    .nodes = 10,
    .terminators = 2,
    .shield = false,
    .bits_source = "",
    .backbone_source = "SAE J1939-11, " SECOND,
    .stub_source = "SAE J1939-11, " SECOND,
    .nodes_source = "SAE J1939-15, " SECOND "; 30 when it is J1939-11 or -14",
    .terminator_source = "SAE J1939-11, " SECOND ": 120 ohm at each end"};

uint32_t pl_data_link_find(const char *name) {
  for (uint32_t i = 0; i < pl_data_link_count; i++)
    if (strcasecmp(pl_data_links[i].name, name) == 0)
      return i;
  return UINT32_MAX;
}
