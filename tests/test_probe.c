/* Probing: traces walked by hand over a small machine, readings as a person writes them, and where
 * wires end. */
#include "test_probe.h"
#include "network_kit.h"

#include "probe/probe.h"

/* Battery - fuse - key switch - splice - two lamps, grounds on a bond to the frame; a relay contact
 * beside. */
static void machine(struct kit *kit) {
  kit_start(kit);
  kit_battery(kit, "BAT", 12.6, 0.01);
  kit_device(kit, pl_device_blank(), PL_KIND_FUSE, "F1", "in out");
  kit_device(kit, pl_device_blank(), PL_KIND_SWITCH, "KEY", "B IGN ACC");
  kit_throw(kit, "KEY", "off", NULL, NULL);
  pl_id run = kit_throw(kit, "KEY", "run", "KEY.B", "KEY.IGN");
  kit_join(kit, &kit_at(kit, "KEY")->throws.at[run].joins, "KEY.B", "KEY.ACC");
  kit_throw(kit, "KEY", "start", "KEY.B", "KEY.IGN");
  kit_device(kit, pl_device_blank(), PL_KIND_SPLICE, "SP1", ".");
  struct pl_device lamp = pl_device_blank();
  lamp.ohms = 12;
  kit_device(kit, lamp, PL_KIND_LAMP, "E1", "+ -");
  kit_device(kit, lamp, PL_KIND_LAMP, "E2", "+ -");
  pl_id frame = kit_device(kit, pl_device_blank(), PL_KIND_CHASSIS, "FRAME", ".");
  struct pl_device bond = pl_device_blank();
  bond.body = frame;
  kit_device(kit, bond, PL_KIND_BOND, "G1", ".");
  kit_wire(kit, "BAT.+", "F1.in", 0.01);  /* wire 1 */
  kit_wire(kit, "F1.out", "KEY.B", 0.01); /* 2 */
  kit_wire(kit, "KEY.IGN", "SP1", 0.01);  /* 3 */
  kit_wire(kit, "SP1", "E1.+", 0.01);     /* 4 */
  kit_wire(kit, "SP1", "E2.+", 0.01);     /* 5 */
  kit_wire(kit, "E1.-", "G1", 0.01);      /* 6 */
  kit_wire(kit, "E2.-", "G1", 0.01);      /* 7 */
  kit_wire(kit, "G1", "BAT.-", 0.01);     /* 8 */
}

/* "0: 4 SP1>E1.+" a line: depth, wire number or device, from, to. */
static const char *trace(struct kit *kit, const char *pin) {
  struct pl_buffer out;
  pl_hops hops = {0};
  pl_buffer_init(&out, &kit->arena);
  pl_buffer_puts(&out, "");
  pl_probe_trace(&kit->harness, kit_pin(kit, pin), &kit->arena, &hops);
  for (uint32_t i = 0; i < hops.n; i++) {
    const struct pl_hop *h = &hops.at[i];
    pl_buffer_printf(&out,
                     "%u: %s %s>%s\n",
                     h->depth,
                     h->wire != PL_NONE ? kit->harness.wires.at[h->wire].number
                                        : kit->harness.devices.at[h->device].name,
                     kit->harness.pins.at[h->from].full,
                     h->to == PL_NONE ? "-" : kit->harness.pins.at[h->to].full);
  }
  return out.at;
}

static void traces(void) {
  struct kit kit;
  machine(&kit);
  PL_CHECK_STR(
      trace(&kit, "E1.+"),
      "0: 4 E1.+>SP1\n"
      "1: 3 SP1>KEY.IGN\n"
      "1: KEY KEY.IGN>KEY.B\n"
      "2: 2 KEY.B>F1.out\n"
      "2: F1 F1.out>F1.in\n"
      "2: 1 F1.in>BAT.+\n"
      "2: KEY KEY.B>KEY.ACC\n"
      "1: 5 SP1>E2.+\n",
      "from a lamp up: the splice branches, and so does the key, which joins all three in run");
  PL_CHECK_STR(trace(&kit, "E1.-"),
               "0: 6 E1.->G1\n0: G1 G1>FRAME\n",
               "to ground, and not over all that is grounded");
  PL_CHECK_STR(trace(&kit, "BAT.-"), "0: 8 BAT.->G1\n0: G1 G1>FRAME\n", "from the post");
  PL_CHECK_STR(trace(&kit, "F1.in"),
               "0: 1 F1.in>BAT.+\n"
               "0: F1 F1.in>F1.out\n"
               "0: 2 F1.out>KEY.B\n"
               "1: KEY KEY.B>KEY.IGN\n"
               "1: 3 KEY.IGN>SP1\n"
               "2: 4 SP1>E1.+\n"
               "2: 5 SP1>E2.+\n"
               "1: KEY KEY.B>KEY.ACC\n",
               "both ways from a fuse; every position of the key; each contact once");
  PL_CHECK_STR(trace(&kit, "KEY.ACC"),
               "0: KEY KEY.ACC>KEY.B\n"
               "1: 2 KEY.B>F1.out\n"
               "1: F1 F1.out>F1.in\n"
               "1: 1 F1.in>BAT.+\n"
               "1: KEY KEY.B>KEY.IGN\n"
               "1: 3 KEY.IGN>SP1\n"
               "2: 4 SP1>E1.+\n"
               "2: 5 SP1>E2.+\n",
               "position run joins all three");
  kit_end(&kit);
}

/* A to B in one position, B to C in another: from A one comes to B and its wires, not through to C.
 */
static void positions_do_not_mix(void) {
  struct kit kit;
  kit_start(&kit);
  kit_device(&kit, pl_device_blank(), PL_KIND_SWITCH, "S", "A B C D");
  pl_id one = kit_throw(&kit, "S", "one", "S.A", "S.B");
  kit_throw(&kit, "S", "two", "S.B", "S.C");
  PL_CHECK_STR(trace(&kit, "S.A"), "0: S S.A>S.B\n", "never A to C");
  kit_join(&kit, &kit_at(&kit, "S")->throws.at[one].joins, "S.B", "S.D");
  PL_CHECK_STR(trace(&kit, "S.A"),
               "0: S S.A>S.B\n0: S S.B>S.D\n",
               "but to D, joined in the same position");
  kit_end(&kit);
}

static void loose_and_removed(void) {
  struct kit kit;
  machine(&kit);
  struct pl_wire *w = &kit.harness.wires.at[3];
  w->end[1] = PL_NONE;
  PL_CHECK_STR(pl_probe_far_end(&kit.harness, 3, kit_pin(&kit, "SP1")), "in the air", "no end");
  w->status = PL_WIRE_DONOR_CAPPED;
  PL_CHECK_STR(pl_probe_far_end(&kit.harness, 3, kit_pin(&kit, "SP1")), "capped", "meant so");
  PL_CHECK_STR(pl_probe_far_end(&kit.harness, 0, kit_pin(&kit, "BAT.+")), "F1.in", "the other end");
  PL_CHECK_STR(pl_probe_far_end(&kit.harness, 0, kit_pin(&kit, "F1.in")),
               "BAT.+",
               "seen from there");
  kit.harness.wires.at[4].status = PL_WIRE_DONOR_REMOVED;
  PL_CHECK_STR(pl_probe_far_end(&kit.harness, 4, kit_pin(&kit, "SP1")), "removed", "taken out");
  PL_CHECK_STR(trace(&kit, "KEY.IGN"),
               "0: 3 KEY.IGN>SP1\n"
               "0: 4 SP1>-\n"
               "0: KEY KEY.IGN>KEY.B\n"
               "1: 2 KEY.B>F1.out\n"
               "1: F1 F1.out>F1.in\n"
               "1: 1 F1.in>BAT.+\n"
               "1: KEY KEY.B>KEY.ACC\n",
               "a capped wire ends, a removed one is not there");
  kit_end(&kit);
}

/* Starter posts carry wires on; relay contacts in both positions; an inline pair; a ring comes to
 * its end; a coil does not lead on. */
static void through_other_things(void) {
  struct kit kit;
  kit_start(&kit);
  kit_device(&kit, pl_device_blank(), PL_KIND_STARTER, "M1", "30 50 31");
  kit_device(&kit, pl_device_blank(), PL_KIND_RELAY, "K1", "30 85 86 87 87a");
  kit_join(&kit, &kit_at(&kit, "K1")->make, "K1.30", "K1.87");
  kit_join(&kit, &kit_at(&kit, "K1")->brk, "K1.30", "K1.87a");
  kit_device(&kit, pl_device_blank(), PL_KIND_INLINE, "X1", "P1 P2 S1 S2");
  kit_join(&kit, &kit_at(&kit, "X1")->fixed, "X1.P1", "X1.S1");
  kit_join(&kit, &kit_at(&kit, "X1")->fixed, "X1.P2", "X1.S2");
  kit_stud(&kit, "S1");
  kit_wire(&kit, "S1", "M1.30", 0.01);     /* 1 */
  kit_wire(&kit, "M1.30", "K1.30", 0.01);  /* 2 */
  kit_wire(&kit, "K1.87a", "X1.P1", 0.01); /* 3 */
  kit_wire(&kit, "X1.S1", "S1", 0.01);     /* 4: a ring */
  kit_wire(&kit, "K1.87", "K1.86", 0.01);  /* 5: ends at the coil */
  PL_CHECK_STR(trace(&kit, "S1"),
               "0: 1 S1>M1.30\n"
               "0: 2 M1.30>K1.30\n"
               "1: K1 K1.30>K1.87\n"
               "1: 5 K1.87>K1.86\n"
               "1: K1 K1.30>K1.87a\n"
               "1: 3 K1.87a>X1.P1\n"
               "1: X1 X1.P1>X1.S1\n"
               "1: 4 X1.S1>S1\n",
               "round the ring once");
  kit_end(&kit);
}

/* A chain of 20,000 splices: no recursion to run out of, and time that grows with the wires only.
 */
static void long_chain(void) {
  struct kit kit;
  pl_hops hops = {0};
  enum {
    LINKS = 20000
  };
  kit_start(&kit);
  for (int i = 0; i <= LINKS; i++)
    kit_device(&kit, pl_device_blank(), PL_KIND_SPLICE, pl_arena_printf(&kit.arena, "S%d", i), ".");
  for (int i = 0; i < LINKS; i++)
    kit_wire(&kit,
             pl_arena_printf(&kit.arena, "S%d", i),
             pl_arena_printf(&kit.arena, "S%d", i + 1),
             0.01);
  pl_probe_trace(&kit.harness, 0, &kit.arena, &hops);
  PL_CHECK_INT(hops.n, LINKS, "every wire once");
  pl_hops none = {0};
  pl_probe_trace(&kit.harness, PL_NONE, &kit.arena, &none);
  PL_CHECK_INT(none.n, 0, "no such pin");
  kit_end(&kit);
}

static void readings(void) {
  static const struct {
    double volts;
    const char *text;
  } rows[] = {{12.44, "12.4 V"},
              {12.449, "12.4 V"},
              {12.96, "13.0 V"},
              {5, "5.0 V"},
              {0.45, "0.45 V"},
              {0.0612, "0.06 V"},
              {0.0049, "0 V"},
              {-0.0049, "0 V"},
              {0, "0 V"},
              {-12.55, "-12.6 V"},
              {0.998, "1.0 V"},
              {NAN, "open"}};
  struct kit kit;
  machine(&kit);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    kit.solution.pin_volts[0] = rows[i].volts;
    PL_CHECK_STR(pl_probe_reading(&kit.solution, 0, &kit.arena), rows[i].text, "reading");
  }
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_STR(pl_probe_reading(&kit.solution, kit_pin(&kit, "F1.out"), &kit.arena),
               "12.6 V",
               "behind the fuse");
  PL_CHECK_STR(pl_probe_reading(&kit.solution, kit_pin(&kit, "E1.+"), &kit.arena),
               "0 V",
               "key off: the lamp pulls it down");
  PL_CHECK_STR(pl_probe_reading(&kit.solution, kit_pin(&kit, "KEY.ACC"), &kit.arena),
               "open",
               "nothing on it");
  PL_CHECK_STR(pl_probe_reading_band(&kit.harness,
                                     &kit.solution,
                                     kit_pin(&kit, "F1.out"),
                                     (struct pl_band){12.41, 12.79, PL_NONE},
                                     &kit.arena),
               "12.6 V (12.4 to 12.8 V)",
               "as many places as the figure");
  PL_CHECK_STR(pl_probe_reading_band(&kit.harness,
                                     &kit.solution,
                                     kit_pin(&kit, "F1.out"),
                                     (struct pl_band){12.4, 12.8, 0},
                                     &kit.arena),
               pl_arena_printf(&kit.arena,
                               "12.6 V (12.4 to 12.8 V; other volts if %s changes over)",
                               kit.harness.devices.at[0].name),
               "a device that moves");
  PL_CHECK_STR(pl_probe_reading_band(&kit.harness,
                                     &kit.solution,
                                     kit_pin(&kit, "E1.+"),
                                     (struct pl_band){-0.001, 0.002, PL_NONE},
                                     &kit.arena),
               "0 V",
               "no band to speak of");
  PL_CHECK_STR(pl_probe_reading_band(&kit.harness,
                                     &kit.solution,
                                     kit_pin(&kit, "KEY.ACC"),
                                     (struct pl_band){NAN, NAN, PL_NONE},
                                     &kit.arena),
               "open",
               "no band");
  kit.solution.status = PL_SOLVE_CYCLE;
  PL_CHECK_STR(pl_probe_reading(&kit.solution, kit_pin(&kit, "F1.out"), &kit.arena),
               "not known",
               "a state without rest");
  kit_end(&kit);
}

/* Two fuses on one stud: from behind one of them the way to the battery, not the other fuse's
 * loads. */
static void only_upward_behind_a_fuse(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.01);
  kit_stud(&kit, "BUS");
  kit_device(&kit, pl_device_blank(), PL_KIND_FUSE, "F1", "in out");
  kit_device(&kit, pl_device_blank(), PL_KIND_FUSE, "F2", "in out");
  kit_resistor(&kit, "R1", 10);
  kit_resistor(&kit, "R2", 10);
  kit_wire(&kit, "BAT.+", "BUS", 0.01);   /* wire 1 */
  kit_wire(&kit, "BUS", "F1.in", 0.01);   /* 2 */
  kit_wire(&kit, "BUS", "F2.in", 0.01);   /* 3 */
  kit_wire(&kit, "F1.out", "R1.1", 0.01); /* 4 */
  kit_wire(&kit, "F2.out", "R2.1", 0.01); /* 5 */
  PL_CHECK_STR(trace(&kit, "R1.1"),
               "0: 4 R1.1>F1.out\n"
               "0: F1 F1.out>F1.in\n"
               "0: 2 F1.in>BUS\n"
               "0: 1 BUS>BAT.+\n"
               "0: R1 R1.1>R1.2\n",
               "to the battery and no further");
  PL_CHECK(strstr(trace(&kit, "BUS"), "5 F2.out>R2.1") != NULL,
           "from the stud itself everything it feeds");
  kit_end(&kit);
}

static CU_TestInfo probe_tests[] = {{"traces", traces},
                                    {"positions of a switch", positions_do_not_mix},
                                    {"loose and removed wires", loose_and_removed},
                                    {"posts, relays, inline pairs, rings", through_other_things},
                                    {"a long chain", long_chain},
                                    {"only upward behind a fuse", only_upward_behind_a_fuse},
                                    {"readings", readings},
                                    CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("probe", probe_tests),
                           PL_SUITE("ways", probe_path_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
