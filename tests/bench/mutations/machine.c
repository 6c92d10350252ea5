/* Reading machines: one text with its includes in place, judged once as it is. */
#include "bench.h"

static void no_memory(void *context) {
  (void)context;
  fputs("mutations: out of memory\n", stderr);
  exit(3);
}

struct one_text {
  const char *text;
  size_t size;
};

static enum pl_file_status
read_one(void *context, struct pl_arena *arena, const char *path, const char **text, size_t *size) {
  const struct one_text *one = context;
  (void)arena;
  (void)path;
  *text = one->text;
  *size = one->size;
  return PL_FILE_OK;
}

void bench_judge(struct bench_judged *judged, const char *text, size_t size, bool rules) {
  struct one_text one = {text, size};
  struct pl_reader reader = {read_one, &one};
  memset(judged, 0, sizeof *judged);
  pl_arena_init(&judged->arena, no_memory, NULL);
  pl_sources_init(&judged->sources, &judged->arena);
  pl_findings_init(&judged->findings, &judged->arena);
  pl_harness_init(&judged->harness, &judged->arena);
  judged->read =
      pl_build("machine.loom", &reader, &judged->sources, &judged->findings, &judged->harness);
  if (!judged->read)
    return;
  uint32_t states = judged->harness.states.n;
  judged->network = pl_network_new(&judged->harness, &judged->arena);
  judged->solutions = PL_NEW_ARRAY(&judged->arena, struct pl_solution, states + 1);
  for (pl_id s = 0; s < states; s++)
    pl_network_solve(judged->network, s, &judged->solutions[s], rules ? &judged->findings : NULL);
  if (!rules)
    return;
  judged->check = (struct pl_check){.harness = &judged->harness,
                                    .network = judged->network,
                                    .solutions = judged->solutions,
                                    .arena = &judged->arena,
                                    .findings = &judged->findings};
  pl_rules_run(&judged->check);
  pl_findings_sort(&judged->findings, &judged->sources);
}

void bench_judged_end(struct bench_judged *judged) {
  if (judged->network != NULL)
    pl_network_release(judged->network);
  pl_arena_release(&judged->arena);
}

/* The text of `path` with every line `include "FILE"` replaced by that file. */
static bool put_in(struct pl_buffer *out, const char *path, struct pl_arena *arena, int depth) {
  const char *text;
  size_t size;
  enum pl_file_status status = pl_file_read(arena, path, &text, &size);
  if (status != PL_FILE_OK || depth > 4) {
    fprintf(stderr, "mutations: %s: %s\n", path, pl_file_status_text(status));
    return false;
  }
  for (const char *line = text; *line != '\0';) {
    size_t n = strcspn(line, "\n");
    const char *next = line[n] == '\n' ? line + n + 1 : line + n;
    if (strncmp(line, "include \"", 9) == 0) {
      const char *name = pl_arena_strndup(arena, line + 9, strcspn(line + 9, "\"\n"));
      if (!put_in(out, pl_path_beside(arena, path, name), arena, depth + 1))
        return false;
    } else {
      pl_buffer_add(out, line, (size_t)(next - line));
    }
    line = next;
  }
  return true;
}

void bench_machine_take(struct bench_machine *machine, const char *name, const char *text) {
  machine->name = name;
  machine->text = text;
  machine->size = strlen(text);
  bench_judge(&machine->sound, machine->text, machine->size, true);
  if (machine->sound.read)
    machine->copper = bench_copper(&machine->sound.harness, PL_NONE, &machine->sound.arena);
}

static const char *name_of(const char *path, struct pl_arena *arena) {
  const char *slash = strrchr(path, '/');
  const char *base = slash == NULL ? path : slash + 1;
  return pl_arena_strndup(arena, base, strcspn(base, "."));
}

bool bench_machine_read(struct bench_machine *machine, const char *path, struct pl_arena *arena) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  if (!put_in(&out, path, arena, 0))
    return false;
  bench_machine_take(machine, name_of(path, arena), out.at);
  if (machine->sound.read)
    return true;
  fprintf(stderr, "mutations: %s: %s\n", path, machine->sound.findings.list.at[0].text);
  return false;
}

void bench_machine_end(struct bench_machine *machine) {
  bench_judged_end(&machine->sound);
}

static pl_id root(pl_id *up, pl_id pin) {
  while (up[pin] != pin)
    pin = up[pin] = up[up[pin]];
  return pin;
}

static void unite(pl_id *up, pl_id a, pl_id b) {
  if (a == PL_NONE || b == PL_NONE)
    return;
  a = root(up, a);
  b = root(up, b);
  up[a < b ? b : a] = a < b ? a : b;
}

pl_id *bench_copper(const struct pl_harness *h, pl_id without, struct pl_arena *arena) {
  pl_id *up = PL_NEW_ARRAY(arena, pl_id, h->pins.n + 1);
  for (pl_id p = 0; p < h->pins.n; p++)
    up[p] = p;
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    if (w != without && wire->status != PL_WIRE_DONOR_REMOVED)
      unite(up, wire->end[0], wire->end[1]);
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    for (uint32_t k = 0; k < device->fixed.n; k++)
      unite(up, device->fixed.at[k].a, device->fixed.at[k].b);
    if (device->kind == PL_KIND_BOND && device->body != PL_NONE)
      unite(up, device->first_pin, h->devices.at[device->body].first_pin);
  }
  for (pl_id p = 0; p < h->pins.n; p++)
    up[p] = root(up, p);
  return up;
}

bool bench_same_volts(const struct bench_judged *a, const struct bench_judged *b, double share) {
  const struct pl_harness *h = &a->harness;
  double most = share * h->machine.volts;
  if (h->states.n != b->harness.states.n)
    return false;
  for (pl_id p = 0; p < h->pins.n; p++) {
    pl_id other = pl_harness_find_pin(&b->harness, h->pins.at[p].full);
    if (other == PL_NONE)
      return false;
    for (pl_id s = 0; s < h->states.n; s++) {
      const struct pl_solution *x = &a->solutions[s], *y = &b->solutions[s];
      if (x->status != PL_SOLVED || y->status != PL_SOLVED)
        return false;
      double u = x->pin_volts[p], v = y->pin_volts[other];
      if (isnan(u) != isnan(v) || fabs(u - v) > most)
        return false;
    }
  }
  return true;
}
