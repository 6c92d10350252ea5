/* What the rules of protection over time share. */
#include "rules/fuse_times_inner.h"

#include <math.h>

#include "rules/facts_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/fuse_gates.h"

const char *pl_fuse_family(const struct pl_device *fuse) {
  if (fuse->family[0] == '\0')
    return "blade";
  return fuse->family;
}

bool pl_fuse_has_times(const struct pl_device *fuse) {
  if (!pl_kind_is(fuse->kind, PL_HAS_FAMILY))
    return false;
  if (!(fuse->rating > 0))
    return false;
  return !isnan(pl_fuse_opens_within(pl_fuse_family(fuse), fuse->rating, fuse->rating));
}

const char *pl_say_seconds(const struct pl_check *check, double seconds) {
  if (seconds < 0.1)
    return pl_say(check->arena, 1000 * seconds, "ms");
  return pl_say(check->arena, seconds, "s");
}

pl_id pl_fuse_out(const struct pl_check *check, pl_id d, pl_id *in) {
  pl_id a = pl_pin_named(check->harness, d, "in");
  pl_id b = pl_pin_named(check->harness, d, "out");
  if (a == PL_NONE || b == PL_NONE)
    return PL_NONE;
  bool forward = pl_ways_feed(check, a) <= pl_ways_feed(check, b);
  *in = forward ? a : b;
  return forward ? b : a;
}
