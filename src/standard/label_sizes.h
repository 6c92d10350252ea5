/* Sizes of labels: shrink sleeves that go over a wire, flags that fold around it. */
#ifndef PL_STANDARD_LABEL_SIZES_H
#define PL_STANDARD_LABEL_SIZES_H

#include <stdint.h>

struct pl_sleeve {
  double supplied, recovered; /* mm inside, before and after shrinking */
  const char *source;
};
extern const struct pl_sleeve pl_sleeves[]; /* smallest first */
extern const uint32_t pl_sleeve_count;

/* The smallest sleeve that slips over a wire of `outside` mm with its margin and grips it after
 * shrinking; UINT32_MAX when none does. */
uint32_t pl_sleeve_for(double outside);

/* mm; each with its source in label.c. */
extern const double pl_label_text_height;          /* of the characters, at least */
extern const double pl_flag_width, pl_flag_height; /* one of the two halves of a flag */
extern const double pl_code_module; /* a square of a QR code that a phone reads at hand distance */

#endif
