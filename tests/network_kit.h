/* Builds machines for the tests of the network and of what stands on it, through the model's
 * builders; no text is read. */
#ifndef PL_NETWORK_KIT_H
#define PL_NETWORK_KIT_H

#include "network/network.h"
#include "pl_test.h"

struct kit {
  struct pl_arena arena;
  struct pl_harness harness;
  struct pl_findings findings;
  struct pl_network *network;
  struct pl_solution solution;
  unsigned wires;
};

/* Terminals without resistance worth naming, 20 degC everywhere: what is computed by hand is then
 * what the parts say. */
static inline void kit_start(struct kit *kit) {
  memset(kit, 0, sizeof *kit);
  pl_test_arena(&kit->arena);
  pl_harness_init(&kit->harness, &kit->arena);
  kit->harness.machine.volts = 12;
  pl_findings_init(&kit->findings, &kit->arena);
}

static inline void kit_end(struct kit *kit) {
  if (kit->network != NULL)
    pl_network_release(kit->network);
  pl_arena_release(&kit->arena);
}

/* A device with pins named in one string: "+ -"; "." is the nameless pin of a stud. */
static inline pl_id kit_device(struct kit *kit,
                               struct pl_device device,
                               enum pl_kind kind,
                               const char *name,
                               const char *pins) {
  device.kind = kind;
  device.name = pl_arena_strdup(&kit->arena, name);
  pl_id id = pl_harness_add_device(&kit->harness, device);
  CU_ASSERT_FATAL(id != PL_NONE);
  for (const char *at = pins; *at != '\0';) {
    size_t n = strcspn(at, " ");
    struct pl_pin pin = pl_pin_blank();
    pin.device = id;
    pin.name = n == 1 && *at == '.' ? "" : pl_arena_strndup(&kit->arena, at, n);
    CU_ASSERT_FATAL(pl_harness_add_pin(&kit->harness, pin) != PL_NONE);
    at += n + (at[n] == ' ');
  }
  return id;
}

static inline pl_id kit_pin(const struct kit *kit, const char *name) {
  pl_id id = pl_harness_find_pin(&kit->harness, name);
  if (id == PL_NONE)
    printf("no pin %s\n", name);
  CU_ASSERT_FATAL(id != PL_NONE);
  return id;
}

static inline struct pl_device *kit_at(struct kit *kit, const char *name) {
  pl_id id = pl_harness_find_device(&kit->harness, name);
  CU_ASSERT_FATAL(id != PL_NONE);
  return &kit->harness.devices.at[id];
}

/* A wire of these ohms in all, contacts taken off; at 20 degC. */
static inline pl_id kit_wire(struct kit *kit, const char *from, const char *to, double ohms) {
  struct pl_wire wire = pl_wire_blank();
  wire.number = pl_arena_printf(&kit->arena, "%u", ++kit->wires);
  wire.end[0] = kit_pin(kit, from);
  wire.end[1] = kit_pin(kit, to);
  wire.area = NAN; /* no size: no amperage, so it does not warm itself */
  wire.length = 1;
  wire.hot = 20;
  wire.ohms_per_m = ohms > 0 ? ohms : 1e-12; /* 0 would mean: not said */
  pl_id id = pl_harness_add_wire(&kit->harness, wire);
  CU_ASSERT_FATAL(id != PL_NONE);
  return id;
}

static inline void kit_join(struct kit *kit, pl_joins *joins, const char *a, const char *b) {
  struct pl_join join = {kit_pin(kit, a), kit_pin(kit, b)};
  PL_PUSH(&kit->arena, joins, join);
}

/* Every contact without resistance but the least. */
static inline void kit_no_contacts(struct kit *kit) {
  struct pl_terminal terminal = {.name = "none", .ohms = 1e-12, .wires_max = 9};
  pl_id id = kit->harness.terminals.n;
  PL_PUSH(&kit->arena, &kit->harness.terminals, terminal);
  for (pl_id pin = 0; pin < kit->harness.pins.n; pin++)
    kit->harness.pins.at[pin].terminal = id;
}

static inline pl_id kit_battery(struct kit *kit, const char *name, double emf, double ohms) {
  struct pl_device d = pl_device_blank();
  d.emf = emf;
  d.ohms = ohms;
  pl_id id = kit_device(kit, d, PL_KIND_BATTERY, name, "+ -");
  kit->harness.devices.at[id].plus = kit->harness.devices.at[id].first_pin;
  kit->harness.devices.at[id].minus = kit->harness.devices.at[id].first_pin + 1;
  return id;
}

static inline pl_id kit_resistor(struct kit *kit, const char *name, double ohms) {
  struct pl_device d = pl_device_blank();
  d.ohms = ohms;
  return kit_device(kit, d, PL_KIND_RESISTOR, name, "1 2");
}

static inline pl_id kit_stud(struct kit *kit, const char *name) {
  return kit_device(kit, pl_device_blank(), PL_KIND_STUD, name, ".");
}

static inline pl_id
kit_throw(struct kit *kit, const char *device, const char *name, const char *a, const char *b) {
  struct pl_throw throw = {.name = name};
  struct pl_device *d = kit_at(kit, device);
  if (a != NULL)
    kit_join(kit, &throw.joins, a, b);
  PL_PUSH(&kit->arena, &d->throws, throw);
  return d->throws.n - 1;
}

static inline struct pl_state kit_state(enum pl_engine engine) {
  struct pl_state state = pl_state_blank();
  state.name = "trial";
  state.engine = engine;
  return state;
}

static inline void
kit_set(struct kit *kit, struct pl_state *state, const char *device, uint32_t position) {
  struct pl_setting setting = {.device = pl_harness_find_device(&kit->harness, device),
                               .position = position};
  PL_PUSH(&kit->arena, &state->settings, setting);
}

static inline void kit_solve_as(struct kit *kit, const struct pl_state *state) {
  if (kit->network == NULL)
    kit->network = pl_network_new(&kit->harness, &kit->arena);
  pl_network_solve_as(kit->network, state, &kit->solution, &kit->findings);
}

static inline void kit_solve(struct kit *kit, enum pl_engine engine) {
  struct pl_state state = kit_state(engine);
  kit_solve_as(kit, &state);
}

static inline double kit_volts(const struct kit *kit, const char *pin) {
  return kit->solution.pin_volts[kit_pin(kit, pin)];
}
static inline double kit_amps(struct kit *kit, const char *device) {
  return kit->solution.device_amps[pl_harness_find_device(&kit->harness, device)];
}
static inline double kit_device_volts(struct kit *kit, const char *device) {
  return kit->solution.device_volts[pl_harness_find_device(&kit->harness, device)];
}
static inline bool kit_on(struct kit *kit, const char *device) {
  return kit->solution.device_on[pl_harness_find_device(&kit->harness, device)];
}
static inline unsigned kit_count(const struct kit *kit, const char *rule) {
  unsigned n = 0;
  for (uint32_t i = 0; i < kit->findings.list.n; i++)
    n += strcmp(kit->findings.list.at[i].rule, rule) == 0;
  return n;
}

/* The suites of test_network, one file each. */
extern CU_TestInfo network_band_tests[], network_condition_tests[], network_law_tests[],
    network_mode_tests[], network_ohms_tests[], network_order_tests[], network_random_tests[];

#endif
