/* Data links: SAE J1939-11, -14, -15 and SAE J1708, as they were read; none of the texts themselves
 * was seen. */
#include "standard/data_link.h"

#include <strings.h>

#define SECOND "second hand"
#define MEMORY "from memory"

/* clang-format off */
const struct pl_data_link pl_data_links[] = {
    {"J1939-11", "SAE J1939-11", 250000, 40, 1, 30, 2, true, "SAE J1939-11 Oct 1999, title page", "SAE J1939-11, " SECOND, "SAE J1939-11, " SECOND,
     "SAE J1939-11, " SECOND, "SAE J1939-11, " SECOND ": 120 ohm at each end"},
    {"J1939-14", "SAE J1939-14", 500000, 40, 1.67, 30, 2, false, "SAE J1939-14, " MEMORY, "SAE J1939-14, " MEMORY, "SAE J1939-14, " MEMORY,
     "SAE J1939-14, " MEMORY, "SAE J1939-11, " SECOND ": 120 ohm at each end"},
    {"J1939-15", "SAE J1939-15", 250000, 40, 3, 10, 2, false, "SAE J1939-15, abstract", "SAE J1939-15, " SECOND, "SAE J1939-15, " MEMORY,
     "SAE J1939-15, " SECOND, "SAE J1939-11, " SECOND ": 120 ohm at each end"},
    {"J1708", "SAE J1708", 9600, 40, 40, 20, 0, false, "SAE J1708, " SECOND, "SAE J1708, " SECOND, "SAE J1708, " SECOND, "SAE J1708, " MEMORY,
     "SAE J1708, " SECOND ": its modules bring their own pull-ups, a resistor across the pair can stop it"},
};
/* clang-format on */
const uint32_t pl_data_link_count = sizeof pl_data_links / sizeof pl_data_links[0];

const struct pl_data_link pl_data_link_unsaid = {"",
                                                 "data link",
                                                 0,
                                                 40,
                                                 1,
                                                 10,
                                                 2,
                                                 false,
                                                 "",
                                                 "SAE J1939-11, " SECOND,
                                                 "SAE J1939-11, " SECOND,
                                                 "SAE J1939-15, " SECOND
                                                 "; 30 when it is J1939-11 or -14",
                                                 "SAE J1939-11, " SECOND ": 120 ohm at each end"};

uint32_t pl_data_link_find(const char *name) {
  for (uint32_t i = 0; i < pl_data_link_count; i++)
    if (strcasecmp(pl_data_links[i].name, name) == 0)
      return i;
  return UINT32_MAX;
}
