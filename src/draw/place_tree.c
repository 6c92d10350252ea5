/* Places and runs as trees: shortest ways from a root, kids in order, what leaves at each place.
 * Knows no page. */
#include "draw/place_tree_inner.h"

#include <math.h>

#include "base/number.h"

#define NONE UINT32_MAX

struct ways {
  double *far;     /* by place, metres; INFINITY: not reached */
  pl_id *by;       /* the run that leads there */
  pl_ids *runs_at; /* by place */
  double *reach;   /* by place, metres on to the farthest behind it */
  bool *waiting;
  pl_ids reached; /* places of this part of the machine */
};

static pl_id other_end(const struct pl_run *run, pl_id place) {
  if (run->a == place)
    return run->b;
  return run->a;
}

/* Shortest ways by a queue of places whose way became shorter; ties fall to what was found first.
 */
static void find_ways(struct ways *ways, const struct pl_tree *tree, pl_id root) {
  pl_ids queue = {0};
  ways->reached.n = 0;
  ways->far[root] = 0;
  PL_PUSH(tree->arena, &queue, root);
  for (uint32_t i = 0; i < queue.n; i++) {
    pl_id at = queue.at[i];
    ways->waiting[at] = false;
    for (uint32_t r = 0; r < ways->runs_at[at].n; r++) {
      const struct pl_run *run = &tree->harness->runs.at[ways->runs_at[at].at[r]];
      pl_id next = other_end(run, at);
      if (!(ways->far[at] + run->length < ways->far[next]))
        continue;
      if (isinf(ways->far[next]))
        PL_PUSH(tree->arena, &ways->reached, next);
      ways->far[next] = ways->far[at] + run->length;
      ways->by[next] = ways->runs_at[at].at[r];
      if (!ways->waiting[next])
        PL_PUSH(tree->arena, &queue, next);
      ways->waiting[next] = true;
    }
  }
}

/* ---- twigs ---- */

static uint32_t
push_twig(struct pl_tree *tree, pl_id place, pl_id run, uint32_t parent, bool again) {
  struct pl_twig twig = {.place = place, .run = run, .parent = parent, .again = again};
  if (parent != NONE) {
    twig.far = tree->twigs.at[parent].far + tree->harness->runs.at[run].length;
    twig.depth = tree->twigs.at[parent].depth + 1;
    twig.bundle = pl_run_bundle(tree->harness, &tree->harness->runs.at[run]);
  }
  PL_PUSH(tree->arena, &tree->twigs, twig);
  return tree->twigs.n - 1;
}

/* The way on from each place: the farthest place behind it, found from the outside in. */
static void find_reach(struct ways *ways, const struct pl_tree *tree, pl_id root) {
  for (uint32_t i = ways->reached.n; i-- > 0;) {
    double far = ways->far[ways->reached.at[i]];
    for (pl_id up = ways->reached.at[i];;
         up = other_end(&tree->harness->runs.at[ways->by[up]], up)) {
      if (far - ways->far[up] < ways->reach[up])
        break; /* a farther one came by before */
      ways->reach[up] = far - ways->far[up];
      if (up == root)
        break;
    }
  }
}

/* A run that no place is reached by hangs on its farther end. */
static bool closes_here(const struct ways *ways, const struct pl_run *run, pl_id id, pl_id at) {
  pl_id next = other_end(run, at);
  if (ways->by[next] == id)
    return false;
  if (ways->by[at] == id)
    return false;
  if (ways->far[at] > ways->far[next])
    return true;
  return !(ways->far[at] < ways->far[next]) && at == run->a;
}

struct step {
  pl_id run;
  uint32_t parent;
  bool again;
};
typedef PL_VEC(struct step) steps;

/* What goes on from a twig, last first, so that the first is taken up next; the one with the
 * longest way is the last.
 */
static void
push_steps(const struct pl_tree *tree, const struct ways *ways, uint32_t twig, steps *stack) {
  pl_id at = tree->twigs.at[twig].place;
  const pl_ids *runs = &ways->runs_at[at];
  uint32_t trunk = NONE;
  double most = -1;
  for (uint32_t i = 0; i < runs->n; i++) {
    const struct pl_run *run = &tree->harness->runs.at[runs->at[i]];
    pl_id next = other_end(run, at);
    if (ways->by[next] != runs->at[i])
      continue;
    if (next == at)
      continue;
    if (!(run->length + ways->reach[next] > most))
      continue;
    most = run->length + ways->reach[next];
    trunk = i;
  }
  if (trunk != NONE) {
    struct step step = {runs->at[trunk], twig, false};
    PL_PUSH(tree->arena, stack, step);
  }
  for (uint32_t i = runs->n; i-- > 0;) {
    const struct pl_run *run = &tree->harness->runs.at[runs->at[i]];
    if (i > 0 && runs->at[i] == runs->at[i - 1])
      continue; /* from a place to itself */
    pl_id next = other_end(run, at);
    struct step step = {runs->at[i], twig, closes_here(ways, run, runs->at[i], at)};
    if (i == trunk)
      continue;
    if (!(step.again || (ways->by[next] == runs->at[i] && next != at)))
      continue;
    PL_PUSH(tree->arena, stack, step);
  }
}

static void grow(struct pl_tree *tree, struct ways *ways, pl_id root) {
  steps stack = {0};
  find_ways(ways, tree, root);
  find_reach(ways, tree, root);
  struct step first = {PL_NONE, NONE, false};
  PL_PUSH(tree->arena, &stack, first);
  while (stack.n > 0) {
    struct step step = stack.at[--stack.n];
    pl_id place;
    if (step.parent == NONE)
      place = root;
    else
      place = other_end(&tree->harness->runs.at[step.run], tree->twigs.at[step.parent].place);
    uint32_t twig = push_twig(tree, place, step.run, step.parent, step.again);
    if (step.parent != NONE)
      PL_PUSH(tree->arena, &tree->twigs.at[step.parent].kids, twig);
    if (step.again)
      continue;
    tree->twigs.at[twig].reach = ways->reach[place];
    tree->twig_of[place] = twig;
    push_steps(tree, ways, twig, &stack);
  }
}

/* ---- takeoffs ---- */

static void
count_wires(const struct pl_harness *h, const struct pl_pin *pin, struct pl_takeoff *takeoff) {
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    const struct pl_wire *wire = &h->wires.at[pin->wires.at[i]];
    if (wire->status == PL_WIRE_DONOR_REMOVED)
      continue;
    takeoff->wires++;
    takeoff->tailed += wire->route.n > 0 || !wire->length_written;
    if (wire->route.n == 0)
      continue;
    takeoff->leaving++;
    takeoff->written = takeoff->written || wire->length_written;
  }
}

static void add_takeoffs(struct pl_tree *tree, pl_id id) {
  const struct pl_harness *h = tree->harness;
  const struct pl_device *device = &h->devices.at[id];
  for (uint32_t c = 0; c <= device->connector_count; c++) { /* the bare pins last */
    bool bare = c == device->connector_count;
    pl_id connector = bare ? PL_NONE : device->first_connector + c;
    const char *name = bare ? "" : h->connectors.at[connector].name;
    struct pl_takeoff takeoff = {.device = id, .connector = connector};
    for (uint32_t p = 0; p < device->pin_count; p++)
      if (h->pins.at[device->first_pin + p].connector == connector)
        count_wires(h, &h->pins.at[device->first_pin + p], &takeoff);
    if (takeoff.wires == 0)
      continue;
    if (name[0] == '\0')
      takeoff.name = device->name;
    else
      takeoff.name = pl_arena_printf(tree->arena, "%s.%s", device->name, name);
    PL_PUSH(tree->arena, &tree->takeoffs[device->place], takeoff);
  }
}

void pl_tree_make(struct pl_tree *tree, const struct pl_harness *harness, struct pl_arena *arena) {
  uint32_t n = harness->places.n;
  *tree = (struct pl_tree){.harness = harness, .arena = arena};
  tree->twig_of = PL_NEW_ARRAY(arena, uint32_t, (size_t)n + 1);
  tree->peg_of = PL_NEW_ARRAY(arena, uint32_t, (size_t)n + 1);
  tree->takeoffs = PL_NEW_ARRAY(arena, pl_takeoffs, (size_t)n + 1);
  struct ways ways = {.far = PL_NEW_ARRAY(arena, double, (size_t)n + 1),
                      .by = PL_NEW_ARRAY(arena, pl_id, (size_t)n + 1),
                      .reach = PL_NEW_ARRAY(arena, double, (size_t)n + 1),
                      .runs_at = PL_NEW_ARRAY(arena, pl_ids, (size_t)n + 1),
                      .waiting = PL_NEW_ARRAY(arena, bool, (size_t)n + 1)};
  for (pl_id p = 0; p < n; p++) {
    ways.far[p] = INFINITY;
    ways.by[p] = PL_NONE;
  }
  for (pl_id r = 0; r < harness->runs.n; r++) {
    PL_PUSH(arena, &ways.runs_at[harness->runs.at[r].a], r);
    PL_PUSH(arena, &ways.runs_at[harness->runs.at[r].b], r);
  }
  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    if (device->place < n)
      add_takeoffs(tree, d);
    if (device->place < n && pl_kind_is(device->kind, PL_IS_STORE) &&
        isinf(ways.far[device->place]))
      grow(tree, &ways, device->place);
  }
  for (pl_id p = 0; p < n; p++)
    if (isinf(ways.far[p]))
      grow(tree, &ways, p);
  uint32_t peg = 0;
  for (uint32_t t = 0; t < tree->twigs.n; t++)
    if (!tree->twigs.at[t].again)
      tree->peg_of[tree->twigs.at[t].place] = ++peg;
}

/* ---- words ---- */

static pl_id place_of(const struct pl_harness *h, pl_id pin) {
  return h->devices.at[h->pins.at[pin].device].place;
}

const char *pl_tree_strays(const struct pl_tree *tree, uint32_t most) {
  const struct pl_harness *h = tree->harness;
  const char *text = "";
  uint32_t n = 0;
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    if (wire->status == PL_WIRE_DONOR_REMOVED)
      continue;
    if (wire->route.n > 0)
      continue;
    if (wire->end[0] == PL_NONE)
      continue;
    if (wire->end[1] == PL_NONE)
      continue;
    pl_id a = place_of(h, wire->end[0]);
    pl_id b = place_of(h, wire->end[1]);
    if (a == b && a != PL_NONE)
      continue;
    if (++n <= most)
      text = pl_arena_printf(tree->arena, "%s%s%s", text, n > 1 ? ", " : "", wire->number);
  }
  if (n > most)
    return pl_arena_printf(tree->arena, "%s and %u more", text, n - most);
  return text;
}

static bool in_us(const struct pl_tree *tree) {
  return tree->harness->machine.units == PL_UNITS_US;
}

const char *pl_tree_length(const struct pl_tree *tree, double metres) {
  char text[PL_NUMBER_SIZE];
  if (in_us(tree))
    return pl_arena_printf(tree->arena,
                           "%s in",
                           pl_number_print(text, round(metres / 0.0254 * 10) / 10, 7));
  if (metres < 1)
    return pl_arena_printf(tree->arena,
                           "%s mm",
                           pl_number_print(text, round(metres * 1e4) / 10, 6));
  return pl_arena_printf(tree->arena, "%s m", pl_number_print(text, round(metres * 1e4) / 1e4, 9));
}

/* "27 mm" or "1.1 in". */
static const char *thickness(const struct pl_tree *tree, double mm) {
  char text[PL_NUMBER_SIZE];
  if (in_us(tree))
    return pl_arena_printf(tree->arena, "%s in", pl_number_fixed(text, mm / 25.4, 1));
  return pl_arena_printf(tree->arena, "%s mm", pl_number_fixed(text, mm, 0));
}

const char *pl_tree_run_words(const struct pl_tree *tree, const struct pl_twig *twig) {
  const struct pl_run *run = &tree->harness->runs.at[twig->run];
  if (twig->bundle.wires == 0)
    return pl_arena_printf(tree->arena,
                           "no wire%s%s",
                           run->covering[0] != '\0' ? ", " : "",
                           run->covering);
  return pl_arena_printf(tree->arena,
                         "%u wire%s, about %s over %s, %s",
                         twig->bundle.wires,
                         twig->bundle.wires == 1 ? "" : "s",
                         thickness(tree, twig->bundle.mm),
                         twig->bundle.wires == 1 ? "it" : "them",
                         run->covering[0] != '\0' ? run->covering : "bare");
}
