/* Kinds of devices.  harness/kinds.def has one row for each; code asks what a kind is or does
 * (pl_kind_is), never which it is, so that a new row is judged rightly everywhere at once. */
#ifndef PL_HARNESS_KIND_H
#define PL_HARNESS_KIND_H

#include <stdbool.h>
#include <stdint.h>

/* What a kind is or does; a row has a set of them. */
typedef uint64_t pl_properties;
/* clang-format off */
#define PL_IS_LOAD         (UINT64_C(1) <<  0) /* takes current between plus and minus */
#define PL_IS_USER         (UINT64_C(1) <<  1) /* works when it gets its volts */
#define PL_IS_SOURCE       (UINT64_C(1) <<  2) /* gives current */
#define PL_IS_STORE        (UINT64_C(1) <<  3) /* a battery */
#define PL_IS_GENERATOR    (UINT64_C(1) <<  4) /* gives current while the engine turns */
#define PL_IS_STARTER      (UINT64_C(1) <<  5) /* turns the engine */
#define PL_IS_PROTECTION   (UINT64_C(1) <<  6) /* opens at too much current */
#define PL_IS_CLOSED_LINK  (UINT64_C(1) <<  7) /* two ends joined until something is wrong */
#define PL_IS_CONTACTS     (UINT64_C(1) <<  8) /* has contacts that open and close */
#define PL_IS_SETTABLE     (UINT64_C(1) <<  9) /* states say its position */
#define PL_IS_DISCONNECT   (UINT64_C(1) << 10) /* takes the battery off by hand */
#define PL_IS_COIL         (UINT64_C(1) << 11) /* a coil pulls something in */
#define PL_IS_RELAY        (UINT64_C(1) << 12) /* ... and moves contacts between pins of its own */
#define PL_IS_LAMP         (UINT64_C(1) << 13) /* a filament: cold it draws many times more */
#define PL_IS_MOTOR        (UINT64_C(1) << 14) /* turns, and can be held fast */
#define PL_IS_WINDING      (UINT64_C(1) << 15) /* kicks back when it is switched off */
#define PL_IS_MODULE       (UINT64_C(1) << 16) /* works when fed, grounded and woken */
#define PL_IS_SENSING      (UINT64_C(1) << 17) /* a quantity into ohms or a share */
#define PL_IS_GAUGE        (UINT64_C(1) << 18) /* shows a quantity */
#define PL_IS_MEASURING    (UINT64_C(1) << 19) /* has a table over a quantity: sensing or showing */
#define PL_IS_SIGNAL       (UINT64_C(1) << 20) /* ohms in its wires mislead, not heat */
#define PL_IS_POLAR        (UINT64_C(1) << 21) /* is harmed or dead the wrong way round */
#define PL_IS_ONE_WAY      (UINT64_C(1) << 22) /* conducts one way only */
#define PL_IS_RESISTANCE   (UINT64_C(1) << 23) /* nothing but ohms */
#define PL_IS_TERMINATOR   (UINT64_C(1) << 24) /* ... at the end of a data link */
#define PL_IS_NODE         (UINT64_C(1) << 25) /* all its wires are one node */
#define PL_IS_GROUND       (UINT64_C(1) << 26) /* ... which is the machine's metal */
#define PL_IS_BOND         (UINT64_C(1) << 27) /* ... or a stud that `ohms` join to it */
#define PL_IS_STUD         (UINT64_C(1) << 28) /* a node that wires are bolted to */
#define PL_IS_SPLICE       (UINT64_C(1) << 29) /* a node inside the loom, crimped and covered */
#define PL_IS_PLUG         (UINT64_C(1) << 30) /* cavities and nothing behind them */
#define PL_IS_INLINE       (UINT64_C(1) << 31) /* ... in two halves that mate */
#define PL_IS_BOLTED       (UINT64_C(1) << 32) /* wires end in lugs on it */
#define PL_IS_INDUCTIVE    (UINT64_C(1) << 33) /* draws an arc when contacts cut it off */
#define PL_IS_WARNING      (UINT64_C(1) << 34) /* is there to warn, on very little current */
#define PL_TELLS_ONLY      (UINT64_C(1) << 35) /* on by mistake it hurts nobody */
#define PL_MAY_DIM         (UINT64_C(1) << 36) /* only dims or slows while the engine cranks */
#define PL_HAS_FAMILY      (UINT64_C(1) << 37) /* `family` says how fast it opens */
#define PL_FEEDS_GAUGE     (UINT64_C(1) << 38) /* its ohms move a gauge's needle */
#define PL_EXCITES         (UINT64_C(1) << 39) /* lets an alternator's exciter current through */
#define PL_NAMES_PINS      (UINT64_C(1) << 40) /* the text may give it pins of its own */
#define PL_IS_RESET        (UINT64_C(1) << 41) /* opened, it is closed again by hand */
/* clang-format on */

/* How the network models it. */
enum pl_elements {
  PL_ELEMENTS_NONE, /* a node, or nothing of its own */
  PL_ELEMENTS_BATTERY,
  PL_ELEMENTS_ALTERNATOR,
  PL_ELEMENTS_STARTER,
  PL_ELEMENTS_FUSE,
  PL_ELEMENTS_SWITCH,
  PL_ELEMENTS_PROXIMITY,
  PL_ELEMENTS_RELAY,
  PL_ELEMENTS_LOAD,
  PL_ELEMENTS_MODULE,
  PL_ELEMENTS_SENSOR,
  PL_ELEMENTS_SENDER,
  PL_ELEMENTS_GAUGE,
  PL_ELEMENTS_DIODE,
  PL_ELEMENTS_RESISTOR,
  PL_ELEMENTS_BOND,
  PL_ELEMENTS_PLUG
};

/* Its sign in drawings. */
enum pl_sign {
  PL_SIGN_BATTERY,
  PL_SIGN_ALTERNATOR,
  PL_SIGN_STARTER,
  PL_SIGN_FUSE,
  PL_SIGN_BREAKER,
  PL_SIGN_FUSIBLE_LINK,
  PL_SIGN_SWITCH,
  PL_SIGN_PROXIMITY,
  PL_SIGN_DISCONNECT,
  PL_SIGN_RELAY,
  PL_SIGN_LAMP,
  PL_SIGN_MOTOR,
  PL_SIGN_PUMP,
  PL_SIGN_FAN,
  PL_SIGN_SOLENOID,
  PL_SIGN_HEATER,
  PL_SIGN_HORN,
  PL_SIGN_BUZZER,
  PL_SIGN_LOAD,
  PL_SIGN_MODULE,
  PL_SIGN_SENSOR,
  PL_SIGN_SENDER,
  PL_SIGN_GAUGE,
  PL_SIGN_DIODE,
  PL_SIGN_RESISTOR,
  PL_SIGN_TERMINATOR,
  PL_SIGN_STUD,
  PL_SIGN_SPLICE,
  PL_SIGN_CHASSIS,
  PL_SIGN_CAVITY,
  PL_SIGN_CONNECTOR,
  PL_SIGN_COUNT
};

/* How a circuit page lays it out. */
enum pl_form {
  PL_FORM_TWO_ENDS, /* upright with an end above and one below; a box with more than two pins */
  PL_FORM_BOX,      /* pins named at the edge */
  PL_FORM_CONTACTS, /* each joint of its positions by itself */
  PL_FORM_RELAY,    /* coil and contacts apart */
  PL_FORM_HALVES,   /* cavity by cavity */
  PL_FORM_NODE      /* a joint or a bar */
};

/* What can be wrong with it. */
enum pl_breaks {
  PL_BREAKS_OPEN = 1 << 0,
  PL_BREAKS_SHORTED = 1 << 1,
  PL_BREAKS_RESISTANCE = 1 << 2, /* conducts badly */
  PL_BREAKS_STUCK_IN = 1 << 3,   /* pulled in whatever its coil says */
  PL_BREAKS_STUCK_OUT = 1 << 4,  /* never pulls in */
  PL_BREAKS_POSITION = 1 << 5,   /* held in a position */
  PL_BREAKS_OUTPUTS = 1 << 6,    /* an output dead or always on */
  PL_BREAKS_DEAD = 1 << 7,       /* nothing in it works */
  PL_BREAKS_LOOSE = 1 << 8,      /* ohms in all its wires at once */
  PL_BREAKS_UNPLUGGED = 1 << 9,
  PL_BREAKS_WEAK = 1 << 10, /* gives less than it should */
  PL_BREAKS_DRIFT = 1 << 11 /* reads wrongly */
};

enum pl_kind {
#define PL_KIND(id, word, pins, properties, elements, sign, form, breaks, likely, help, example) \
  PL_KIND_##id,
#include "harness/kinds.def"
#undef PL_KIND
  PL_KIND_COUNT
};

struct pl_kind_row {
  const char *word;         /* as typed: "fusible link", "lamp" */
  const char *pins;         /* without being told, parted by blanks; "" */
  pl_properties properties; /* of PL_IS_... */
  enum pl_elements elements;
  enum pl_sign sign;
  enum pl_form form;
  unsigned breaks; /* of enum pl_breaks */
  unsigned likely; /* row of pl_standard_likely (standard/likely.h) */
  const char *help, *example;
};

/* `kind` is one of enum pl_kind. */
const struct pl_kind_row *pl_kind_row(enum pl_kind kind);
const char *pl_kind_name(enum pl_kind kind); /* its word */

/* True when it has any of the properties. */
bool pl_kind_is(enum pl_kind kind, pl_properties any);

/* True when it has any of the first and none of the second: a switch is
 * pl_kind_is_but(kind, PL_IS_SETTABLE, PL_IS_DISCONNECT). */
bool pl_kind_is_but(enum pl_kind kind, pl_properties any, pl_properties none);

/* True when any of these can be wrong with it. */
bool pl_kind_breaks(enum pl_kind kind, unsigned any);

/* The set of kinds that have any of the properties: bit 1 << kind. */
uint64_t pl_kinds_with(pl_properties any);

bool pl_kind_is_load(enum pl_kind kind);
bool pl_kind_is_protection(enum pl_kind kind);
bool pl_kind_is_node(enum pl_kind kind);

#endif
