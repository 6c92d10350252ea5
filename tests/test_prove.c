/* Tests of src/prove: on small harnesses the fast answers against plain enumeration: every position
 * of every switch, every output, engine stopped and running, each solved by the network; and every
 * single fault on top. */
#include "test_prove.h"

/* ---- plain enumeration ---- */

struct plain {
  struct pl_state state;
  uint32_t *position; /* by device */
};
typedef void (*plain_fn)(struct bench *b,
                         const struct plain *plain,
                         const struct pl_solution *solution,
                         void *context);

/* Every combination of everything that can be set, by an odometer of its own. */
static unsigned
enumerate(struct bench *b, const struct pl_fault *fault, plain_fn each, void *context) {
  PL_VEC(pl_id) switches = {0}, outputs = {0};
  struct plain plain = {.position = PL_NEW_ARRAY(&b->arena, uint32_t, b->harness.devices.n)};
  double all = 2;
  for (pl_id d = 0; d < b->harness.devices.n; d++) {
    plain.position[d] = 0;
    if (b->harness.devices.at[d].throws.n < 1)
      continue;
    if (b->harness.devices.at[d].kind == PL_KIND_DISCONNECT) {
      plain.position[d] = b->harness.devices.at[d].rest;
      continue;
    }
    PL_PUSH(&b->arena, &switches, d);
    all *= b->harness.devices.at[d].throws.n;
  }
  for (pl_id p = 0; p < b->harness.pins.n; p++) {
    enum pl_role role = b->harness.pins.at[p].role;
    if (role != PL_ROLE_HIGH_SIDE && role != PL_ROLE_LOW_SIDE)
      continue;
    PL_PUSH(&b->arena, &outputs, p);
    all *= 2;
  }
  if (all > 512)
    return 0;
  struct pl_solution solution = {0};
  unsigned n = 0;
  for (uint32_t code = 0; code < (uint32_t)all; code++, n++) {
    uint32_t rest = code / 2;
    plain.state = pl_state_blank();
    plain.state.name = plain.state.title = "";
    plain.state.engine = code % 2 == 1 ? PL_ENGINE_IDLE : PL_ENGINE_STOPPED;
    for (uint32_t i = 0; i < switches.n; i++) {
      struct pl_setting setting = {.device = switches.at[i],
                                   .position =
                                       rest % b->harness.devices.at[switches.at[i]].throws.n};
      rest /= b->harness.devices.at[switches.at[i]].throws.n;
      plain.position[setting.device] = setting.position;
      PL_PUSH(&b->arena, &plain.state.settings, setting);
    }
    for (uint32_t i = 0; i < outputs.n; i++, rest /= 2)
      if (rest % 2 == 1)
        PL_PUSH(&b->arena, &plain.state.outputs_on, outputs.at[i]);
    for (pl_id d = 0; d < b->harness.devices.n; d++) /* once excited it stays so */
      if (b->harness.devices.at[d].kind == PL_KIND_ALTERNATOR && code % 2 == 1)
        PL_PUSH(&b->arena, &plain.state.set, d);
    if (fault != NULL)
      pl_network_solve_fault(b->network, &plain.state, fault, &solution);
    else
      pl_network_solve_as(b->network, &plain.state, &solution, NULL);
    each(b, &plain, &solution, context);
  }
  return n;
}

static const char *const files[] = {"require-broken",
                                    "require-broken.ok",
                                    "require-defeated",
                                    "require-defeated.ok",
                                    "sneak-path",
                                    "sneak-path.ok",
                                    "keyed-node-live",
                                    "keyed-node-live.ok",
                                    "buzzing-relay.ok",
                                    "load-never-on",
                                    "load-never-on.ok",
                                    "output-overload.ok",
                                    "floating-source.ok",
                                    "load-starved.ok",
                                    "input-undriven.ok"};
enum {
  FILES = sizeof files / sizeof files[0]
};

/* A relay with a break contact, a module that wakes through a relay, outputs on both sides, a
 * diode, a lamp between two feeds. */
static const char mixture[] =
    "machine \"Bench\"\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 30 A\nswitch KEY\n  position "
    "off\n  position run: B to IGN\n"
    "  position start: B to IGN, B to ST, momentary\nswitch S1\n  position off\n  position on: 1 "
    "to 2\nrelay K1\n  changeover\nrelay K2\n"
    "module ECM\n  connector A 6 cavities\n  A1 battery feed, 1 A, 9..16 V\n  A2 ground\n  A3 "
    "keyed input, 20 mA\n  A4 low-side output, at most 2 A\n"
    "  A5 high-side output, at most 4 A\n  A6 switch input, pull-down 10 kohm\nlamp E1\n  draws 1 "
    "A\nlamp E2\n  draws 1 A\nlamp H1\n  draws 2 W at 12 V\n"
    "diode V1\nsolenoid Y1\n  draws 1 A\nstud F\nstud G\nwires of mixture\n  1 BAT.+ F1.in 10 AWG "
    "RD length 0.1 m\n  2 F1.out F 10 AWG RD length 1 m\n"
    "  3 BAT.- G 10 AWG BK length 1 m\n  4 F KEY.B 14 AWG RD length 1 m\n  5 KEY.IGN K2.86 14 AWG "
    "RD length 1 m\n  6 K2.85 G 14 AWG BK length 1 m\n"
    "  7 F K2.30 14 AWG RD length 1 m\n  8 K2.87 ECM.A3 14 AWG RD length 1 m\n  9 F ECM.A1 14 AWG "
    "RD length 1 m\n  10 ECM.A2 G 14 AWG BK length 1 m\n"
    "  11 F S1.1 14 AWG RD length 1 m\n  12 S1.2 K1.86 14 AWG RD length 1 m\n  13 K1.85 ECM.A4 14 "
    "AWG BN length 1 m\n  14 F K1.30 14 AWG RD length 1 m\n"
    "  15 K1.87 E1.+ 14 AWG YE length 1 m\n  16 K1.87a E2.+ 14 AWG YE length 1 m\n  17 E1.- G 14 "
    "AWG BK length 1 m\n  18 E2.- G 14 AWG BK length 1 m\n"
    "  19 ECM.A5 Y1.+ 14 AWG GN length 1 m\n  20 Y1.- G 14 AWG BK length 1 m\n  21 KEY.ST V1.A 14 "
    "AWG BU length 1 m\n  22 V1.K H1.+ 14 AWG BU length 1 m\n"
    "  23 H1.- K1.86 14 AWG BU length 1 m\n  24 S1.2 ECM.A6 18 AWG WH length 1 m\nstate off\nstate "
    "run\n  KEY in run\n  S1 in on\n  ECM.A4 on\n  ECM.A5 on\n"
    "require Y1 off unless KEY in run\nrequire E1 off unless KEY in run\nrequire E1 off unless S1 "
    "in on\nrequire K1 off unless S1 in on\nrequire E2 on when S1 in off\nrequire ECM on when KEY "
    "in run\n";

/* The wire behind the neutral switch runs through a connector beside that of a lamp with a switch
 * of its own. */
static const char crossed[] =
    "machine \"Bench\"\nbattery BAT\n  cca 600 A\nswitch KEY\n  position off\n  position start: B "
    "to ST, momentary\nswitch GEARBOX\n"
    "  position drive\n  position neutral: 1 to 2\nswitch S1\n  position off\n  position on: in to "
    "out\nfuse F1\n  rating 30 A\nfuse F2\n  rating 20 A\n"
    "starter M1\n  cranks 400 A at 9 V\nlamp E1\n  draws 1 A\ninline X1\n  cavities 2, 1 "
    "row\nwires of crossed\n"
    "  1 BAT.+ M1.30 1/0 AWG RD length 1 m\n  2 M1.31 BAT.- 1/0 AWG BK length 1 m\n  3 BAT.+ F1.in "
    "10 AWG RD length 0.15 m\n"
    "  4 F1.out KEY.B 10 AWG RD length 1 m\n  5 KEY.ST GEARBOX.1 10 AWG RD length 1 m\n  6 "
    "GEARBOX.2 X1.P1 10 AWG RD length 1 m\n"
    "  7 X1.S1 M1.50 10 AWG RD length 1 m\n  8 BAT.+ F2.in 10 AWG RD length 0.1 m\n  9 F2.out "
    "S1.in 12 AWG RD length 1 m\n"
    "  10 S1.out X1.P2 12 AWG YE length 1 m\n  11 X1.S2 E1.+ 12 AWG YE length 1 m\n  12 E1.- BAT.- "
    "12 AWG BK length 1 m\n"
    "state off\nrequire M1 off unless GEARBOX in neutral\nrequire M1 off unless KEY in "
    "start\nrequire E1 off unless S1 in on\n";

/* ---- the quick look ---- */

struct tally {
  unsigned looked, firm, dead, unsure;
  const char *name;
};

/* More from the battery than all loads together may take: a short, if only through a diode. */
static bool is_short(struct bench *b, const struct pl_solution *solution) {
  for (pl_id d = 0; d < b->harness.devices.n; d++) {
    if (b->harness.devices.at[d].kind == PL_KIND_STARTER && solution->device_on[d])
      return false;
    if (b->harness.devices.at[d].kind == PL_KIND_BATTERY && solution->device_amps[d] > 60)
      return true;
  }
  return false;
}

static void compare_look(struct bench *b,
                         const struct plain *plain,
                         const struct pl_solution *solution,
                         void *context) {
  struct tally *tally = context;
  struct pl_proof *proof = b->proof;

  memset(proof->look.output_on, 0, b->harness.pins.n * sizeof *proof->look.output_on);
  memcpy(proof->look.position, plain->position, b->harness.devices.n * sizeof *plain->position);
  for (uint32_t i = 0; i < plain->state.outputs_on.n; i++)
    proof->look.output_on[plain->state.outputs_on.at[i]] = true;
  proof->look.turning = plain->state.engine == PL_ENGINE_IDLE;
  pl_look(proof);
  tally->looked++;
  if (proof->look.unsure || proof->look.shorted || solution->status != PL_SOLVED ||
      is_short(b, solution)) {
    tally->unsure++;
    return;
  }
  for (uint32_t i = 0; i < proof->switching.n; i++) {
    pl_id id = proof->switching.at[i];
    PL_CHECK(proof->look.on[id] == solution->device_on[id], b->harness.devices.at[id].name);
  }
  for (uint32_t k = 0; k < proof->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    if (proof->branch[k] != PL_BRANCH_LOAD)
      continue;
    if (e->device == PL_NONE)
      continue;
    if (proof->broken[k])
      continue;
    double supply = pl_prove_supply(&b->harness, &b->harness.devices.at[e->device]);
    double volts = fabs(solution->node_volts[e->node_a] - solution->node_volts[e->node_b]);
    if (pl_look_is_firm(proof, k)) {
      PL_CHECK(volts > supply / 2, tally->name);
      tally->firm++;
    } else if (!pl_look_may_carry(proof, k)) {
      PL_CHECK(!(volts > supply / 10),
               tally->name); /* poles of one name are not quite at the same volts */
      tally->dead++;
    }
  }
  for (uint32_t n = 0; n < proof->node_count; n++)
    if (!pl_look_may_be_live(proof, n) && !pl_look_may_be_earthed(proof, n))
      continue;
    else if (!pl_look_may_be_live(proof, n))
      PL_CHECK(!(fabs(solution->node_volts[n]) >= 1), tally->name);
}

static void looks_agree(void) {
  struct tally all = {0};
  for (unsigned i = 0; i <= FILES; i++) {
    struct bench b;
    if (set_up(&b, i < FILES ? files[i] : "mixture", i < FILES ? NULL : mixture)) {
      all.name = i < FILES ? files[i] : "mixture";
      b.proof->watch = b.proof->switching;
      b.proof->active = b.proof->moving;
      unsigned n = enumerate(&b, NULL, compare_look, &all);
      PL_CHECK(n >= 2, all.name);
    }
    tear_down(&b);
  }
  PL_CHECK(all.looked > 100 && all.firm > 200 && all.dead > 200, "enough was compared");
  PL_CHECK(all.unsure * 2 < all.looked, "most combinations are not in doubt");
}

/* The same under every fault of the list but higher resistances. */
static void looks_agree_under_faults(void) {
  static const char *const some[] = {"require-defeated",
                                     "require-defeated.ok",
                                     "keyed-node-live.ok",
                                     "sneak-path.ok"};
  struct tally all = {0};
  for (unsigned i = 0; i < sizeof some / sizeof some[0]; i++) {
    struct bench b;
    pl_faults faults;
    if (set_up(&b, some[i], NULL)) {
      b.proof->watch = b.proof->switching;
      b.proof->active = b.proof->moving;
      pl_faults_list(&b.harness, &b.arena, &faults);
      for (uint32_t f = 0; f < faults.n; f++) {
        if (faults.at[f].kind == PL_FAULT_RESISTANCE)
          continue;
        pl_proof_nets(b.proof, &faults.at[f]);
        b.proof->look.fault = &faults.at[f];
        all.name = pl_arena_printf(&b.arena,
                                   "%s: %s",
                                   some[i],
                                   pl_fault_text(&b.harness, &faults.at[f], &b.arena));
        enumerate(&b, &faults.at[f], compare_look, &all);
        b.proof->look.fault = NULL;
      }
    }
    tear_down(&b);
  }
  PL_CHECK(all.looked > 500 && all.firm > 500 && all.dead > 500, "enough was compared");
}

/* ---- requirements ---- */

struct want {
  const struct pl_require *require;
  bool violated;
};

static bool is_in(const pl_ids *list, pl_id id) {
  for (uint32_t i = 0; i < list->n; i++)
    if (list->at[i] == id)
      return true;
  return false;
}

static bool is_in_some_state(struct bench *b, pl_id output) {
  for (pl_id s = 0; s < b->harness.states.n; s++)
    if (is_in(&b->harness.states.at[s].outputs_on, output))
      return true;
  return false;
}

static void look_for_violation(struct bench *b,
                               const struct plain *plain,
                               const struct pl_solution *solution,
                               void *context) {
  struct want *want = context;
  const struct pl_require *r = want->require;
  const struct pl_device *d = &b->harness.devices.at[r->subject];
  bool hold = true, on;

  for (uint32_t i = 0; i < r->clauses.n; i++)
    hold = hold && plain->position[r->clauses.at[i].device] == r->clauses.at[i].position;
  if (hold == r->unless || solution->status != PL_SOLVED)
    return;
  for (pl_id p = 0; r->on && p < b->harness.pins.n;
       p++) /* outputs stand as some declared state has them on */
    if (is_in_some_state(b, p) != is_in(&plain->state.outputs_on, p))
      return;
  if (d->kind == PL_KIND_RELAY || d->kind == PL_KIND_STARTER || d->kind == PL_KIND_MODULE)
    on = solution->device_on[r->subject];
  else
    on = fabs(solution->device_volts[r->subject]) >= 1.2;
  want->violated = want->violated || on != r->on;
}

static void requires_agree(void) {
  unsigned kept = 0;
  unsigned broken = 0;
  for (unsigned i = 0; i <= FILES; i++) {
    struct bench b;
    if (set_up(&b, i < FILES ? files[i] : "mixture", i < FILES ? NULL : mixture))
      for (uint32_t r = 0; r < b.harness.requires.n; r++) {
        struct want want = {&b.harness.requires.at[r], false};
        struct pl_broken found;
        CU_ASSERT_FATAL(enumerate(&b, NULL, look_for_violation, &want) > 0);
        pl_prove_require(b.proof, r, &found);
        PL_CHECK(found.broken == want.violated, i < FILES ? files[i] : "mixture");
        PL_CHECK(found.broken || found.covered.all, "all combinations");
        kept += !found.broken;
        broken += found.broken;
      }
    tear_down(&b);
  }
  PL_CHECK(kept >= 4 && broken >= 3, "both kinds were met");
}

/* Is the fault among the defeats? */
static bool is_listed(const pl_defeats *defeats, const struct pl_fault *fault) {
  for (uint32_t i = 0; i < defeats->n; i++)
    if (memcmp(&defeats->at[i].fault, fault, sizeof *fault) == 0)
      return true;
  return false;
}

static void defeats_agree(void) {
  static const char *const some[] = {"require-defeated",
                                     "require-defeated.ok",
                                     "require-broken.ok",
                                     "crossed"};
  unsigned yes = 0;
  unsigned no = 0;
  for (unsigned i = 0; i < sizeof some / sizeof some[0]; i++) {
    struct bench b;
    pl_faults faults;
    if (set_up(&b, some[i], strcmp(some[i], "crossed") == 0 ? crossed : NULL)) {
      pl_faults_list(&b.harness, &b.arena, &faults);
      for (uint32_t r = 0; r < b.harness.requires.n; r++) {
        pl_defeats defeats = {0};
        struct pl_covered covered;
        uint32_t undecided;
        pl_prove_defeats(b.proof, r, &defeats, &covered, &undecided);
        PL_CHECK_INT(undecided, 0, some[i]);
        PL_CHECK(covered.all, some[i]);
        for (uint32_t f = 0; f < faults.n; f++) {
          if (faults.at[f].kind == PL_FAULT_RESISTANCE)
            continue;
          struct want want = {&b.harness.requires.at[r], false};
          CU_ASSERT_FATAL(enumerate(&b, &faults.at[f], look_for_violation, &want) > 0);
          PL_CHECK(is_listed(&defeats, &faults.at[f]) == want.violated,
                   pl_fault_text(&b.harness, &faults.at[f], &b.arena));
          yes += want.violated;
          no += !want.violated;
        }
      }
    }
    tear_down(&b);
  }
  PL_CHECK(yes >= 4 && no >= 20, "both kinds were met");
}

/* What must be on, by a way that no declared state takes: the changeover's other side. */
static void on_is_defeated_in_other_positions(void) {
  static const char text[] =
      "machine \"Bench\"\n  drop at most 10 %\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 10 "
      "A\nswitch S1\n  position off\n  position on: 1 to 2\n"
      "switch S2\n  position a: 1 to A\n  position b: 1 to B\nsplice N\npump M1\n  draws 2 "
      "A\nwires of pump\n  1 BAT.+ F1.in 14 AWG RD length 0.1 m\n"
      "  2 F1.out S1.1 14 AWG RD length 1 m\n  3 S1.2 S2.1 14 AWG RD length 1 m\n  4 S2.A N 14 AWG "
      "RD length 1 m\n  5 S2.B N 14 AWG RD length 1 m\n"
      "  6 N M1.+ 14 AWG RD length 1 m\n  7 M1.- BAT.- 14 AWG BK length 1 m\nstate run\n  S1 in "
      "on\nrequire M1 on when S1 in on\n";
  struct bench b;
  if (set_up(&b, "other side", text)) {
    pl_defeats defeats = {0};
    struct pl_covered covered;
    uint32_t undecided;
    const char *fourth = "";
    const char *fifth = "";
    pl_prove_defeats(b.proof, 0, &defeats, &covered, &undecided);
    for (uint32_t i = 0; i < defeats.n; i++) {
      struct want want = {&b.harness.requires.at[0], false};
      if (defeats.at[i].fault.device != PL_NONE &&
          defeats.at[i].fault.device == want.require->subject)
        continue; /* open inside: its volts stay */
      enumerate(&b, &defeats.at[i].fault, look_for_violation, &want);
      PL_CHECK(want.violated, defeats.at[i].fault_text);
      if (strcmp(defeats.at[i].fault_text, "wire 4 broken") == 0)
        fourth = defeats.at[i].combination;
      if (strcmp(defeats.at[i].fault_text, "wire 5 broken") == 0)
        fifth = defeats.at[i].combination;
    }
    PL_CHECK_STR(fourth, "S1 in on", "S2 rests in a");
    PL_CHECK(strstr(fifth, "S2 in b") != NULL, fifth);
    PL_CHECK(covered.all && undecided == 0, "all combinations");
    pl_effects effects = {0};
    pl_effect_rows off = {0};
    pl_prove_effects(b.proof, &effects);
    pl_prove_switches_off(b.proof, 0, &effects, &off);
    for (uint32_t i = 0; i < off.n; i++)
      PL_CHECK(strcmp(off.at[i]->what, "wire 5 broken") != 0, "no declared state shows it");
  }
  tear_down(&b);
}

/* The sheet has a row for each defeat, and no sheet is made when there is none. */
static void defeats_are_listed(void) {
  for (int ok = 0; ok < 2; ok++) {
    struct bench b;
    pl_sheets sheets = {0};
    pl_defeats defeats = {0};
    struct pl_covered covered;
    uint32_t undecided;
    if (set_up(&b, ok ? "require-defeated.ok" : "require-defeated", NULL)) {
      const struct pl_sheet *sheet = NULL;
      pl_sheets_make(&(struct pl_sheet_inputs){.harness = &b.harness, .proof = b.proof},
                     &b.arena,
                     &sheets);
      for (uint32_t i = 0; i < sheets.n; i++)
        if (strcmp(sheets.at[i].file, "defeats") == 0)
          sheet = &sheets.at[i];
      pl_prove_defeats(b.proof, 0, &defeats, &covered, &undecided);
      PL_CHECK((sheet == NULL) == ok, "a sheet");
      PL_CHECK_INT(sheet == NULL ? 0 : sheet->rows.n, defeats.n, "rows");
      PL_CHECK_INT(defeats.n, ok ? 0 : 3, "wire 6 chafed, GEARBOX stuck, the solenoid stuck in");
      if (sheet != NULL)
        PL_CHECK_STR(sheet->rows.at[0].cells[1], "wire 6 chafed to a live feed", "first row");
    }
    tear_down(&b);
  }
}

/* ---- keyed nets ---- */

struct keyed {
  pl_id key;
  uint32_t node;
  double most;
};

static void look_for_volts(struct bench *b,
                           const struct plain *plain,
                           const struct pl_solution *solution,
                           void *context) {
  struct keyed *keyed = context;
  if (plain->position[keyed->key] != b->harness.devices.at[keyed->key].rest)
    return;
  if (solution->status != PL_SOLVED)
    return;
  keyed->most =
      fmax(keyed->most,
           fabs(solution->node_volts[keyed->node])); /* fmax passes over a node that floats */
}

static void keyed_nets_agree(void) {
  for (int ok = 0; ok < 2; ok++) {
    struct bench b;
    pl_keyed_lives lives = {0};
    if (set_up(&b, ok ? "keyed-node-live.ok" : "keyed-node-live", NULL)) {
      pl_id pin = pl_harness_find_pin(&b.harness, "ECM.A3");
      struct keyed keyed = {pl_harness_find_device(&b.harness, "KEY"),
                            pl_network_pin_node(b.network, pin),
                            0};
      CU_ASSERT_FATAL(pin != PL_NONE && enumerate(&b, NULL, look_for_volts, &keyed) > 0);
      pl_prove_keyed(b.proof, &lives);
      PL_CHECK_INT(lives.n, keyed.most >= 1 ? 1 : 0, "found as enumerated");
      PL_CHECK_INT(lives.n, ok ? 0 : 1, "the diode decides");
      if (lives.n == 1) {
        PL_CHECK_CLOSE(lives.at[0].volts, keyed.most, 0.01, "volts");
        PL_CHECK(lives.at[0].pin == pin, "the keyed input is named");
        PL_CHECK(strstr(lives.at[0].path, "lamp H1 backwards") != NULL, lives.at[0].path);
      }
    }
    tear_down(&b);
  }
}

/* ---- sneak paths ---- */

struct coil {
  pl_id relay, own;
  bool sneaks;
}; /* a relay and the switch that alone should feed it */

static void look_for_sneak(struct bench *b,
                           const struct plain *plain,
                           const struct pl_solution *solution,
                           void *context) {
  struct coil *coils = context;
  for (int i = 0; i < 2; i++) /* 1.5 V of 12 hold a relay in: common practice */
    if (plain->position[coils[i].own] == b->harness.devices.at[coils[i].own].rest &&
        solution->status == PL_SOLVED && fabs(solution->device_volts[coils[i].relay]) >= 1.5)
      coils[i].sneaks = true;
}

static void sneaks_agree(void) {
  for (int ok = 0; ok < 2; ok++) {
    struct bench b;
    pl_sneaks sneaks = {0};
    if (set_up(&b, ok ? "sneak-path.ok" : "sneak-path", NULL)) {
      struct coil coils[2];
      for (int i = 0; i < 2; i++)
        coils[i] = (struct coil){pl_harness_find_device(&b.harness, i == 0 ? "K1" : "K2"),
                                 pl_harness_find_device(&b.harness, i == 0 ? "S1" : "S2"),
                                 false};
      CU_ASSERT_FATAL(enumerate(&b, NULL, look_for_sneak, coils) > 0);
      pl_prove_sneaks(b.proof, &sneaks);
      for (int i = 0; i < 2; i++) {
        bool found = false;
        for (uint32_t n = 0; n < sneaks.n; n++)
          found = found || sneaks.at[n].device == coils[i].relay;
        PL_CHECK(found == coils[i].sneaks && found == !ok, ok ? "by diodes" : "by one lamp");
      }
      PL_CHECK_INT(sneaks.n, ok ? 0 : 2, "nothing else");
      for (uint32_t n = 0; n < sneaks.n; n++) {
        PL_CHECK(strstr(sneaks.at[n].path, "lamp H1") != NULL, sneaks.at[n].path);
        PL_CHECK(sneaks.at[n].covered.all, "all combinations");
      }
    }
    tear_down(&b);
  }
}

/* ---- what each fault does ---- */

/* Every row against the state solved in full under its fault; and every fault that changes
 * something has its row. */
static void effects_agree(void) {
  static const char *const some[] = {"require-defeated.ok", "keyed-node-live.ok", "sneak-path.ok"};
  unsigned rows = 0;
  unsigned silent = 0;
  for (unsigned i = 0; i < sizeof some / sizeof some[0]; i++) {
    struct bench b;
    if (set_up(&b, some[i], NULL)) {
      pl_effects effects = {0};
      pl_faults faults;
      uint32_t at = 0;
      pl_prove_effects(b.proof, &effects);
      pl_faults_list(&b.harness, &b.arena, &faults);
      for (uint32_t f = 0; f < faults.n; f++) {
        if (faults.at[f].kind == PL_FAULT_RESISTANCE)
          continue;
        for (pl_id s = 0; s < b.harness.states.n; s++) {
          struct pl_solution solution;
          bool any = false;
          pl_network_solve_fault(b.network, &b.harness.states.at[s], &faults.at[f], &solution);
          const struct pl_effect *row = NULL;
          if (at < effects.n && effects.at[at].state == s &&
              memcmp(&effects.at[at].fault, &faults.at[f], sizeof faults.at[f]) == 0)
            row = &effects.at[at];
          for (pl_id d = 0; d < b.harness.devices.n && solution.status == PL_SOLVED; d++) {
            const struct pl_device *device = &b.harness.devices.at[d];
            bool was, now;
            if (device->kind == PL_KIND_RELAY || device->kind == PL_KIND_MODULE ||
                device->kind == PL_KIND_STARTER) {
              was = b.solutions[s].device_on[d];
              now = solution.device_on[d];
            } else if (pl_kind_is_load(device->kind) && device->load_amps > 0) {
              was = fabs(b.solutions[s].device_amps[d]) >= device->load_amps / 2;
              now = fabs(solution.device_amps[d]) >= device->load_amps / 2;
            } else {
              continue;
            }
            if (was == now)
              continue;
            any = true;
            CU_ASSERT_FATAL(row != NULL);
            PL_CHECK(strstr(was                     ? row->stops
                            : row->warns[0] != '\0' ? row->warns
                                                    : row->starts,
                            device->name) != NULL ||
                         strstr(row->starts, device->name) != NULL,
                     row->what);
          }
          rows += row != NULL;
          silent += row == NULL;
          at += row != NULL;
          if (any)
            PL_CHECK(row != NULL, "a change without a row");
        }
      }
      while (at < effects.n && (effects.at[at].fault.kind == PL_FAULT_DEAD ||
                                effects.at[at].fault.kind == PL_FAULT_UNPLUGGED))
        at++; /* modules dead and connectors off stand behind: tests of the rules hold them to full
                 solutions */
      PL_CHECK_INT(at, effects.n, "rows in the order of the faults");
    }
    tear_down(&b);
  }
  PL_CHECK(rows > 40 && silent > 40, "both kinds were met");
}

static const struct pl_effect *effect_of(const pl_effects *effects, const char *what) {
  for (uint32_t i = 0; i < effects->n; i++)
    if (strcmp(effects->at[i].what, what) == 0)
      return &effects->at[i];
  return NULL;
}

/* What reads wrong, by hand: 1 kohm to 5 V over 1 kohm is 2.5 V; a gauge of 240..33 ohm over a
 * sender at 33 ohm shows full; and what switches off what must be on. */
static void misreadings(void) {
  static const char text[] =
      "machine \"m\"\n  drop at most 20 %\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 10 "
      "A\nswitch S1\n  position off\n  position on: in to out\n"
      "module ECM\n  1 battery feed, 1 A\n  2 ground\n  3 signal input, pull-up 1 kohm to 5 V\n  4 "
      "sensor return\n  5 switch input, pull-up 2 kohm\n  6 data high\n  7 data low\n"
      "module TCM\n  1 battery feed, 1 A\n  2 ground\n  6 data high\n  7 data low\n"
      "sensor B1\n  resistance 1 kohm\nsender B2\n  reading 0 at 240 ohm, 100 at 33 ohm\ngauge "
      "P1\n  resistance 100 ohm\n  reading 0 at 240 ohm, 100 at 33 ohm\n"
      "pump M1\n  draws 2 A\nswitch S2\n  position off\n  position on: 1 to 2\n"
      "wires of w\n  1 BAT.+ F1.in 14 AWG RD length 0.1 m\n  2 F1.out ECM.1 14 AWG RD length 1 m\n "
      " 3 ECM.2 BAT.- 14 AWG BK length 1 m\n"
      "  4 ECM.3 B1.signal 18 AWG BU length 1 m\n  5 ECM.4 B1.return 18 AWG BU length 1 m\n  6 "
      "F1.out P1.+ 18 AWG RD length 1 m\n  7 P1.- BAT.- 18 AWG BK length 1 m\n"
      "  8 P1.S B2.signal 18 AWG BU length 1 m\n  9 B2.case BAT.- 18 AWG BK length 1 m\n  10 ECM.5 "
      "S2.1 18 AWG GN length 1 m\n  11 S2.2 BAT.- 18 AWG BK length 1 m\n"
      "  12 F1.out S1.in 14 AWG RD length 1 m\n  13 S1.out M1.+ 14 AWG RD length 1 m\n  14 M1.- "
      "BAT.- 14 AWG BK length 1 m\n"
      "  15 F1.out TCM.1 14 AWG RD length 1 m\n  16 TCM.2 BAT.- 14 AWG BK length 1 m\n  17 ECM.6 "
      "TCM.6 18 AWG YE length 1 m\n  18 ECM.7 TCM.7 18 AWG GN length 1 m\n"
      "state run\n  S1 in on\n  S2 in on\nrequire M1 on when S1 in on\n";
  static const struct {
    const char *fault, *misreads;
  } rows[] = {
      {"wire 4 broken", "ECM.3 sees 5 V for 2.5 V"},
      {"wire 4 chafed to chassis", "ECM.3 sees 0 V for 2.5 V"},
      {"wire 8 chafed to chassis", "P1 shows 100 for 50"},
      {"wire 8 broken", "P1 shows 0 for 50"},
      {"wire 10 broken", "ECM.5 sees 12 V for 0 V"},
      {"wire 17 broken", "the data link may fall silent"},
  };
  struct bench b;
  if (set_up(&b, "misreadings", text)) {
    pl_effects effects = {0};
    pl_effect_rows off = {0};
    pl_prove_effects(b.proof, &effects);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
      const struct pl_effect *effect = effect_of(&effects, rows[i].fault);
      PL_CHECK(effect != NULL, rows[i].fault);
      if (effect != NULL)
        PL_CHECK_STR(effect->misreads, rows[i].misreads, rows[i].fault);
    }
    PL_CHECK(strstr(effect_of(&effects, "wire 6 broken")->stops, "P1") != NULL,
             "a gauge without its feed is dead");
    pl_effects some = {0};
    pl_faults one = {0};
    struct pl_fault cut = effect_of(&effects, "wire 13 broken")->fault;
    PL_PUSH(&b.arena, &one, cut);
    pl_prove_effects_of(b.proof, &one, &some);
    PL_CHECK_INT(some.n, 1, "one wire asked for, one state");
    PL_CHECK_STR(some.at[0].stops, "M1", "the pump stops");
    pl_prove_switches_off(b.proof, 0, &effects, &off);
    PL_CHECK(off.n > 4, "battery wire, fuse, switch and the pump's own wires");
    for (uint32_t i = 0; i < off.n; i++)
      PL_CHECK(strstr(off.at[i]->stops, "M1") != NULL && strstr(off.at[i]->what, "wire 16") == NULL,
               off.at[i]->what);
  }
  tear_down(&b);
}

/* ---- many combinations ---- */

/* 12 switches in one row: 4,096 combinations, one look. */
static void caps_hold(void) {
  struct bench b;
  struct pl_arena arena;
  struct pl_buffer text;
  pl_test_arena(&arena);
  pl_buffer_init(&text, &arena);
  pl_buffer_puts(&text,
                 "machine \"Bench\"\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 10 A\nlamp E1\n  "
                 "draws 1 A\n");
  for (int i = 1; i <= 12; i++)
    pl_buffer_printf(&text, "switch S%d\n  position off\n  position on: 1 to 2\n", i);
  pl_buffer_puts(&text,
                 "wires of chain\n  1 BAT.+ F1.in 12 AWG RD length 0.1 m\n  2 F1.out S1.1 12 AWG "
                 "RD length 0.1 m\n");
  for (int i = 1; i < 12; i++)
    pl_buffer_printf(&text, "  %d S%d.2 S%d.1 12 AWG RD length 0.1 m\n", i + 2, i, i + 1);
  pl_buffer_puts(&text,
                 "  14 S12.2 E1.+ 12 AWG RD length 0.1 m\n  15 E1.- BAT.- 12 AWG BK length 0.1 "
                 "m\nstate off\nrequire E1 off unless S1 in on\n");
  if (set_up(&b, "chain", text.at)) {
    struct pl_broken broken;
    pl_prove_require(b.proof, 0, &broken);
    PL_CHECK(!broken.broken, "a chain of switches");
    PL_CHECK(broken.covered.all, "all");
    PL_CHECK_CLOSE(broken.covered.there_are, 4096, 1e-12, "there are");
    PL_CHECK(broken.covered.sets <= 2 && broken.covered.solved == 0, "one open switch says it all");
  }
  tear_down(&b);
  pl_arena_release(&arena);
}

int main(void) {
  static CU_TestInfo tests[] = {
      {"quick looks agree with the network", looks_agree},
      {"quick looks agree under single faults", looks_agree_under_faults},
      {"requirements agree with enumeration", requires_agree},
      {"defeats agree with enumeration", defeats_agree},
      {"what must be on, in other positions", on_is_defeated_in_other_positions},
      {"defeats make a sheet", defeats_are_listed},
      {"keyed nets agree with enumeration", keyed_nets_agree},
      {"sneak paths agree with enumeration", sneaks_agree},
      {"the fault table agrees with full solutions", effects_agree},
      {"what reads wrong, and what switches off what must be on", misreadings},
      {"combinations are capped and counted", caps_hold},
      CU_TEST_INFO_NULL};
  CU_SuiteInfo suites[] = {PL_SUITE("proofs", tests),
                           PL_SUITE("exact search", exact_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
