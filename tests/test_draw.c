/* Tests of src/draw: scenes and text widths, connector faces, power, plan and board. */
#include "test_draw.h"

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("scenes", draw_scene_tests),
                           PL_SUITE("faces", draw_face_tests),
                           PL_SUITE("power", draw_power_tests),
                           PL_SUITE("plan and board", draw_plan_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
