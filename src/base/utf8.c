/* UTF-8 after RFC 3629: shortest form only, no surrogates, nothing above U+10FFFF.  Widths after
 * Unicode 14.0 (utf8_widths.def). */
#include "base/utf8.h"

struct range {
  uint32_t first, last;
};

static const struct range zero_ranges[] = {
#define ZERO(first, last) {first, last},
#define WIDE(first, last)
#include "base/utf8_widths.def"
#undef ZERO
#undef WIDE
};

static const struct range wide_ranges[] = {
#define ZERO(first, last)
#define WIDE(first, last) {first, last},
#include "base/utf8_widths.def"
#undef ZERO
#undef WIDE
};

/* Bytes of the character that begins with this one, which is not ASCII; 0: none does. */
static size_t length_of(unsigned char first) {
  if (first < 0xc0 || first >= 0xf8)
    return 0;
  if (first < 0xe0)
    return 2;
  return first < 0xf0 ? 3 : 4;
}

static bool is_surrogate(uint32_t value) {
  return value >= 0xd800 && value <= 0xdfff;
}

size_t pl_utf8_decode(const char *text, size_t n, uint32_t *code) {
  static const uint32_t smallest[5] = {0, 0, 0x80, 0x800, 0x10000};
  const unsigned char *at = (const unsigned char *)text;
  size_t length;
  uint32_t value;

  if (n == 0)
    return 0;
  if (at[0] < 0x80) {
    *code = at[0];
    return 1;
  }
  length = length_of(at[0]);
  if (length == 0 || length > n)
    return 0;
  value = at[0] & (0xffu >> (length + 1));
  for (size_t i = 1; i < length; i++) {
    if ((at[i] & 0xc0) != 0x80)
      return 0;
    value = value << 6 | (at[i] & 0x3f);
  }
  if (value < smallest[length])
    return 0;
  if (value > 0x10ffff || is_surrogate(value))
    return 0;
  *code = value;
  return length;
}

size_t pl_utf8_check(const char *text, size_t n) {
  size_t at = 0;

  while (at < n) {
    uint32_t code;
    size_t took = pl_utf8_decode(text + at, n - at, &code);

    if (took == 0)
      return at;
    at += took;
  }
  return n;
}

static bool is_in(const struct range *ranges, size_t n, uint32_t code) {
  size_t low = 0;
  size_t high = n;

  while (low < high) {
    size_t middle = low + (high - low) / 2;

    if (code > ranges[middle].last)
      low = middle + 1;
    else if (code < ranges[middle].first)
      high = middle;
    else
      return true;
  }
  return false;
}

int pl_utf8_width(uint32_t code) {
  if (code < 0x300)
    return 1;
  if (is_in(zero_ranges, sizeof zero_ranges / sizeof zero_ranges[0], code))
    return 0;
  if (is_in(wide_ranges, sizeof wide_ranges / sizeof wide_ranges[0], code))
    return 2;
  return 1;
}

bool pl_utf8_is_control(uint32_t code) {
  if (code < 0x20)
    return true;
  if (code >= 0x7f && code < 0xa0)
    return true;
  return code == 0x2028 || code == 0x2029;
}

bool pl_utf8_turns_text(uint32_t code) {
  if (code == 0x061c || code == 0x200e || code == 0x200f)
    return true;
  if (code >= 0x202a && code <= 0x202e)
    return true;
  return code >= 0x2066 && code <= 0x2069;
}
