/* Charging: what the alternator has to carry, and what drains the battery at rest. */
#include <math.h>
#include <stdlib.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"

/* ---- charging ---- */

/* Batteries on the poles and alternators as one reading; false: too many for one. */
static bool supply_of(const struct pl_check *check, struct pl_reading *reading) {
  const struct pl_harness *h = check->harness;
  pl_id *const place[] = {&reading->a, &reading->b, &reading->c};
  uint32_t n = 0;
  *reading = (struct pl_reading){PL_READING_SUPPLY, PL_NONE, PL_NONE, PL_NONE};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    bool battery =
        pl_kind_is(device->kind, PL_IS_STORE) && check->facts->pole[pl_live_pin(h, device)] != 0;
    if (!battery && !pl_kind_is(device->kind, PL_IS_GENERATOR))
      continue;
    if (n == 3)
      return false;
    *place[n++] = d;
  }
  return n > 0;
}

/* What good parts make of a supply that gives too much. */
static const char *good_supply(const struct pl_check *check,
                               pl_id state,
                               double times,
                               double limit,
                               const char *unit) {
  struct pl_margin near = {.state = state, .times = times, .limit = limit};
  if (supply_of(check, &near.reading))
    return pl_say_good_end(check, near, unit);
  return "";
}

/* What the loads take in one state, and what the alternators can give. */
struct balance {
  double loads, can;
  double share; /* of `can` that may be taken, so that the battery gets the rest */
  bool posts;   /* there is a battery on the poles */
};

static struct balance balance_in(const struct pl_check *check, pl_id state) {
  const struct pl_harness *h = check->harness;
  bool idle = h->states.at[state].engine == PL_ENGINE_IDLE;
  struct balance balance = {.share = 1};
  if (!idle)
    balance.share = pl_limit_charge_share.value / 100;
  double gives = 0;
  double battery = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    double amps = check->solutions[state].device_amps[d];
    if (pl_kind_is(device->kind, PL_IS_GENERATOR)) {
      balance.can += idle ? device->idle_amps : device->speed_amps;
      gives += amps;
    }
    if (!pl_kind_is(device->kind, PL_IS_STORE))
      continue;
    if (check->facts->pole[pl_live_pin(h, device)] == 0)
      continue;
    battery += amps;
    balance.posts = true;
  }
  balance.loads = gives + battery;
  return balance;
}

void pl_rule_charge_balance(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id alternator = PL_NONE;
  for (pl_id d = 0; d < h->devices.n && alternator == PL_NONE; d++)
    if (pl_device_is(h, d, PL_IS_GENERATOR))
      alternator = d;
  if (alternator == PL_NONE)
    return;
  double worst = 0;
  double worst_loads = 0;
  double worst_can = 0;
  pl_id state = PL_NONE;
  for (pl_id s = 0; s < h->states.n; s++) {
    enum pl_engine engine = h->states.at[s].engine;
    if (!check->facts->live[s])
      continue;
    if (engine != PL_ENGINE_IDLE && engine != PL_ENGINE_SPEED)
      continue;
    struct balance now = balance_in(check, s);
    if (!(now.can > 0))
      continue;
    if (!now.posts)
      continue;
    if (!(now.loads > now.share * now.can))
      continue;
    if (!(now.loads / (now.share * now.can) > worst))
      continue;
    worst = now.loads / (now.share * now.can);
    worst_loads = now.loads;
    worst_can = now.can;
    state = s;
  }
  if (state == PL_NONE)
    return;
  bool empties = worst_loads > worst_can;
  bool idle = h->states.at[state].engine == PL_ENGINE_IDLE;
  const struct pl_device *device = &h->devices.at[alternator];
  struct pl_finding f = pl_finding_new("charge-balance",
                                       empties && !idle ? PL_FAULT : PL_ADVICE,
                                       device->span,
                                       device->name);
  f.state = pl_state_name(check, state);
  f.figure = worst_loads;
  if (idle)
    f.limit = worst_can;
  else
    f.limit = worst_can * pl_limit_charge_share.value / 100;
  f.unit = "A";
  f.text = pl_arena_printf(check->arena,
                           "the loads take %s, the alternator gives %s %s: %s%s",
                           pl_say(check->arena, worst_loads, "A"),
                           pl_say(check->arena, worst_can, "A"),
                           idle ? "at idle" : "at speed",
                           empties ? "the battery runs down while the engine runs"
                                   : "little is left to charge the battery",
                           good_supply(check, state, 1, f.limit, "A"));
  if (idle)
    f.remedy = "a larger alternator, a faster idle, or shed loads while idling";
  else
    f.remedy = "a larger alternator, or less load (lamps of less watts)";
  pl_findings_add(check->findings, f);
}

/* ---- key off ---- */

struct draw {
  double amps;
  pl_id device;
};

static int by_amps(const void *a, const void *b) {
  const struct draw *x = a;
  const struct draw *y = b;
  if (x->amps != y->amps)
    return x->amps > y->amps ? -1 : 1;
  return (x->device > y->device) - (x->device < y->device);
}

/* A declared state in which nothing is set: the machine parked.  Only a text that also has other
 * states shows that this is meant. */
static pl_id parked(const struct pl_harness *h) {
  pl_id found = PL_NONE;
  bool others = false;
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_state *state = &h->states.at[s];
    bool rest = state->engine == PL_ENGINE_STOPPED && state->settings.n == 0 &&
                state->outputs_on.n == 0 && state->set.n == 0 && isnan(state->battery_volts);
    if (rest && found == PL_NONE)
      found = s;
    if (!rest)
      others = true;
  }
  return others ? found : PL_NONE;
}

static const char *largest_draws(const struct pl_check *check, const struct pl_solution *solution) {
  const struct pl_harness *h = check->harness;
  struct draw *draws = PL_BY_DEVICE(check, struct draw);
  uint32_t n = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    enum pl_kind kind = h->devices.at[d].kind;
    double amps = fabs(solution->device_amps[d]);
    if (pl_kind_is(kind, PL_IS_LOAD | PL_IS_MODULE | PL_IS_RELAY | PL_IS_GAUGE) && amps > 1e-5)
      draws[n++] = (struct draw){amps, d};
  }
  qsort(draws, n, sizeof *draws, by_amps);
  const char *texts[4] = {0};
  for (uint32_t i = 0; i < n && i < 4; i++)
    texts[i] = pl_arena_printf(check->arena,
                               "%s %s",
                               h->devices.at[draws[i].device].name,
                               pl_say(check->arena, 1000 * draws[i].amps, "mA"));
  return pl_say_some(check, texts, n, 4);
}

void pl_rule_key_off_drain(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id state = parked(h);
  pl_id battery = PL_NONE;
  if (state == PL_NONE)
    return;
  if (check->solutions[state].status != PL_SOLVED)
    return;
  const struct pl_solution *solution = &check->solutions[state];
  double amps = 0;
  double hours = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_STORE))
      continue;
    if (check->facts->pole[pl_live_pin(h, device)] == 0)
      continue;
    if (battery == PL_NONE)
      battery = d;
    amps += solution->device_amps[d];
    hours += device->amp_hours;
  }
  if (battery == PL_NONE)
    return;
  if (!(1000 * amps > pl_limit_drain.value))
    return;
  struct pl_finding f = pl_finding_new("key-off-drain",
                                       PL_FAULT,
                                       h->devices.at[battery].span,
                                       h->devices.at[battery].name);
  f.state = pl_state_name(check, state);
  f.figure = 1000 * amps;
  f.limit = pl_limit_drain.value;
  f.unit = "mA";
  double days = hours * pl_limit_flat.value / 100 / amps / 24;
  const char *when;
  if (!(days > 0))
    when = "";
  else if (days < 1)
    when = pl_arena_printf(check->arena,
                           ": after %s it will not crank",
                           pl_say(check->arena, 24 * days, "hours"));
  else
    when = pl_arena_printf(check->arena,
                           ": after %s it will not crank",
                           pl_say(check->arena, days, "days"));
  f.text = pl_arena_printf(check->arena,
                           "with everything off the battery gives %s%s; most goes to %s%s",
                           pl_say(check->arena, f.figure, "mA"),
                           when,
                           largest_draws(check, solution),
                           good_supply(check, state, 1000, f.limit, "mA"));
  f.remedy = "move what draws to a keyed feed, or behind the battery disconnect";
  pl_findings_add(check->findings, f);
}
