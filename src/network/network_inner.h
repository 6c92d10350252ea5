/* Inside the network room: how a network is made and how a trial goes on.  tools/floors refuses it
 * to every other room. */
#ifndef PL_NETWORK_INNER_H
#define PL_NETWORK_INNER_H

#include "network/system.h"

/* ---- making: elements.c, device_elements.c, module.c, assemble.c ---- */

/* What the kind's row says the device is made of, and whatever is joined inside. */
void pl_network_add_device(struct pl_network *network, pl_id id);

void pl_network_build(struct pl_network *network);
uint32_t pl_network_add_node(struct pl_network *network, pl_id pin, pl_id device);
void pl_network_add_module(struct pl_network *network, pl_id device);

/* Its index; PL_NONE: it joins nothing. */
uint32_t
pl_network_add(struct pl_network *network, struct pl_element element, struct pl_drive drive);

/* An element of a device between two pins, not yet added. */
struct pl_element pl_element_at(const struct pl_network *network,
                                enum pl_element_kind kind,
                                pl_id device,
                                const char *what,
                                pl_id pin_a,
                                pl_id pin_b,
                                double ohms);

/* Nominal volts of a device. */
double pl_network_supply(const struct pl_harness *harness, const struct pl_device *device);

/* The first that is a number above 0. */
double pl_first_good(double first, double second);

/* islands.c: the node at 0 V, from batteries and wires; PL_NONE. */
uint32_t pl_islands_reference(const struct pl_network *network);

/* ---- a state's figures: condition.c, heat.c ---- */

/* The engine turns the alternator fast enough to charge. */
bool pl_trial_turning(const struct pl_trial *trial);

/* The state's conditions into the figures of the elements. */
void pl_trial_condition(struct pl_trial *trial);

/* Relays, modules and alternators as they start out. */
void pl_trial_start(struct pl_trial *trial);

/* `before`: the wire before it, NULL: none. */
struct pl_heat pl_heat_of(const struct pl_wire *wire,
                          const struct pl_wire *before,
                          const struct pl_heat *of_before);

/* Every wire as warm as its place. */
void pl_heat_begin(struct pl_trial *trial);

/* Temperatures and ohms after the amps; the largest relative change of ohms. */
double pl_heat_step(struct pl_trial *trial);

/* ---- steps: step.c ---- */

enum pl_step {
  PL_STEP_GOOD,
  PL_STEP_SINGULAR,
  PL_STEP_OPEN_SUM,
  PL_STEP_NO_MEMORY
};

/* Drives into figures and modes of all elements. */
void pl_trial_drive(struct pl_trial *trial);

/* One linear solve of the modes as they are. */
enum pl_step pl_trial_solve(struct pl_trial *trial);

/* The same after small changes of figures, on the factors that are there. */
enum pl_step pl_trial_again(struct pl_trial *trial);

/* Laws of steady power about the volts of now; the largest relative error that was. */
double pl_trial_tangents(struct pl_trial *trial);

/* Modes that disagree with the volts change: all of them, or the first; false: none did. */
bool pl_trial_flip(struct pl_trial *trial, bool all);

/* ---- answers: path.c, result.c ---- */

/* The node at the source's end of the way from a pin, see pl_solution_path; PL_NONE when no current
 * flows. */
uint32_t pl_path_end(const struct pl_network *network,
                     const struct pl_solution *solution,
                     pl_id pin,
                     bool to_minus);

void pl_solution_fill(const struct pl_trial *trial, struct pl_solution *solution);

/* Its arrays, where it has none. */
void pl_solution_room(const struct pl_network *network, struct pl_solution *solution);

/* Nothing is solved: everything floats. */
void pl_solution_blank(const struct pl_network *network, struct pl_solution *solution);

void pl_report_buzz(struct pl_trial *trial,
                    const bool *cycling,
                    bool race,
                    struct pl_findings *findings);
void pl_report_floating(struct pl_trial *trial, struct pl_findings *findings);
void pl_report_failure(struct pl_trial *trial, const char *why, struct pl_findings *findings);

#endif
