/* What a pin is there for, as the duty rules need it: by net, which roles of modules meet there.
 * Private to this room. */
#ifndef PL_RULES_DUTY_INNER_H
#define PL_RULES_DUTY_INNER_H

#include "rules/facts_inner.h"

#define PL_ROLE_BIT(role) (UINT32_C(1) << (role))

enum {
  PL_ROLES_INPUT = 1 << PL_ROLE_SIGNAL_INPUT | 1 << PL_ROLE_SWITCH_INPUT,
  PL_ROLES_OUTPUT = 1 << PL_ROLE_HIGH_SIDE | 1 << PL_ROLE_LOW_SIDE,
  PL_ROLES_DATA = 1 << PL_ROLE_DATA_HIGH | 1 << PL_ROLE_DATA_LOW,
  PL_ROLES_BACK = 1 << PL_ROLE_SENSOR_RETURN | 1 << PL_ROLE_GROUND
};

struct pl_duties {
  const uint32_t *roles; /* by pin, of its net: PL_ROLE_BIT of the module pins there */
  const pl_id *head;     /* by net: its first module pin with a role; PL_NONE */
  const pl_id *next;     /* by pin: the next such pin of its net */
};

struct pl_duties pl_duties_of(const struct pl_check *check);

/* The first module pin on the net of `pin` with one of these roles, of that module (PL_NONE: of
 * any); PL_NONE. */
pl_id pl_duty_pin(const struct pl_check *check,
                  const struct pl_duties *duties,
                  pl_id pin,
                  uint32_t roles,
                  pl_id module);

#endif
