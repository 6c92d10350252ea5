/* Insulations of vehicle wire: how hot the conductor may get and how cold the wire may be flexed.
 * Row 0 is the default. Knows nothing of sizes, amperage or the harness. */
#include "standard/wire.h"
#include "standard/words_inner.h"

#define CROSS_LINKED "SAE J1128 as quoted in wire guides; lower limit printed as -40 or -51 degC"
#define MEMORY "SAE J1127/J1128 type name; temperatures from memory"
#define CLASS "ISO 6722 temperature classes, as printed in a table of vehicle cable"

const struct pl_insulation pl_insulations[] = {
    {"GXL", "cross-linked, thin wall", 125, -40, "thin", CROSS_LINKED},
    {"TXL", "cross-linked, extra thin wall", 125, -40, "extra thin", CROSS_LINKED},
    {"SXL", "cross-linked, standard wall", 125, -40, "standard", CROSS_LINKED},
    {"GPT",
     "thermoplastic (PVC), standard wall",
     80,
     -40,
     "standard",
     "SAE J1128 as quoted in wire guides"},
    {"TWP", "thermoplastic (PVC), thin wall", 80, -40, "thin", MEMORY},
    {"HDT", "thermoplastic (PVC), heavy duty", 80, -40, "standard", MEMORY},
    {"SGT", "starter and ground cable, thermoplastic (PVC)", 80, -40, "standard", MEMORY},
    {"SGX", "starter and ground cable, cross-linked", 125, -40, "standard", MEMORY},
    {"PVC", "PVC of unknown make", 80, -20, "", "common practice; lower limit from memory"},
    {"UL 1426",
     "boat cable, 105 degC dry",
     105,
     -20,
     "standard",
     "UL 1426 as printed in boat cable catalogues; lower limit from memory"},
    {"ISO A", "vehicle cable class A", 85, -40, "thin", CLASS},
    {"ISO B", "vehicle cable class B", 100, -40, "thin", CLASS},
    {"ISO C", "vehicle cable class C", 125, -40, "thin", CLASS},
    {"ISO D", "vehicle cable class D", 150, -40, "thin", CLASS},
    {"ISO E", "vehicle cable class E", 175, -40, "thin", CLASS},
    {"ISO F", "vehicle cable class F", 200, -40, "thin", CLASS},
    {"ISO G", "vehicle cable class G", 225, -40, "thin", CLASS},
    {"ISO H", "vehicle cable class H", 250, -40, "thin", CLASS},
};
const uint32_t pl_insulation_count = sizeof pl_insulations / sizeof pl_insulations[0];

uint32_t pl_insulation_find(const char *name) {
  for (uint32_t i = 0; i < pl_insulation_count; i++) {
    if (pl_word_same(pl_insulations[i].name, name))
      return i;
  }
  return UINT32_MAX;
}
