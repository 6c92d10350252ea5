/* The words and units that readings are said in.  Whatever is not in the list is a name of the
 * machine, or not understood; fillers may stand anywhere and say nothing. */
#include "suspect/reading_words_inner.h"

#include <string.h>
#include <strings.h>

const struct pl_reading_word pl_reading_words[] = {
    {"to", PL_WORD_FILLER},       {"and", PL_WORD_FILLER},       {"is", PL_WORD_FILLER},
    {"are", PL_WORD_FILLER},      {"in", PL_WORD_FILLER},        {"the", PL_WORD_FILLER},
    {"at", PL_WORD_FILLER},       {"a", PL_WORD_FILLER},         {"when", PL_WORD_FILLER},
    {"gauge", PL_WORD_FILLER},    {"needle", PL_WORD_FILLER},    {"data", PL_WORD_FILLER},
    {"from", PL_WORD_FILLER},     {"state", PL_WORD_FILLER},     {"with", PL_WORD_FILLER},
    {"does", PL_WORD_FILLER},     {"do", PL_WORD_FILLER},        {"as", PL_WORD_FILLER},
    {"it", PL_WORD_FILLER},       {"they", PL_WORD_FILLER},      {"should", PL_WORD_SHOULD},
    {"be", PL_WORD_FILLER},       {"power", PL_WORD_FILLER},     {"across", PL_WORD_FILLER},
    {"pin", PL_WORD_FILLER},      {"end", PL_WORD_FILLER},       {"between", PL_WORD_FILLER},
    {"lamp", PL_WORD_FILLER},     {"pump", PL_WORD_FILLER},      {"motor", PL_WORD_FILLER},
    {"fan", PL_WORD_FILLER},      {"relay", PL_WORD_FILLER},     {"fuse", PL_WORD_FILLER},
    {"switch", PL_WORD_FILLER},   {"solenoid", PL_WORD_FILLER},  {"starter", PL_WORD_FILLER},
    {"module", PL_WORD_FILLER},   {"heater", PL_WORD_FILLER},    {"horn", PL_WORD_FILLER},
    {"found", PL_WORD_FILLER},    {"reads", PL_WORD_FILLER},     {"shows", PL_WORD_FILLER},
    {"key", PL_WORD_FILLER},      {"else", PL_WORD_ALL},         {"there", PL_WORD_FILLER},
    {"not", PL_WORD_NOT},         {"no", PL_WORD_NOT},           {"doesn't", PL_WORD_NOT},
    {"isn't", PL_WORD_NOT},       {"never", PL_WORD_NOT},        {"ground", PL_WORD_GROUND},
    {"earth", PL_WORD_GROUND},    {"chassis", PL_WORD_GROUND},   {"frame", PL_WORD_GROUND},
    {"off", PL_WORD_OFF},         {"unplugged", PL_WORD_INSIDE}, {"inside", PL_WORD_INSIDE},
    {"itself", PL_WORD_INSIDE},   {"all", PL_WORD_ALL},          {"rest", PL_WORD_ALL},
    {"everything", PL_WORD_ALL},  {"fuses", PL_WORD_FUSES},      {"code", PL_WORD_CODE},
    {"codes", PL_WORD_CODE},      {"new", PL_WORD_NEW},          {"search", PL_WORD_SEARCH},
    {"nothing", PL_WORD_NOTHING}, {"wire", PL_WORD_WIRE},        {"open", PL_WORD_OPEN},
    {"OL", PL_WORD_OPEN},         {"runs", PL_WORD_RUNS},        {"run", PL_WORD_RUNS},
    {"running", PL_WORD_RUNS},    {"works", PL_WORD_RUNS},       {"work", PL_WORD_RUNS},
    {"on", PL_WORD_RUNS},         {"lights", PL_WORD_RUNS},      {"light", PL_WORD_RUNS},
    {"lit", PL_WORD_RUNS},        {"turns", PL_WORD_RUNS},       {"turn", PL_WORD_RUNS},
    {"clicks", PL_WORD_RUNS},     {"click", PL_WORD_RUNS},       {"cranks", PL_WORD_RUNS},
    {"crank", PL_WORD_RUNS},      {"sounds", PL_WORD_RUNS},      {"blow", PL_WORD_BLOWN},
    {"heats", PL_WORD_RUNS},      {"start", PL_WORD_RUNS},       {"starts", PL_WORD_RUNS},
    {"pulls", PL_WORD_RUNS},      {"weak", PL_WORD_WEAK},        {"weakly", PL_WORD_WEAK},
    {"dim", PL_WORD_WEAK},        {"slow", PL_WORD_WEAK},        {"slowly", PL_WORD_WEAK},
    {"glows", PL_WORD_WEAK},      {"hums", PL_WORD_WEAK},        {"dead", PL_WORD_DEAD},
    {"dark", PL_WORD_DEAD},       {"silent", PL_WORD_DEAD},      {"stands", PL_WORD_DEAD},
    {"stop", PL_WORD_DEAD},       {"stops", PL_WORD_DEAD},       {"stopped", PL_WORD_DEAD},
    {"out", PL_WORD_DEAD},        {"link", PL_WORD_LINK},        {"low", PL_WORD_LOW},
    {"lower", PL_WORD_LOW},       {"less", PL_WORD_LOW},         {"high", PL_WORD_HIGH},
    {"higher", PL_WORD_HIGH},     {"more", PL_WORD_HIGH},        {"faint", PL_WORD_WEAK},
    {"lazy", PL_WORD_WEAK},       {"talks", PL_WORD_RUNS},       {"heard", PL_WORD_RUNS},
    {"stays", PL_WORD_FILLER},    {"keeps", PL_WORD_FILLER},     {"still", PL_WORD_FILLER},
    {"too", PL_WORD_FILLER},      {"very", PL_WORD_FILLER},      {"bright", PL_WORD_RUNS},
    {"fine", PL_WORD_SHOULD},     {"normal", PL_WORD_SHOULD},    {"normally", PL_WORD_SHOULD},
    {"ok", PL_WORD_SHOULD},       {"blown", PL_WORD_BLOWN},      {"blows", PL_WORD_BLOWN},
    {"burnt", PL_WORD_BLOWN},     {"good", PL_WORD_GOOD},        {"whole", PL_WORD_GOOD},
    {"warm", PL_WORD_WARM},       {"hot", PL_WORD_WARM},         {"cold", PL_WORD_COLD},
    {"holds", PL_WORD_HOLDS},     {"hold", PL_WORD_HOLDS},
};
const uint32_t pl_reading_word_count = sizeof pl_reading_words / sizeof pl_reading_words[0];

const struct pl_reading_word *pl_reading_word_find(const char *word) {
  for (uint32_t i = 0; i < pl_reading_word_count; i++)
    if (strcasecmp(pl_reading_words[i].word, word) == 0)
      return &pl_reading_words[i];
  return NULL;
}

/* Letters of units keep their case where it matters: mohm is not Mohm. */
bool pl_reading_unit(const char *word, enum pl_word_unit *unit, double *value) {
  static const struct {
    const char *word;
    enum pl_word_unit unit;
    double times;
    bool any_case;
  } rows[] = {{"V", PL_UNIT_VOLTS, 1, true},        {"volt", PL_UNIT_VOLTS, 1, true},
              {"volts", PL_UNIT_VOLTS, 1, true},    {"mV", PL_UNIT_VOLTS, 1e-3, true},
              {"ohm", PL_UNIT_OHMS, 1, true},       {"ohms", PL_UNIT_OHMS, 1, true},
              {"\u03a9", PL_UNIT_OHMS, 1, false},   {"\u2126", PL_UNIT_OHMS, 1, false},
              {"kohm", PL_UNIT_OHMS, 1e3, true},    {"k\u03a9", PL_UNIT_OHMS, 1e3, false},
              {"k", PL_UNIT_OHMS, 1e3, true},       {"mohm", PL_UNIT_OHMS, 1e-3, false},
              {"Mohm", PL_UNIT_OHMS, 1e6, false},   {"M", PL_UNIT_OHMS, 1e6, false},
              {"degC", PL_UNIT_DEGREES, 1, true},   {"\u00b0C", PL_UNIT_DEGREES, 1, true},
              {"C", PL_UNIT_DEGREES, 1, true},      {"kPa", PL_UNIT_PRESSURE, 1, true},
              {"bar", PL_UNIT_PRESSURE, 100, true}, {"psi", PL_UNIT_PRESSURE, 6.894757, true},
              {"%", PL_UNIT_SHARE, 0.01, true},     {"rpm", PL_UNIT_SPEED, 1, true}};

  for (uint32_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    bool same;
    if (rows[i].any_case)
      same = strcasecmp(rows[i].word, word) == 0;
    else
      same = strcmp(rows[i].word, word) == 0;
    if (!same)
      continue;
    *unit = rows[i].unit;
    *value *= rows[i].times;
    return true;
  }
  return false;
}
