/* The SPICE writer: one line for each part of an element.  Must not compute volts or modes.  The
 * user's texts stand in comments only, where no line end can break out. */
#include "write/spice.h"

#include <stdio.h>

#include "base/number.h"

/* Text into a comment: anything that is not a printable character becomes '?'. */
static void put_comment_text(struct pl_buffer *out, const char *text) {
  for (; *text != '\0'; text++) {
    unsigned char c = (unsigned char)*text;
    char shown = c < 0x20 || c == 0x7f ? '?' : *text;
    pl_buffer_add(out, &shown, 1);
  }
}

struct numbers {
  uint32_t *of_node;
  uint32_t count;
}; /* SPICE's number of a node; PL_NONE = left out */

/* 0 for the reference, then 1, 2... in the order of the nodes. */
static struct numbers number_nodes(const struct pl_network *network,
                                   const struct pl_solution *solution,
                                   struct pl_arena *arena) {
  uint32_t nodes = pl_network_node_count(network);
  struct numbers numbers = {PL_NEW_ARRAY(arena, uint32_t, nodes), 0};

  for (uint32_t n = 0; n < nodes; n++) {
    bool joined = solution->node_volts[n] == solution->node_volts[n];
    if (n == pl_network_reference(network))
      numbers.of_node[n] = 0;
    else if (joined)
      numbers.of_node[n] = ++numbers.count;
    else
      numbers.of_node[n] = PL_NONE;
  }
  return numbers;
}

static void put_head(struct pl_buffer *out,
                     const struct pl_solution *solution,
                     const struct pl_harness *harness) {
  const struct pl_state *state = NULL;
  if (solution->state < harness->states.n)
    state = &harness->states.at[solution->state];

  pl_buffer_puts(out, "* ");
  put_comment_text(out, harness->machine.title);
  pl_buffer_puts(out, state != NULL ? ", state " : ", at rest");
  if (state != NULL)
    put_comment_text(out, state->name);
  pl_buffer_puts(out,
                 "\n* Every element as it settled: open contacts are left out, loads and limits "
                 "are what they are in this state.\n");
}

static void put_nodes(struct pl_buffer *out,
                      const struct pl_network *network,
                      const struct pl_solution *solution,
                      const struct numbers *numbers,
                      const struct pl_harness *harness) {
  uint32_t nodes = pl_network_node_count(network);
  char volts[PL_NUMBER_SIZE];

  pl_buffer_puts(out, "* node, volts, pin\n");
  for (uint32_t n = 0; n < nodes; n++) {
    pl_id pin = pl_network_node_pin(network, n);
    if (numbers->of_node[n] == PL_NONE)
      continue;
    pl_buffer_printf(out,
                     "* %u %s ",
                     numbers->of_node[n],
                     pl_number_print(volts, solution->node_volts[n], 9));
    put_comment_text(out, pin != PL_NONE ? harness->pins.at[pin].full : "(inside a module)");
    pl_buffer_puts(out, "\n");
  }
}

static void put_two_ends(struct pl_buffer *out,
                         const char *letter,
                         uint32_t number,
                         const char *a,
                         const char *b,
                         double value) {
  char text[PL_NUMBER_SIZE];

  pl_buffer_printf(out, "%s%u %s %s %s\n", letter, number, a, b, pl_number_exact(text, value));
}

static void put_element(struct pl_buffer *out,
                        uint32_t index,
                        const struct pl_element *e,
                        const struct numbers *numbers,
                        const struct pl_harness *harness) {
  char a[16], b[16], inside[16];
  const char *name;
  if (e->wire != PL_NONE)
    name = harness->wires.at[e->wire].number;
  else
    name = harness->devices.at[e->device].name;

  snprintf(a, sizeof a, "%u", numbers->of_node[e->node_a]);
  snprintf(b, sizeof b, "%u", numbers->of_node[e->node_b]);
  snprintf(inside,
           sizeof inside,
           "%u",
           numbers->count + 1 + index); /* numbers above those of the pins: free for inner points */
  pl_buffer_puts(out, "* ");
  put_comment_text(out, name);
  pl_buffer_printf(out, " %s\n", e->what);
  if (e->limited) {
    if (e->kind == PL_ELEMENT_SOURCE)
      put_two_ends(out, "I", index, b, a, e->limit);
    else
      put_two_ends(out, "I", index, a, b, e->limit);
  } else if (e->kind == PL_ELEMENT_SOURCE || e->kind == PL_ELEMENT_DIODE) {
    put_two_ends(out, "V", index, a, inside, e->volts);
    put_two_ends(out, "R", index, inside, b, e->ohms);
  } else {
    put_two_ends(out, "R", index, a, b, e->ohms);
  }
}

void pl_spice_write(struct pl_buffer *out,
                    const struct pl_network *network,
                    const struct pl_solution *solution,
                    const struct pl_harness *harness) {
  put_head(out, solution, harness);
  if (solution->status != PL_SOLVED) {
    pl_buffer_puts(out, "* This state is not solved: ");
    put_comment_text(out, solution->failure != NULL ? solution->failure : "");
    pl_buffer_puts(out, "\n.end\n");
    return;
  }
  struct numbers numbers = number_nodes(network, solution, out->arena);
  put_nodes(out, network, solution, &numbers, harness);
  for (uint32_t k = 0; k < solution->element_count; k++)
    if (!solution->elements[k].open)
      put_element(out, k, &solution->elements[k], &numbers, harness);
  pl_buffer_puts(out, ".op\n.end\n"); /* .op prints the volts of every node */
}
