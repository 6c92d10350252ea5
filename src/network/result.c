/* A settled trial into a solution, and what is reported of states that do not settle.  Computes no
 * modes. */
#include <math.h>
#include <string.h>

#include "network/network_inner.h"

static const double rounding = 1e-12; /* amps: less is rounding, and shown as none */

/* ---- solutions ---- */

void pl_solution_room(const struct pl_network *network, struct pl_solution *solution) {
  const struct pl_harness *harness = network->harness;
  struct pl_arena *arena = network->arena;

  if (solution->elements != NULL)
    return;
  solution->pin_volts = PL_NEW_ARRAY(arena, double, harness->pins.n);
  solution->node_volts = PL_NEW_ARRAY(arena, double, network->node_count);
  solution->wire_amps = PL_NEW_ARRAY(arena, double, harness->wires.n);
  solution->wire_ohms = PL_NEW_ARRAY(arena, double, harness->wires.n);
  solution->wire_temperature = PL_NEW_ARRAY(arena, double, harness->wires.n);
  solution->device_on = PL_NEW_ARRAY(arena, bool, harness->devices.n);
  solution->device_volts = PL_NEW_ARRAY(arena, double, harness->devices.n);
  solution->device_amps = PL_NEW_ARRAY(arena, double, harness->devices.n);
  solution->elements = PL_NEW_ARRAY(arena, struct pl_element, network->elements.n);
  solution->element_count = network->elements.n;
}

static double ohms_unsolved(const struct pl_network *network, pl_id wire) {
  uint32_t k = network->wire_element[wire];

  if (k != PL_NONE)
    return network->elements.at[k].ohms;
  return pl_wire_copper_ohms(&network->harness->wires.at[wire]);
}

void pl_solution_blank(const struct pl_network *network, struct pl_solution *solution) {
  const struct pl_harness *harness = network->harness;

  if (network->elements.n > 0)
    memcpy(solution->elements,
           network->elements.at,
           network->elements.n * sizeof *solution->elements);
  for (uint32_t i = 0; i < network->elements.n; i++)
    solution->elements[i].open = true;
  for (uint32_t i = 0; i < harness->pins.n; i++)
    solution->pin_volts[i] = NAN;
  for (uint32_t i = 0; i < network->node_count; i++)
    solution->node_volts[i] = NAN;
  for (uint32_t i = 0; i < harness->devices.n; i++) {
    solution->device_on[i] = false;
    solution->device_volts[i] = NAN;
    solution->device_amps[i] = 0;
  }
  for (uint32_t i = 0; i < harness->wires.n; i++) {
    solution->wire_amps[i] = 0;
    solution->wire_ohms[i] = ohms_unsolved(network, i);
    if (isfinite(harness->wires.at[i].hot))
      solution->wire_temperature[i] = harness->wires.at[i].hot;
    else
      solution->wire_temperature[i] = 20.0;
  }
}

/* Whichever way the current goes through them, it is the same to them. */
static const pl_properties without_sign =
    PL_IS_RELAY | PL_IS_RESISTANCE | PL_IS_BOND | PL_IS_PROTECTION;

/* What stands for the device as a whole: see network.h. */
static void fill_device(const struct pl_trial *trial, pl_id id, struct pl_solution *solution) {
  const struct pl_network *network = trial->network;
  enum pl_kind kind = network->harness->devices.at[id].kind;
  uint32_t k = network->main[id];

  solution->device_on[id] = trial->on[id];
  solution->device_volts[id] = NAN;
  solution->device_amps[id] = 0;
  if (pl_kind_is(kind, PL_IS_MODULE))
    solution->device_volts[id] =
        pl_trial_volts(trial, network->inner_feed[id], network->inner_ground[id]);
  if (k == PL_NONE)
    return;
  const struct pl_element *e = &solution->elements[k];
  solution->device_volts[id] = pl_trial_volts(trial, e->node_a, e->node_b);
  if (e->kind == PL_ELEMENT_SOURCE && e->amps != 0)
    solution->device_amps[id] = -e->amps;
  else
    solution->device_amps[id] = e->amps;
  if (pl_kind_is(kind, without_sign))
    solution->device_amps[id] = fabs(solution->device_amps[id]);
}

/* Devices of several like elements: a switch's busiest contact, all feeds of a module. */
static void fill_shared(const struct pl_network *network,
                        const struct pl_element *e,
                        struct pl_solution *solution) {
  if (e->device == PL_NONE)
    return;
  enum pl_kind kind = network->harness->devices.at[e->device].kind;
  double *amps = &solution->device_amps[e->device];

  if (pl_kind_is(kind, PL_IS_SETTABLE))
    *amps = fmax(*amps, fabs(e->amps));
  else if (pl_kind_is(kind, PL_IS_MODULE) && e->kind == PL_ELEMENT_CURRENT)
    *amps += e->amps;
}

void pl_solution_fill(const struct pl_trial *trial, struct pl_solution *solution) {
  const struct pl_network *network = trial->network;
  const struct pl_harness *harness = network->harness;

  solution->status = PL_SOLVED;
  solution->failure = NULL;
  solution->steps = trial->steps;
  solution->residual = trial->worst;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    struct pl_element *e = &solution->elements[k];
    bool joined = pl_trial_reaches(trial, e);
    e->open = !joined || trial->mode[k] == PL_MODE_OPEN || trial->mode[k] == PL_MODE_BLOCKS;
    e->limited = joined && trial->mode[k] == PL_MODE_STEADY;
    double amps = pl_trial_amps(trial, k);
    if (fabs(amps) < rounding)
      e->amps = 0;
    else
      e->amps = amps;
    if (e->limited && e->watts > 0)
      e->limit = amps;
  }
  for (uint32_t n = 0; n < network->node_count; n++)
    solution->node_volts[n] = trial->reached[n] ? trial->high[n] + trial->low[n] : NAN;
  for (uint32_t i = 0; i < harness->pins.n; i++)
    solution->pin_volts[i] = solution->node_volts[network->pin_node[i]];
  for (uint32_t i = 0; i < harness->wires.n; i++) {
    uint32_t k = network->wire_element[i];
    solution->wire_temperature[i] = trial->warm[i];
    if (k != PL_NONE)
      solution->wire_amps[i] = solution->elements[k].amps;
    else
      solution->wire_amps[i] = 0;
    if (k != PL_NONE)
      solution->wire_ohms[i] = solution->elements[k].ohms;
    else
      solution->wire_ohms[i] = ohms_unsolved(network, i);
  }
  for (uint32_t i = 0; i < harness->devices.n; i++)
    fill_device(trial, i, solution);
  for (uint32_t k = 0; k < network->elements.n; k++)
    fill_shared(network, &solution->elements[k], solution);
}

/* ---- findings ---- */

static const struct pl_device *device_at(const struct pl_trial *trial, pl_id id) {
  return &trial->network->harness->devices.at[id];
}

/* "K1", "K1 and K2", "K1, K2, K3, K4, K5 and 7 more". */
static const char *names_of(const struct pl_trial *trial,
                            const bool *cycling,
                            pl_id first,
                            bool *several,
                            struct pl_arena *arena) {
  struct pl_buffer names;
  uint32_t told = 0;
  uint32_t all = 0;

  pl_buffer_init(&names, arena);
  for (pl_id id = 0; id < trial->network->harness->devices.n; id++)
    all += cycling[id] ? 1 : 0;
  pl_buffer_puts(&names, device_at(trial, first)->name);
  for (pl_id id = first + 1; id < trial->network->harness->devices.n && told < 4; id++) {
    if (!cycling[id])
      continue;
    told++;
    pl_buffer_printf(&names, "%s%s", told + 1 == all ? " and " : ", ", device_at(trial, id)->name);
  }
  *several = all > 1;
  if (all > told + 1)
    pl_buffer_printf(&names, " and %u more", all - told - 1);
  return names.at;
}

void pl_report_buzz(struct pl_trial *trial,
                    const bool *cycling,
                    bool race,
                    struct pl_findings *findings) {
  pl_id first = 0;
  pl_id devices = trial->network->harness->devices.n;

  while (first < devices && !cycling[first])
    first++;
  if (findings == NULL || first == devices)
    return;
  if (trial->network->told[first])
    return;
  trial->network->told[first] = true;
  bool several;
  const char *names = names_of(trial, cycling, first, &several, findings->arena);
  const char *verb;
  verb = several ? "do" : "does";
  bool module = pl_kind_is(device_at(trial, first)->kind, PL_IS_MODULE);
  struct pl_finding finding = {.rule = "buzzing-relay",
                               .severity = PL_FAULT,
                               .span = device_at(trial, first)->span,
                               .place = device_at(trial, first)->name,
                               .state = trial->state->name,
                               .figure = NAN,
                               .limit = NAN};

  if (race) {
    finding.text = pl_arena_printf(findings->arena,
                                   "%s race: which of them moves first decides how this state ends",
                                   names);
    finding.remedy = "let one relay's contact block the other's coil on purpose, or feed them one "
                     "after the other";
  } else if (module) {
    finding.text = pl_arena_printf(
        findings->arena,
        "%s %s not come to rest: waking takes away what woke it, sleeping gives it back",
        names,
        verb);
    finding.remedy = "feed its keyed input from a point that its own draw and outputs do not pull "
                     "down or switch off";
  } else {
    finding.text = pl_arena_printf(findings->arena,
                                   "%s %s not come to rest: pulling in takes away the coil's own "
                                   "supply, dropping out gives it back",
                                   names,
                                   verb);
    finding.remedy = "look for its own break contact in the coil's way, or a feed so weak that the "
                     "switched load starves the coil";
  }
  pl_findings_add(findings, finding);
}

/* A battery or turning alternator whose part of the network nothing joins to the reference. */
void pl_report_floating(struct pl_trial *trial, struct pl_findings *findings) {
  const struct pl_network *network = trial->network;

  for (pl_id id = 0; findings != NULL && id < network->harness->devices.n; id++) {
    enum pl_kind kind = network->harness->devices.at[id].kind;
    if (!pl_kind_is(kind, PL_IS_SOURCE))
      continue;
    if (network->main[id] == PL_NONE)
      continue;
    if (network->told[id])
      continue;
    const struct pl_element *e = &trial->elements[network->main[id]];
    if (pl_kind_is(kind, PL_IS_GENERATOR) && !pl_trial_turning(trial))
      continue;
    if (trial->reached[e->node_a])
      continue;
    if (trial->reached[e->node_b])
      continue;
    network->told[id] = true;
    const struct pl_device *d = device_at(trial, id);
    pl_findings_add(
        findings,
        (struct pl_finding){
            .rule = "floating-source",
            .severity = PL_FAULT,
            .span = d->span,
            .place = d->name,
            .state = trial->state->name,
            .figure = NAN,
            .limit = NAN,
            .text = pl_arena_printf(findings->arena,
                                    "nothing joins %s to the earthed pole of the battery, so it "
                                    "can feed nothing and no volts can be "
                                    "told for what hangs on it",
                                    d->name),
            .remedy = "wire or bond its earthed pole to the common ground"});
  }
}

void pl_report_failure(struct pl_trial *trial, const char *why, struct pl_findings *findings) {
  const struct pl_network *network = trial->network;
  uint32_t node = trial->worst_node < network->node_count ? trial->worst_node : network->reference;
  pl_id pin = network->node_pin[node];
  const struct pl_device *d = device_at(trial, network->node_device[node]);
  const char *place;
  if (pin != PL_NONE)
    place = network->harness->pins.at[pin].full;
  else
    place = d->name;

  if (findings == NULL)
    return;
  pl_findings_add(
      findings,
      (struct pl_finding){.rule = "not-solved",
                          .severity = PL_FAULT,
                          .span = pin != PL_NONE ? network->harness->pins.at[pin].span : d->span,
                          .place = place,
                          .state = trial->state->name,
                          .figure = NAN,
                          .limit = NAN,
                          .text = pl_arena_printf(findings->arena,
                                                  "the network could not be solved near %s: %s; no "
                                                  "volts or amps are shown for this state",
                                                  place,
                                                  why),
                          .remedy = "check the resistances and amps given around that pin; very "
                                    "large next to very small ones cannot be told apart"});
}
