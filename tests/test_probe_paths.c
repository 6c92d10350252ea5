/* Ways between two pins on small machines, walked by hand. */
#include "network_kit.h"
#include "test_probe.h"

#include "probe/ways_between.h"

/* "1>2>F1" a way: numbers of wires, names of devices; ways apart by blanks. */
static const char *ways(struct kit *kit, const char *from, const char *to, struct pl_paths *paths) {
  struct pl_buffer out;

  kit_solve(kit, PL_ENGINE_STOPPED);
  pl_probe_paths(&kit->harness,
                 kit->network,
                 &kit->solution,
                 kit_pin(kit, from),
                 kit_pin(kit, to),
                 &kit->arena,
                 paths);
  pl_buffer_init(&out, &kit->arena);
  pl_buffer_puts(&out, "");
  for (uint32_t i = 0; i < paths->list.n; i++)
    for (uint32_t j = 0; j < paths->list.at[i].steps.n; j++) {
      const struct pl_element *e = &kit->solution.elements[paths->list.at[i].steps.at[j].element];
      pl_buffer_printf(&out,
                       "%s%s",
                       j > 0   ? ">"
                       : i > 0 ? " "
                               : "",
                       e->wire != PL_NONE ? kit->harness.wires.at[e->wire].number
                                          : kit->harness.devices.at[e->device].name);
    }
  return out.at;
}

/* 12 V over 12 ohm and a quarter ohm of wires, two of them side by side: 0.98 A, halved. */
static void side_by_side(void) {
  struct kit kit;
  struct pl_paths paths;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.001);
  kit_resistor(&kit, "R1", 12);
  kit_stud(&kit, "S1");
  kit_wire(&kit, "BAT.+", "S1", 0.1);   /* wire 1 */
  kit_wire(&kit, "BAT.+", "S1", 0.1);   /* 2 */
  kit_wire(&kit, "S1", "R1.1", 0.1);    /* 3 */
  kit_wire(&kit, "R1.2", "BAT.-", 0.1); /* 4 */
  PL_CHECK_STR(ways(&kit, "BAT.+", "R1.1", &paths),
               "1>3 2>3",
               "both ways, in the order of the text");
  PL_CHECK(!paths.through_loads && !paths.more, "by wires alone");
  const struct pl_element *e = &kit.solution.elements[paths.list.at[0].steps.at[0].element];
  PL_CHECK_CLOSE(pl_probe_step_drop(&kit.solution, paths.list.at[0].steps.at[0]),
                 0.49 * 0.1,
                 0.01,
                 "0.98 A, halved, through 0.1 ohm");
  PL_CHECK_CLOSE(pl_probe_step_drop(&kit.solution, paths.list.at[0].steps.at[0]),
                 e->amps * e->ohms,
                 1e-9,
                 "Ohm's law");
  PL_CHECK_STR(ways(&kit, "R1.1", "BAT.+", &paths), "3>1 3>2", "from the other end");
  PL_CHECK_CLOSE(pl_probe_step_drop(&kit.solution, paths.list.at[0].steps.at[0]),
                 -0.98 * 0.1,
                 0.03,
                 "walked against the current");
  PL_CHECK_STR(ways(&kit, "S1", "BAT.-", &paths),
               "3>R1>4",
               "through the load when nothing else joins them");
  PL_CHECK(paths.through_loads, "and it says so");
  PL_CHECK_STR(ways(&kit, "S1", "S1", &paths), "", "a pin and itself");
  kit_end(&kit);
}

/* A ladder of twenty rungs: more ways than anybody reads; the search stops at its cap and says so.
 */
static void capped(void) {
  struct kit kit;
  struct pl_paths paths;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.001);
  for (int i = 0; i <= 20; i++)
    kit_stud(&kit, pl_arena_printf(&kit.arena, "S%d", i));
  kit_wire(&kit, "BAT.+", "S0", 0.01);
  for (int i = 0; i < 20; i++)
    for (int k = 0; k < 2; k++)
      kit_wire(&kit,
               pl_arena_printf(&kit.arena, "S%d", i),
               pl_arena_printf(&kit.arena, "S%d", i + 1),
               0.01);
  ways(&kit, "BAT.+", "S20", &paths);
  PL_CHECK_INT(paths.list.n, PL_PATHS_MOST, "as many as are listed");
  PL_CHECK(paths.more, "there are more");
  kit_end(&kit);
}

CU_TestInfo probe_path_tests[] = {{"side by side", side_by_side},
                                  {"more than can be listed", capped},
                                  CU_TEST_INFO_NULL};
