/* phases FILE [REPEATS [solve]]: processor time of every step of `solve` and `check` on one
 * harness.  Medians of the repeats, each from fresh memory. Bare KLU (AMD ordering: analyse,
 * factor, solve once) is given the finished matrix of the same state, so two solves stand beside
 * it: the whole state, in which the warmth of wires and their currents are found together, matrix
 * by matrix; and one matrix alone, the wires as warm as that came out, which is what KLU and others
 * solve.  Both check Kirchhoff's law and fill the solution.  A measuring tool for the bench. */
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/klu.h>
#include <time.h>

#include "base/pages.h"
#include "model/build.h"
#include "network/system.h" /* to hold the wires' temperatures */
#include "rules/rules.h"
#include "write/solution_json.h"

enum step {
  BUILD,
  NETWORK,
  SOLVE,
  LINEAR,
  PRINT,
  OTHERS,
  RULES,
  PROOFS,
  FAULTS,
  KLU,
  STEPS
};
enum {
  REPEATS_MOST = 1000
};

static const char *const names[STEPS] = {"read and build",
                                         "make the network",
                                         "solve one state",
                                         "solve it at known temperatures",
                                         "print it as JSON",
                                         "solve the other states",
                                         "rules, no proofs",
                                         "sneak paths, keyed nets, requirements",
                                         "requirements under single faults",
                                         "bare KLU on the matrix of that state"};

static double took[STEPS][REPEATS_MOST];

static void no_memory(void *context) {
  longjmp(*(jmp_buf *)context, 1);
}

static double now(void) {
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static int by_value(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* ---- bare KLU ---- */

struct matrix {
  int n, *start, *row;
  double *value, *right;
};

struct entry {
  int column, row;
  double value;
};

static int by_place(const void *a, const void *b) {
  const struct entry *x = a, *y = b;
  return x->column != y->column ? (x->column > y->column) - (x->column < y->column)
                                : (x->row > y->row) - (x->row < y->row);
}

static void push(struct entry *entries, int *count, int column, int row, double value) {
  if (column >= 0 && row >= 0)
    entries[(*count)++] = (struct entry){column, row, value};
}

/* The nodal matrix of the state as it settled: what conducts, by its ohms; nodes that float are
 * held at 0 V. */
static void make_matrix(const struct pl_network *network,
                        const struct pl_solution *solution,
                        struct pl_arena *arena,
                        struct matrix *m) {
  int nodes = (int)pl_network_node_count(network), reference = (int)pl_network_reference(network),
      count = 0;
  struct entry *entries =
      PL_NEW_ARRAY(arena, struct entry, 4 * (size_t)solution->element_count + (size_t)nodes);
  m->n = nodes - 1;
  m->right = PL_NEW_ARRAY(arena, double, (size_t)nodes);
  for (int i = 0; i < m->n; i++)
    push(entries, &count, i, i, 0);
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    int a = (int)e->node_a, b = (int)e->node_b;
    if (e->open || e->limited || a == b)
      continue;
    double g = 1 / e->ohms;
    int i = a == reference ? -1 : a - (a > reference),
        j = b == reference ? -1 : b - (b > reference);
    push(entries, &count, i, i, g);
    push(entries, &count, j, j, g);
    push(entries, &count, i, j, -g);
    push(entries, &count, j, i, -g);
    if (e->kind == PL_ELEMENT_SOURCE && i >= 0)
      m->right[i] += g * e->volts;
    if (e->kind == PL_ELEMENT_SOURCE && j >= 0)
      m->right[j] -= g * e->volts;
  }
  qsort(entries, (size_t)count, sizeof *entries, by_place);
  m->start = PL_NEW_ARRAY(arena, int, (size_t)nodes + 1);
  m->row = PL_NEW_ARRAY(arena, int, (size_t)count);
  m->value = PL_NEW_ARRAY(arena, double, (size_t)count);
  int used = 0;
  for (int i = 0; i < count; i++) {
    bool same =
        i > 0 && entries[i].column == entries[i - 1].column && entries[i].row == entries[i - 1].row;
    if (!same)
      m->row[used++] = entries[i].row;
    m->value[used - 1] += entries[i].value;
    m->start[entries[i].column + 1] = used;
  }
  for (int i = 0; i < m->n; i++)
    for (int k = m->start[i]; k < m->start[i + 1]; k++)
      if (m->row[k] == i && m->value[k] == 0)
        m->value[k] = 1;
}

static bool bare_klu(struct matrix *m) {
  klu_common common;
  klu_defaults(&common);
  common.ordering = 0;
  common.btf = 0;
  klu_symbolic *symbolic = klu_analyze(m->n, m->start, m->row, &common);
  klu_numeric *numeric =
      symbolic == NULL ? NULL : klu_factor(m->start, m->row, m->value, symbolic, &common);
  bool good = numeric != NULL && klu_solve(symbolic, numeric, m->n, 1, m->right, &common);
  if (numeric != NULL)
    klu_free_numeric(&numeric, &common);
  if (symbolic != NULL)
    klu_free_symbolic(&symbolic, &common);
  return good;
}

/* ---- the steps ---- */

static enum step step_of(const struct pl_rule *rule) {
  static const char *const proofs[] = {"sneak-path", "keyed-node-live", "require-broken"};
  if (strcmp(rule->name, "require-defeated") == 0)
    return FAULTS;
  for (size_t i = 0; i < sizeof proofs / sizeof proofs[0]; i++)
    if (strcmp(rule->name, proofs[i]) == 0)
      return PROOFS;
  return RULES;
}

static void run_rules(struct pl_check *check, int repeat) {
  for (enum step step = RULES; step <= FAULTS; step++) {
    double start = now();
    if (step == RULES)
      pl_rules_begin(check);
    for (uint32_t i = 0; i < pl_rule_count; i++)
      if (step_of(&pl_rules[i]) == step)
        pl_rule_run(check, i);
    took[step][repeat] = now() - start;
  }
}

/* The same state from the network on, its wires held at the temperatures of the solution. */
static void solve_linear(const struct pl_harness *harness,
                         struct pl_arena *arena,
                         const struct pl_solution *warm,
                         int repeat) {
  struct pl_network *network = pl_network_new(harness, arena);
  struct pl_solution solution;
  double start = now();
  network->wires_at = warm->wire_temperature;
  pl_network_solve(network, warm->state, &solution, NULL);
  took[LINEAR][repeat] = now() - start;
  pl_network_release(network);
}

static bool run(const char *path, int repeat, struct pl_arena *arena, bool rules) {
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_buffer out;
  struct matrix matrix = {0};
  double start = now(), mark;
  pl_sources_init(&sources, arena);
  pl_findings_init(&findings, arena);
  pl_harness_init(&harness, arena);
  if (!pl_build(path, &pl_reader_disk, &sources, &findings, &harness))
    return false;
  took[BUILD][repeat] = (mark = now()) - start;
  struct pl_network *network = pl_network_new(&harness, arena);
  took[NETWORK][repeat] = (start = now()) - mark;
  struct pl_solution *solutions = PL_NEW_ARRAY(arena, struct pl_solution, harness.states.n);
  pl_id last = harness.states.n - 1;
  pl_network_solve(network, last, &solutions[last], NULL);
  took[SOLVE][repeat] = (mark = now()) - start;
  pl_buffer_init(&out, arena);
  pl_solution_write_json(&out, &harness, &solutions[last]);
  took[PRINT][repeat] = (start = now()) - mark;
  if (rules) {
    for (pl_id state = 0; state < last; state++)
      pl_network_solve(network, state, &solutions[state], NULL);
    took[OTHERS][repeat] = now() - start;
    struct pl_check check = {.harness = &harness,
                             .network = network,
                             .solutions = solutions,
                             .arena = arena,
                             .findings = &findings};
    run_rules(&check, repeat);
  }
  if (solutions[last].status == PL_SOLVED)
    make_matrix(network, &solutions[last], arena, &matrix);
  start = now();
  bool good = matrix.n == 0 || bare_klu(&matrix);
  took[KLU][repeat] = now() - start;
  pl_network_release(network);
  solve_linear(&harness, arena, &solutions[last], repeat);
  return good;
}

int main(int argc, char **argv) {
  struct pl_arena arena;
  jmp_buf back;
  int repeats = argc > 2 ? atoi(argv[2]) : 9;
  bool rules = argc <= 3 || strcmp(argv[3], "solve") != 0;
  if (argc < 2 || repeats < 1 || repeats > REPEATS_MOST) {
    fputs("usage: phases FILE [REPEATS [solve]]\n", stderr);
    return 2;
  }
  pl_pages_keep(); /* as the command does: KLU's memory is used again, by ours and by bare KLU */
  for (volatile int i = 0; i < repeats; i++) {
    pl_arena_init(&arena, no_memory, &back);
    if (setjmp(back) != 0)
      return 3;
    if (!run(argv[1], i, &arena, rules))
      return 2;
    pl_arena_release(&arena);
  }
  for (int s = 0; s < STEPS; s++) {
    qsort(took[s], (size_t)repeats, sizeof *took[s], by_value);
    if (rules || (s != OTHERS && s != RULES && s != PROOFS && s != FAULTS))
      printf("  %-40s %9.2f ms of processor time, least %9.2f\n",
             names[s],
             took[s][repeats / 2],
             took[s][0]);
  }
  for (enum step s = SOLVE; s <= LINEAR; s++)
    printf("  %-40s %9.2f times bare KLU, by the least %.2f\n",
           names[s],
           took[s][repeats / 2] / took[KLU][repeats / 2],
           took[s][0] / took[KLU][0]);
  return 0;
}
