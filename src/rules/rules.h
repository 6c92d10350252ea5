/* Rules: each is one row of rules.def (name, question, source, function), one function in a file of
 * its family, one paragraph in docs/rules.md, one file harnesses/mistakes/<name>.loom that breaks
 * it and one <name>.ok.loom that just keeps it.  Rules see the model and its solutions, never
 * syntax. */
#ifndef PL_RULES_RULES_H
#define PL_RULES_RULES_H

#include "network/network.h"

struct pl_facts;
struct pl_proof;

struct pl_check { /* what a rule may look at */
  const struct pl_harness *harness;
  struct pl_network
      *network; /* rules may solve states of their own in it; the solutions below stay */
  const struct pl_solution *solutions; /* one for each state, in order */
  struct pl_arena *arena;
  struct pl_findings *findings;
  const struct pl_facts *facts; /* set by pl_rules_begin; leave it NULL */
  struct pl_proof *proof;       /* made by the first rule that proves something; leave it NULL */
  bool *shorted;                /* by state: a source is shorted in it; leave it NULL */
  bool keep_all; /* findings that follow from others stay in the list: nothing is folded, and no
                    list in a text is cut short */
  const struct pl_finding *every; /* set by pl_rules_run: all findings before any was folded */
  uint32_t every_count;
};

enum pl_rule_reads {
  PL_READS_DESCRIPTION, /* a short or a swapped battery does not touch what it finds */
  PL_READS_SOLUTION     /* volts, amps, ways of current: they explain it */
};

struct pl_rule {
  const char *name;     /* trade words: "wire-current" */
  const char *question; /* one line */
  const char *source;
  enum pl_rule_reads reads;
};

extern const struct pl_rule pl_rules[];
extern const uint32_t pl_rule_count;
const struct pl_rule *pl_rule_find(const char *name); /* NULL when unknown */

/* Runs every rule, then marks what waivers accept (rule and place equal) and reports waivers that
 * match nothing (rule "idle-waiver"), then folds what only follows from another finding into that
 * one. */
void pl_rules_run(struct pl_check *check);

/* The first two steps of pl_rules_run one by one, to be timed: what several rules need, and one row
 * of pl_rules; nothing where its findings are made elsewhere. */
void pl_rules_begin(struct pl_check *check);
void pl_rule_run(struct pl_check *check, uint32_t rule);

/* The last two: waivers are matched, then findings folded.  pl_rules_judge is all but the
 * folding. */
void pl_rules_waive(struct pl_check *check);
void pl_rules_judge(struct pl_check *check);

/* "a at B, c at D and 4 more" of findings that `cause` explains, as it says of itself. */
const char *pl_rules_say_follows(struct pl_arena *arena, const char *const *names, uint32_t n);

/* What a wire may carry where it lies, `carrying` loaded wires in its fullest run:
 * pl_wire_amperage, cut again where it is hotter than the 50 degC of an engine space by sqrt((rated
 * - hot)/(rated - 50)), the law that the published factors follow themselves.  `source` may be
 * NULL. */
double pl_rule_wire_amps(const struct pl_wire *wire, uint32_t carrying, const char **source);

#endif
