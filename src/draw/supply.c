/* Poles of batteries, whichever of them is earthed. */
#include "draw/supply.h"

#include <string.h>

pl_id pl_supply_pole(const struct pl_harness *harness, pl_id battery, bool earthed) {
  const struct pl_device *device = &harness->devices.at[battery];
  bool minus = earthed != harness->machine.positive_earth;
  pl_id pole = minus ? device->minus : device->plus;
  for (uint32_t i = 0; pole == PL_NONE && i < device->pin_count; i++)
    if (strcmp(harness->pins.at[device->first_pin + i].name, minus ? "-" : "+") == 0)
      pole = device->first_pin + i;
  return pole;
}
