/* What the tests of src/draw share: hand-built harnesses and the checks of geometry. */
#ifndef PL_TEST_DRAW_H
#define PL_TEST_DRAW_H

#include "draw/scene.h"
#include "pl_test.h"

struct draw_kit {
  struct pl_arena arena;
  struct pl_harness harness;
  uint32_t numbers;
};

void draw_kit_start(struct draw_kit *kit);
void draw_kit_end(struct draw_kit *kit);

/* A device with plain pins: names separated by spaces, "" alone for a node. */
pl_id draw_device(struct draw_kit *kit,
                  enum pl_kind kind,
                  const char *name,
                  const char *text,
                  const char *pins);
/* A device whose pins are cavities 1..n of one connector. */
pl_id draw_connector_device(struct draw_kit *kit,
                            enum pl_kind kind,
                            const char *name,
                            uint32_t cavities,
                            uint32_t rows,
                            enum pl_shape shape);
pl_id draw_circuit(struct draw_kit *kit, const char *name, const char *title);
/* Ends by full name; "-" in the air. */
pl_id draw_wire(struct draw_kit *kit,
                pl_id circuit,
                const char *number,
                const char *from,
                const char *to,
                const char *base,
                const char *stripe);
pl_id draw_pin(const struct draw_kit *kit, const char *full);

/* Battery, key, fuses, relay, pump, lamp, controller, sensor: two circuits. */
void draw_small_machine(struct draw_kit *kit);

/* Devices, wires and circuits by lot. */
void draw_random_machine(struct draw_kit *kit, uint32_t seed);

/* No text on text, on a wire or off the page; no two wires along each other; each wire of the
 * circuit drawn once, each end on ink. */
void draw_check_pages(const struct pl_harness *harness,
                      pl_id circuit,
                      const pl_scenes *pages,
                      const char *row);
/* The same items in the same order. */
void draw_check_same(const pl_scenes *a, const pl_scenes *b, const char *row);
void draw_check_texts(const struct pl_scene *scene, const char *row);

extern CU_TestInfo draw_scene_tests[], draw_face_tests[], draw_power_tests[], draw_plan_tests[];

#endif
