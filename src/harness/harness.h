/* The harness model: what the machine's wiring is, with every name resolved, every unit in SI-like
 * base units, every length known. It knows no syntax and no network.  All records live in one
 * arena; ids are indices; order is the order of the text. Units: metres, mm2, volts, amps, ohms,
 * degrees Celsius, seconds.  NAN means "not stated". */
#ifndef PL_HARNESS_HARNESS_H
#define PL_HARNESS_HARNESS_H

#include <stdbool.h>

#include "base/table.h"
#include "finding/source.h"
#include "harness/kind.h"

typedef uint32_t pl_id;
#define PL_NONE UINT32_MAX
typedef PL_VEC(pl_id) pl_ids;

/* ---- the machine and where things are ---- */

enum pl_units {
  PL_UNITS_METRIC,
  PL_UNITS_US
};

struct pl_machine {
  const char *title;   /* "Rotary plow carrier" */
  double volts;        /* nominal supply: 12 or 24 (or 6, 36, 48) */
  bool positive_earth; /* which battery pole is earthed */
  double drop_limit;   /* fraction of supply volts allowed from source to load and back, 0.03 */
  double fuse_share;   /* usable share of a fuse for continuous load, 0.75..0.8 */
  double slack;        /* fraction added to every computed wire length */
  double tail;         /* metres added at each end of every computed length */
  double spare;        /* share of wire, terminals and seals bought on top, 0.1 */
  enum pl_units units; /* of the sheets */
  bool flags;          /* labels of wires are flags, else sleeves */
  const char *revision, *author, *date;
  pl_id insulation; /* default row of pl_insulations (standard/insulation.h) */
  struct pl_span span;
};

struct pl_place {
  const char *name, *text; /* text: "" when not given */
  double cold, hot;        /* degC around the harness there */
  bool engine_space;       /* 33 CFR 183.425 engine-space factor applies (also when hot >= 50) */
  bool inside;             /* people sit here: no feeder through it */
  int reach;               /* effort to get a meter there: 1 easy, 2 middling, 3 hard */
  struct pl_span span;
};

struct pl_run { /* a stretch of harness between two places */
  pl_id a, b;   /* places */
  double length;
  const char *covering; /* "split conduit 13 mm"; "" = bare */
  double bore;          /* mm inside the covering, NAN when not stated */
  double cold, hot;     /* worst of its places unless stated */
  bool engine_space;
  pl_ids wires; /* bundle membership, in wire order */
  struct pl_span span;
};

/* ---- terminals, connectors, pins ---- */

struct pl_terminal { /* a terminal family */
  const char *name;
  double area_min, area_max; /* mm2 the crimp takes */
  double od_min, od_max;     /* mm of insulation the seal takes; NAN = not sealed/not stated */
  double amps;               /* rating of one contact */
  double ohms;               /* one crimped and mated contact */
  uint32_t wires_max;        /* wires one terminal takes */
  double strip;              /* metres of insulation taken off; above zero when stated */
  struct pl_span span;
};

enum pl_shape {
  PL_SHAPE_RECT,
  PL_SHAPE_ROUND
};

struct pl_connector {
  pl_id device;
  const char *name; /* "A"; "" when the device has one connector without a name; an inline pair has
                       P and S */
  enum pl_shape shape;
  uint32_t rows, columns;
  bool sealed;
  bool pin_half;  /* the harness half carries pins (male contacts); else sockets */
  pl_id terminal; /* PL_NONE = the default terminal family */
  const char *colour, *key, *mate, *part; /* texts; "" */
  pl_id first_pin;
  uint32_t pin_count;
  struct pl_span span;
};

enum pl_role {
  PL_ROLE_PASSIVE,       /* contacts of switches, fuses, loads... */
  PL_ROLE_BATTERY_FEED,  /* module: draws `amps` within volts_min..volts_max */
  PL_ROLE_GROUND,        /* module: power ground */
  PL_ROLE_KEYED_INPUT,   /* module: wakes it */
  PL_ROLE_HIGH_SIDE,     /* module output: sources from its battery feeds */
  PL_ROLE_LOW_SIDE,      /* module output: sinks to its grounds */
  PL_ROLE_SENSOR_SUPPLY, /* module: regulated `volts` (5 V) out */
  PL_ROLE_SENSOR_RETURN, /* module: its clean ground for sensors */
  PL_ROLE_SIGNAL_INPUT,  /* module: listens; pull-up or pull-down by pull_ohms/pull_volts */
  PL_ROLE_SWITCH_INPUT,  /* module: a switch to ground (pull-up) or to battery (pull-down) */
  PL_ROLE_DATA_HIGH,
  PL_ROLE_DATA_LOW,
  PL_ROLE_SHIELD,
  PL_ROLE_PLUS,
  PL_ROLE_MINUS, /* the two ends of a load or source */
  PL_ROLE_UNUSED
};
enum {
  PL_ROLE_COUNT = PL_ROLE_UNUSED + 1
};
const char *pl_role_name(enum pl_role role); /* as typed: "low-side output" */

enum pl_need {
  PL_NEED_OPTIONAL,
  PL_NEED_REQUIRED,
  PL_NEED_UNUSED
};

enum pl_sure {
  PL_SURE_NOT_SAID,
  PL_SURE_MAKER,
  PL_SURE_MEASURED,
  PL_SURE_WEB,
  PL_SURE_GUESS
};
const char *pl_sure_name(enum pl_sure sure); /* "maker", "measured", "web", "guess", "" */

struct pl_pin { /* first what is asked for every wire */
  pl_id device,
      connector;  /* connector PL_NONE: a stud, blade or flying lead of the device itself */
  pl_id terminal; /* overrides the connector's; PL_NONE */
  enum pl_role role;
  enum pl_need need;
  bool plugged;     /* has a cavity plug */
  bool memory_only; /* battery feed that alone keeps nothing alive */
  bool set_off;     /* switched off in the module's settings: it looks for nothing here */
  pl_ids wires;     /* wires that end here, in wire order */
  const char *full; /* "ECM.A12"; "S5" for one-node devices: the same everywhere */
  const char
      *name; /* after the dot: "A12", "J1.4", "87a", "+"; "" for one-node devices (splice, stud) */
  const char *cavity;           /* label on the connector face: "12"; "" without connector */
  const char *text;             /* function for people; "" */
  double amps;                  /* draw (feed) or limit (outputs, supply): see `role`; NAN */
  double sleep_amps;            /* battery feed, module asleep */
  double volts_min, volts_max;  /* window the pin needs; NAN */
  double volts;                 /* sensor supply's set volts */
  double pull_ohms, pull_volts; /* pull_volts NAN = to the module's battery feed; 0 = pull-down */
  uint32_t row,
      column; /* 1-based place on the face, seen from the wire side; 0 without connector */
  enum pl_sure sure;
  const char *sure_text; /* "shop manual p. 14" */
  struct pl_span span;
};

/* ---- devices ---- */

struct pl_join {
  pl_id a, b;
}; /* two pins joined by a contact */
typedef PL_VEC(struct pl_join) pl_joins;

struct pl_throw { /* a position of a switch */
  const char *name;
  bool momentary;
  pl_joins joins;
};

enum pl_load_law {
  PL_LAW_RESISTANCE,
  PL_LAW_CURRENT,
  PL_LAW_POWER
};

struct pl_point {
  double x, ohms;
}; /* sensor, sender, gauge table: quantity -> ohms (or share of the supply, three wires) */

/* A quantity of the machine that sensors measure and states set: coolant temperature, oil pressure,
 * fuel level. */
enum pl_measure {
  PL_MEASURE_NUMBER,
  PL_MEASURE_TEMPERATURE,
  PL_MEASURE_PRESSURE,
  PL_MEASURE_SHARE,
  PL_MEASURE_SPEED
}; /* -, degC, kPa, 0..1, rpm */
struct pl_quantity {
  const char *name;
  enum pl_measure measure;
  struct pl_span span;
};

struct pl_threshold { /* `stands in closed below 50 kPa` */
  uint32_t position;  /* of the switch */
  bool above;
  double at;
};

struct pl_heard {
  const char *name;
  struct pl_span span;
}; /* `hears TCM`: a module that need not be in the text yet */

struct pl_codes { /* what patterns a module knows on some of its switch inputs */
  pl_ids pins;
  PL_VEC(const char *) legal; /* "0101": 1 = closed, by pin */
  struct pl_span span;
};

struct pl_device {
  enum pl_kind kind;
  const char *name, *text, *part; /* text, part: "" */
  pl_id place;                    /* PL_NONE when not said */
  pl_id first_pin;
  uint32_t pin_count;
  pl_id first_connector;
  uint32_t connector_count;
  bool donor;    /* came with the engine */
  bool spare;    /* meant to lie there without a wire */
  double volts;  /* its own nominal volts when stated, else the machine's */
  double rating; /* amps: fuse rating, relay/switch contact rating; NAN */
  double ohms;   /* fuse element, contact, resistor, bond, sender at mid-scale, gauge: by kind */
  const char *family; /* fuse family: "blade" */

  /* sources */
  double emf, cca, amp_hours;              /* battery: open-circuit volts, cold-cranking amps */
  double set_volts, idle_amps, speed_amps; /* alternator */
  double exciter_ohms;                     /* alternator D+ to case while not excited */
  bool self_exciting;                      /* alternator: charges without a feed on D+ */

  /* starter: motor plus its own solenoid contact; pins 30, 50, 31 */
  double crank_amps, crank_volts;

  /* coil of relay, starter or solenoid switch */
  pl_id coil_a, coil_b;                /* pins */
  double coil_ohms, pull_in, drop_out; /* volts across the coil */
  const char *suppression;             /* "diode", "resistor 680 ohm", "none", "" = not said */
  pl_joins make, brk;                  /* contacts closed when pulled in / at rest */

  /* switches */
  PL_VEC(struct pl_throw) throws;
  uint32_t rest; /* index of the position at rest */

  /* loads, sensors: between plus and minus */
  pl_id plus, minus;   /* pins; PL_NONE */
  pl_id signal;        /* three-wire sensor */
  double signal_share; /* of its supply, 0..1 */
  enum pl_load_law law;
  double load_volts, load_amps;  /* rated point, warm and running */
  double inrush, inrush_seconds; /* switch-on current as a multiple of load_amps, and for how long;
                                    NAN: by kind, standard/defaults.h */
  double locked; /* locked-rotor current of a motor as a multiple of load_amps; NAN */
  bool latching; /* relay: stays as it was set; coil_a/coil_b set it, reset_a/reset_b reset it */
  pl_id reset_a, reset_b;
  pl_id quantity; /* what a sensor, sender, gauge or threshold switch measures; PL_NONE */
  double beta, beta_ohms, beta_at; /* thermistor: R = beta_ohms exp(beta (1/T - 1/beta_at)), kelvin
                                      inside, degC here; NAN */
  enum pl_measure measure;         /* unit kind of `points` and `thresholds` */
  PL_VEC(struct pl_threshold) thresholds;
  double tolerance;          /* of its resistance or draw, 0.1 = 10 %; NAN: standard/defaults.h */
  double need_min, need_max; /* volts it needs across it; NAN */
  double drop;               /* diode: forward volts */
  PL_VEC(struct pl_point) points; /* sender table */
  pl_joins fixed; /* pins joined inside (inline halves, a case pin to its chassis, a sender body) */

  double poles, pulley_ratio;    /* alternator: crankshaft pulley over its own; NAN */
  double pulses;                 /* gauge: pulses it takes for one turn of the engine; NAN */
  double on_seconds;             /* load: the longest it bears being on; NAN */
  PL_VEC(struct pl_heard) hears; /* module: what it must hear from on its data link */
  PL_VEC(struct pl_codes) codes;

  pl_id body;          /* chassis device its case sits on, PL_NONE */
  struct pl_span span; /* its name in the text */
};

/* ---- wires, circuits, states ---- */

struct pl_colour {
  const char *base, *stripe, *stripe2;
}; /* IEC 60757 letters, upper case; "" when none */

enum pl_wire_status {
  PL_WIRE_NEW,
  PL_WIRE_DONOR_KEPT,
  PL_WIRE_DONOR_EXTENDED,
  PL_WIRE_DONOR_CAPPED,
  PL_WIRE_DONOR_REMOVED
};
const char *pl_wire_status_name(enum pl_wire_status status); /* "new", "donor", "donor extended",
                                                                "donor capped", "donor removed" */

struct pl_wire {
  const char *number;
  pl_id end[2];      /* pins; PL_NONE = in the air (capped donor wires: meant) */
  double area;       /* mm2 of copper */
  const char *size;  /* as typed, normalised: "14 AWG", "1.5 mm2" */
  bool metric;       /* size given in mm2 */
  double ohms_per_m; /* at 20 degC, from standard/wire.h */
  pl_id insulation;  /* row of pl_insulations */
  struct pl_colour colour;
  double length;       /* metres, always known after building */
  bool length_written; /* stated on the row; else by route */
  pl_ids route;        /* runs in order from end[0] to end[1] */
  double cold, hot;    /* worst places on its way */
  bool engine_space;
  pl_id circuit;
  enum pl_wire_status status;
  double extension;  /* metres of new wire spliced to a donor's, part of `length`; NAN when not
                        stated */
  const char *twist; /* name of the twisted group, "" */
  bool shield;
  const char *note;
  struct pl_span span, end_span[2], size_span;
};

struct pl_circuit {
  const char *name, *title; /* "fuel supply"; title for the page */
  double drop_limit;        /* NAN = the machine's */
  pl_id link;            /* row of pl_data_links: the kind of its data link; PL_NONE = not said */
  pl_ids wires, devices; /* devices: touched by its wires, in order of first touch */
  struct pl_span span;
};

enum pl_engine {
  PL_ENGINE_STOPPED,
  PL_ENGINE_CRANKING,
  PL_ENGINE_IDLE,
  PL_ENGINE_SPEED
};
const char *pl_engine_name(enum pl_engine engine);

struct pl_setting {
  pl_id device;
  uint32_t position;
  struct pl_span span;
}; /* KEY in start */

struct pl_level {
  pl_id quantity;
  double value;
  struct pl_span span;
};

struct pl_state {
  const char *name, *title;
  enum pl_engine engine;
  double lasts;                       /* seconds; INFINITY = continuous */
  PL_VEC(struct pl_setting) settings; /* devices not named are at rest */
  pl_ids outputs_on;                  /* module output pins that are on */
  PL_VEC(struct pl_level)
  levels;        /* quantities set in this state; others take the middle of their sensor's table */
  pl_ids locked; /* motors that are held fast */
  pl_ids set;    /* latching relays that start out set, alternators that were excited before */
  double battery_volts; /* open-circuit volts for each 12 V of battery; NAN = as described */
  double battery_worn;  /* inner resistance as a multiple of the described one; NAN = 1 */
  double ambient;       /* degC everywhere instead of the places' hottest; NAN */
  struct pl_span span;
};

struct pl_clause {
  pl_id device;
  uint32_t position;
};

struct pl_require {                 /* require STARTER off unless GEARBOX in neutral */
  pl_id subject;                    /* a load, starter or relay */
  bool on;                          /* must be on / off */
  bool unless;                      /* true: unless; false: when */
  PL_VEC(struct pl_clause) clauses; /* all must hold */
  struct pl_span span;
};

struct pl_waiver {
  const char *rule, *place, *reason; /* place: as findings print it: "wire 41", "ECM.A12", "F3" */
  struct pl_span span;
};

struct pl_default {
  const char *what, *value, *source;
}; /* a default that was used: "slack", "5 %", "common practice" */

struct pl_harness {
  struct pl_arena *arena;
  struct pl_machine machine;
  PL_VEC(struct pl_place) places;
  PL_VEC(struct pl_run) runs;
  PL_VEC(struct pl_terminal) terminals; /* [0] is the default family */
  PL_VEC(struct pl_device) devices;
  PL_VEC(struct pl_connector) connectors;
  PL_VEC(struct pl_pin) pins;
  PL_VEC(struct pl_wire) wires;
  PL_VEC(struct pl_circuit) circuits;
  PL_VEC(struct pl_state) states;
  PL_VEC(struct pl_require) requires;
  PL_VEC(struct pl_waiver) waivers;
  PL_VEC(struct pl_quantity) quantities;
  PL_VEC(struct pl_default) defaults;
  struct pl_table device_names, pin_names, wire_numbers, state_names,
      circuit_names; /* text -> id; pin_names also holds aliases */
  uint32_t
      texts; /* the sources it was read from: the first so many; shipped parts come behind them */
  const char *digest; /* SHA-256 of all texts, hex; "" until pl_build_digest */
  bool grounded;      /* a battery is present */
};

void pl_harness_init(struct pl_harness *harness, struct pl_arena *arena);

/* By the name the user types ("ECM.A12", "ECM.A.12", "S5"); PL_NONE when unknown. */
pl_id pl_harness_find_pin(const struct pl_harness *harness, const char *name);
pl_id pl_harness_find_device(const struct pl_harness *harness, const char *name);

/* The other end of a wire, seen from `pin`. */
pl_id pl_wire_other_end(const struct pl_wire *wire, pl_id pin);

/* The row of the insulation in force on a wire. */
struct pl_insulation;
const struct pl_insulation *pl_wire_insulation(const struct pl_wire *wire);

/* The wires of a run, those not removed, and the diameter over them, mm: exact for a few equal
 * wires (standard/clearing.h), else 1.2 sqrt(sum of d^2) (common practice), d the largest outside
 * diameters of standard/wire.h; 0 without wires. */
struct pl_bundle {
  uint32_t wires;
  double mm;
};
struct pl_bundle pl_run_bundle(const struct pl_harness *harness, const struct pl_run *run);

/* Where a device's current comes back: the minus of a load, the first ground of a module that is
 * wired, else what its case sits on; PL_NONE. */
pl_id pl_device_return(const struct pl_harness *harness, pl_id device);

/* Is it a battery feed with which its module runs?  Any one is enough of those that do; not one
 * that is `memory only` or states next to nothing beside the largest (default MEMORY_FEED). */
bool pl_pin_keeps_alive(const struct pl_harness *harness, pl_id pin);

/* Its pins are first_pin .. pl_pins_end() - 1. */
static inline pl_id pl_pins_end(const struct pl_device *device) {
  return device->first_pin + device->pin_count;
}

/* True when the device's kind has any of the properties. */
bool pl_device_is(const struct pl_harness *harness, pl_id device, pl_properties any);

/* The terminal family in force at a pin. */
const struct pl_terminal *pl_pin_terminal(const struct pl_harness *harness, pl_id pin);

/* The number of a fuse, breaker or fusible link among those at its place, of a relay among the
 * relays there, from 1 in the order of the text. */
uint32_t pl_device_position(const struct pl_harness *harness, pl_id device);

/* "RD/WH" into buffer. */
const char *pl_colour_text(const struct pl_colour *colour, char buffer[16]);

/* What a sensor, sender or gauge has at a quantity, by its table or its beta: ohms; of a three-wire
 * sensor the share of its supply.  Between the points of a temperature table the logarithm of the
 * ohms runs straight, elsewhere the figure itself; beyond its ends a table stays where it ends. NAN
 * when it has neither table nor beta, or the quantity is NAN. */
double pl_device_reading(const struct pl_device *device, double quantity);

/* The other way round: what a gauge shows at these ohms (its needle stays at the ends of its
 * scale). */
double pl_device_quantity_at(const struct pl_device *device, double ohms);

/* A figure of a quantity as people read it: the number to print and its unit ("degC", "kPa", "%",
 * "rpm", ""). */
double pl_measure_shown(enum pl_measure measure, double value, const char **unit);

/* Half way between the ends of its table, or where its beta is anchored; NAN. */
double pl_device_middle(const struct pl_device *device);

/* What the state says of a quantity; NAN when it says nothing. */
double pl_state_level(const struct pl_state *state, pl_id quantity);

/* The same state with the quantity at that value; its list of levels is new, in the arena. */
struct pl_state pl_state_with_level(const struct pl_state *state,
                                    pl_id quantity,
                                    double value,
                                    struct pl_arena *arena);

/* The position a switch has in a state: as the state says, else by its thresholds and the state's
 * quantities, else at rest. */
uint32_t
pl_position_in(const struct pl_harness *harness, const struct pl_state *state, pl_id device);

/* As stated, else by kind (standard/defaults.h): locked-rotor and switch-on current as multiples of
 * the rated amps (1: none to speak of), and how long the latter lasts, seconds (NULL: not asked);
 * the tolerance of its resistance or draw. */
double pl_device_locked(const struct pl_device *device);
double pl_device_inrush(const struct pl_device *device, double *seconds);
double pl_device_tolerance(const struct pl_device *device);

/* Builders for tests and for build/: append a record and register its name; return its id (PL_NONE:
 * the name is taken). */
/* Makes room at once for what is likely to come. */
void pl_harness_reserve(struct pl_harness *harness,
                        uint32_t devices,
                        uint32_t pins,
                        uint32_t wires);
pl_id pl_harness_add_place(struct pl_harness *harness, struct pl_place place);
pl_id pl_harness_add_device(
    struct pl_harness *harness,
    struct pl_device device); /* pins follow with add_pin, before the next device */
pl_id pl_harness_add_connector(struct pl_harness *harness, struct pl_connector connector);
pl_id pl_harness_add_pin(struct pl_harness *harness,
                         struct pl_pin pin); /* sets `full`, counts it in device and connector */
pl_id pl_harness_add_wire(struct pl_harness *harness,
                          struct pl_wire wire); /* hooks it to its pins */

/* Blank records with every number NAN, every text "", every id PL_NONE. */
struct pl_place pl_place_blank(void);
struct pl_device pl_device_blank(void);
struct pl_connector pl_connector_blank(void);
struct pl_state pl_state_blank(void); /* engine stopped, continuous */
struct pl_pin pl_pin_blank(void);
struct pl_wire pl_wire_blank(void);

#endif
