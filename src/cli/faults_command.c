/* `pinloom faults`: what each single fault does in the declared states, and which of them defeat a
 * requirement.  The proving is src/prove's. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "cli/faults_command.h"
#include "prove/prove.h"

/* ---- the failure table ---- */

static bool same_effect(const struct pl_effect *a, const struct pl_effect *b) {
  if (strcmp(a->stops, b->stops) != 0)
    return false;
  if (strcmp(a->starts, b->starts) != 0)
    return false;
  if (strcmp(a->opens, b->opens) != 0)
    return false;
  if (strcmp(a->warns, b->warns) != 0)
    return false;
  return strcmp(a->misreads, b->misreads) == 0;
}

static void put_part(struct pl_buffer *out,
                     bool *first,
                     const char *before,
                     const char *list,
                     const char *after) {
  if (list[0] == '\0')
    return;
  pl_buffer_printf(out, "%s%s%s%s", *first ? "" : "; ", before, list, after);
  *first = false;
}

/* The states of one fault, those with the same effect on one line. */
static void put_fault(struct pl_buffer *out,
                      const struct pl_harness *harness,
                      const struct pl_effect *rows,
                      uint32_t count) {
  pl_buffer_printf(out, "%s\n", rows[0].what);
  for (uint32_t i = 0; i < count; i++) {
    bool told = false;
    bool first = true;
    for (uint32_t k = 0; k < i; k++)
      told = told || same_effect(&rows[k], &rows[i]);
    if (told)
      continue;
    pl_buffer_puts(out, "  ");
    for (uint32_t k = i; k < count; k++)
      if (same_effect(&rows[k], &rows[i]))
        pl_buffer_printf(out, "%s%s", k == i ? "" : ", ", harness->states.at[rows[k].state].name);
    pl_buffer_puts(out, ": ");
    if (!rows[i].solved) {
      pl_buffer_puts(out, "could not be solved\n");
      continue;
    }
    put_part(out, &first, "stops ", rows[i].stops, "");
    put_part(out, &first, "starts ", rows[i].starts, "");
    put_part(out, &first, "opens ", rows[i].opens, "");
    put_part(out, &first, "lights or sounds ", rows[i].warns, "");
    put_part(out, &first, "misreads: ", rows[i].misreads, "");
    pl_buffer_puts(out, "\n");
  }
}

static void put_effects(struct pl_buffer *out,
                        const struct pl_harness *harness,
                        const struct pl_solution *solutions,
                        const pl_effects *found) {
  pl_effects effects = *found;
  uint32_t faults = 0;
  uint32_t unsolved = 0;

  pl_buffer_puts(out,
                 "What each single fault does, state by state; a fault or state that is not here "
                 "changes nothing.\n"
                 "Amps are those before a fuse named under `opens` has opened.\n\n");
  for (pl_id i = 0; i < harness->states.n; i++) {
    if (solutions[i].status == PL_SOLVED)
      continue;
    pl_buffer_printf(out,
                     "State %s is left out: %s\n",
                     harness->states.at[i].name,
                     solutions[i].failure);
    unsolved++;
  }
  for (uint32_t i = 0, n; i < effects.n; i += n, faults++) {
    for (n = 1; i + n < effects.n && strcmp(effects.at[i].what, effects.at[i + n].what) == 0; n++) {
    }
    put_fault(out, harness, &effects.at[i], n);
  }
  if (faults == 0 && unsolved < harness->states.n)
    pl_buffer_puts(out, "No single fault changes anything in a declared state.\n");
}

static bool joins(const struct pl_wire *wire) {
  return wire->status != PL_WIRE_DONOR_REMOVED && wire->status != PL_WIRE_DONOR_CAPPED &&
         wire->end[0] != PL_NONE && wire->end[1] != PL_NONE;
}

static bool
carries(const struct pl_harness *harness, const struct pl_solution *solutions, pl_id wire) {
  static const double least = 1e-3; /* amps: what listens takes less */
  for (pl_id s = 0; s < harness->states.n; s++)
    if (solutions[s].status == PL_SOLVED && fabs(solutions[s].wire_amps[wire]) > least)
      return true;
  return false;
}

static void put_wires(struct pl_buffer *out,
                      const struct pl_harness *harness,
                      const bool *listed,
                      const char *head) {
  bool first = true;
  for (pl_id w = 0; w < harness->wires.n; w++) {
    const struct pl_wire *wire = &harness->wires.at[w];
    if (!listed[w])
      continue;
    if (first)
      pl_buffer_printf(out, "\n%s\n", head);
    first = false;
    pl_buffer_printf(out,
                     "  wire %s, %s to %s\n",
                     wire->number,
                     harness->pins.at[wire->end[0]].full,
                     harness->pins.at[wire->end[1]].full);
  }
}

/* Wires that can be open and no row above says so: another one does their work, or no declared
 * state uses them. */
static void put_redundant(struct pl_buffer *out,
                          const struct pl_harness *harness,
                          const struct pl_solution *solutions,
                          const pl_effects *effects,
                          struct pl_arena *arena) {
  bool *redundant = PL_NEW_ARRAY(arena, bool, (size_t)harness->wires.n + 1);
  bool *unused = PL_NEW_ARRAY(arena, bool, (size_t)harness->wires.n + 1);
  bool *matters = PL_NEW_ARRAY(arena, bool, (size_t)harness->wires.n + 1);
  for (uint32_t i = 0; i < effects->n; i++) {
    const struct pl_fault *fault = &effects->at[i].fault;
    if (fault->kind == PL_FAULT_OPEN && fault->wire != PL_NONE)
      matters[fault->wire] = true;
  }
  for (pl_id w = 0; w < harness->wires.n; w++) {
    if (matters[w] || !joins(&harness->wires.at[w]))
      continue;
    if (carries(harness, solutions, w))
      redundant[w] = true;
    else
      unused[w] = true;
  }
  put_wires(
      out,
      harness,
      redundant,
      "Redundant: with one of these wires open everything still works in the declared states");
  put_wires(out,
            harness,
            unused,
            "No declared state needs these wires: another state would show what they are for");
}

/* ---- requirements ---- */

static bool is_told(const pl_effect_rows *rows, const char *what) {
  for (uint32_t k = 0; k < rows->n; k++)
    if (strcmp(rows->at[k]->what, what) == 0)
      return true;
  return false;
}

/* Faults that no declared state shows: in its other positions the machine goes another way. */
static void put_switched_off_elsewhere(struct pl_buffer *out,
                                       struct pl_proof *proof,
                                       uint32_t require,
                                       const pl_effect_rows *told) {
  pl_defeats defeats = {0};
  struct pl_covered covered;
  uint32_t undecided;

  pl_prove_defeats(proof, require, &defeats, &covered, &undecided);
  for (uint32_t k = 0; k < defeats.n; k++)
    if (!is_told(told, defeats.at[k].fault_text))
      pl_buffer_printf(out, "  %s: with %s\n", defeats.at[k].fault_text, defeats.at[k].combination);
  if (undecided > 0)
    pl_buffer_printf(out, "  %u more not proven: %s\n", undecided, covered.why);
}

/* What must be on goes off with much: one line for each, in the order of the text. */
static void put_switched_off(struct pl_buffer *out,
                             const struct pl_harness *harness,
                             struct pl_proof *proof,
                             const pl_effects *effects) {
  bool head = false;

  for (uint32_t i = 0; i < harness->requires.n; i++) {
    pl_effect_rows rows = {0};
    if (!harness->requires.at[i].on)
      continue;
    pl_prove_switches_off(proof, i, effects, &rows);
    if (!head)
      pl_buffer_puts(out,
                     "\nSingle faults that switch off what must be on, in declared states and in "
                     "other positions\n");
    head = true;
    pl_buffer_puts(out, "\n");
    pl_buffer_printf(out, "%s\n", pl_prove_require_text(harness, i, out->arena));
    if (rows.n == 0)
      pl_buffer_puts(out, "  none in a declared state\n");
    for (uint32_t k = 0; k < rows.n; k++)
      pl_buffer_printf(out,
                       "  %s: in state %s\n",
                       rows.at[k]->what,
                       harness->states.at[rows.at[k]->state].name);
    put_switched_off_elsewhere(out, proof, i, &rows);
  }
}

static void
put_defeats(struct pl_buffer *out, const struct pl_harness *harness, struct pl_proof *proof) {
  bool head = false;

  for (uint32_t i = 0; i < harness->requires.n; i++) {
    pl_defeats defeats = {0};
    struct pl_covered covered;
    uint32_t undecided;
    if (harness->requires.at[i].on)
      continue;
    pl_prove_defeats(proof, i, &defeats, &covered, &undecided);
    if (!head)
      pl_buffer_puts(
          out,
          "\nSingle faults that defeat a requirement, with the positions in which they do\n");
    head = true;
    pl_buffer_puts(out, "\n");
    pl_buffer_printf(out, "%s\n", pl_prove_require_text(harness, i, out->arena));
    for (uint32_t k = 0; k < defeats.n; k++)
      pl_buffer_printf(out, "  %s: %s\n", defeats.at[k].fault_text, defeats.at[k].combination);
    if (defeats.n == 0)
      pl_buffer_puts(out, "  none\n");
    if (undecided > 0)
      pl_buffer_printf(out, "  %u more not proven: %s\n", undecided, covered.why);
  }
}

void pl_faults_write(struct pl_buffer *out,
                     const struct pl_harness *harness,
                     struct pl_network *network,
                     const struct pl_solution *solutions,
                     struct pl_arena *arena) {
  struct pl_proof *proof = pl_proof_new(harness, network, solutions, arena);

  pl_effects effects = {0};

  pl_prove_effects(proof, &effects);
  put_effects(out, harness, solutions, &effects);
  put_redundant(out, harness, solutions, &effects, arena);
  put_switched_off(out, harness, proof, &effects);
  put_defeats(out, harness, proof);
}
