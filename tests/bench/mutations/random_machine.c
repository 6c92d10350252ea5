/* Machines made by chance: battery, key, starter, alternator, and real circuits in any number, from
 * a few lamps to controllers on a data link.  Sizes are generous; what is said of one as it is
 * counts for nothing when it is broken. */
#include "bench.h"

struct draft {
  struct pl_buffer out;
  uint64_t *seed;
  unsigned number; /* of the next wire */
  unsigned volts;
};

__attribute__((format(printf, 2, 3))) static void put(struct draft *d, const char *format, ...) {
  char line[2048];
  va_list list;
  va_start(list, format);
  vsnprintf(line, sizeof line, format, list);
  va_end(list);
  pl_buffer_puts(&d->out, line);
}

static unsigned chance(struct draft *d, unsigned n) {
  return (unsigned)(bench_random(d->seed) % n);
}

/* A row in a colour of its own; lengths of half a metre to two and a half. */
static void wire(struct draft *d, const char *from, const char *to, const char *size) {
  static const char *const colours[] =
      {"RD", "BK", "WH", "GN", "YE", "BU", "BN", "VT", "OG", "GY", "PK"};
  unsigned n = d->number++;
  put(d,
      "  %u %s %s %s %s/%s length 0.%u m\n",
      n,
      from,
      to,
      size,
      colours[n % 11],
      colours[(n / 11 + 1 + n) % 11],
      3 + chance(d, 7));
}

/* Words with the number of the circuit in place of '@'. */
static const char *at(const char *name, unsigned n) {
  static char kept[8][64];
  static unsigned next;
  char *to = kept[next++ % 8];
  size_t k = 0;
  for (const char *c = name; *c != '\0' && k < 56; c++)
    k += (size_t)(*c == '@' ? snprintf(to + k, 8, "%u", n) : snprintf(to + k, 2, "%c", *c));
  return to;
}

static void put_power(struct draft *d) {
  unsigned twice = d->volts == 24;
  put(d, "machine \"By chance\"\n  supply %u V\n  drop at most 10 %%\n", d->volts);
  put(d, "battery BAT\n  volts %u V\n  cca 750 A\n  capacity 100 Ah\n", d->volts);
  put(d, "disconnect DISC\n  part disconnect 300 A\nfuse FM\n  part bolt-down fuse 100 A\n");
  put(d, "stud FEED\nstud GND\nstud K15\nfuse FKEY\n  part blade fuse 30 A\n");
  put(d, "switch KEY\n  position off\n  position run: B to IGN\n");
  put(d, "  position start: B to IGN, B to ST, momentary\n  rests in off\n  rating 40 A\n");
  put(d, "starter M1\n  part starter %s A\n", twice ? "24 V 250" : "12 V 200");
  put(d, "relay KST\n  part mini relay %u V\nfuse FST\n  part bolt-down fuse 40 A\n", d->volts);
  put(d, "alternator G1\n  part alternator %s A\n", twice ? "24 V 55" : "12 V 65");
  put(d, "fuse FG\n  part bolt-down fuse 100 A\ndiode V1\n  part diode 3 A\n");
  put(d, "lamp H1\n  part warning lamp 2 W %u V\nwires of power\n", d->volts);
  wire(d, "BAT.+", "DISC.in", "2/0 AWG");
  wire(d, "DISC.out", "M1.30", "2/0 AWG");
  wire(d, "M1.31", "BAT.-", "2/0 AWG");
  wire(d, "BAT.-", "GND", "4 AWG");
  put(d, "  %u DISC.out FM.in 4 AWG RD length 0.15 m\n", d->number++);
  wire(d, "FM.out", "FEED", "4 AWG");
  put(d, "  %u FEED FKEY.in 10 AWG RD length 0.1 m\n", d->number++);
  wire(d, "FKEY.out", "KEY.B", "10 AWG");
  wire(d, "KEY.IGN", "K15", "10 AWG");
  wire(d, "KEY.ST", "KST.86", "16 AWG");
  wire(d, "KST.85", "GND", "16 AWG");
  put(d, "  %u DISC.out FST.in 10 AWG RD length 0.15 m\n", d->number++);
  wire(d, "FST.out", "KST.30", "10 AWG");
  wire(d, "KST.87", "M1.50", "10 AWG");
  put(d, "  %u DISC.out FG.in 4 AWG RD length 0.15 m\n", d->number++);
  wire(d, "FG.out", "G1.B+", "4 AWG");
  wire(d, "G1.B-", "M1.31", "4 AWG");
  wire(d, "K15", "V1.A", "18 AWG");
  wire(d, "V1.K", "H1.+", "18 AWG");
  wire(d, "H1.-", "G1.D+", "18 AWG");
}

static void put_fuse(struct draft *d, unsigned n, unsigned amps) {
  put(d, "fuse F%u\n  part blade fuse %u A\n", n, amps);
}

static void put_switched(struct draft *d, unsigned n) {
  static const char *const kinds[] = {"lamp", "fan", "motor", "heater", "pump", "solenoid"};
  put_fuse(d, n, 10);
  put(d, "switch S%u\n  position off\n  position on: 1 to 2\n  rests in off\n  rating 40 A\n", n);
  put(d, "%s L%u\n  draws %u A\n", kinds[chance(d, 6)], n, 2 + chance(d, 4));
  put(d, "wires of circuit%u\n", n);
  put(d, "  %u %s F%u.in 12 AWG RD length 0.1 m\n", d->number++, chance(d, 2) ? "FEED" : "K15", n);
  wire(d, at("F@.out", n), at("S@.1", n), "14 AWG");
  wire(d, at("S@.2", n), at("L@.+", n), "14 AWG");
  wire(d, at("L@.-", n), "GND", "14 AWG");
}

static void put_relayed(struct draft *d, unsigned n) {
  put_fuse(d, n, 20);
  put(d, "relay K%u\n  part mini relay %u V\n", n, d->volts);
  put(d, "switch S%u\n  position off\n  position on: 1 to 2\n  rests in off\n  rating 20 A\n", n);
  put(d, "lamp L%ua\n  draws 4 A\nlamp L%ub\n  draws 4 A\nsplice SP%u\n", n, n, n);
  put(d, "inline X%u\n  cavities 2, 1 row, sealed, terminal sealed 2.8\n", n);
  put(d, "wires of circuit%u\n  %u FEED F%u.in 10 AWG RD length 0.1 m\n", n, d->number++, n);
  wire(d, at("F@.out", n), at("K@.30", n), "12 AWG");
  wire(d, "K15", at("S@.1", n), "16 AWG");
  wire(d, at("S@.2", n), at("K@.86", n), "16 AWG");
  wire(d, at("K@.85", n), "GND", "16 AWG");
  wire(d, at("K@.87", n), at("X@.P1", n), "12 AWG");
  wire(d, at("X@.S1", n), at("SP@", n), "12 AWG");
  wire(d, at("SP@", n), at("L@a.+", n), "14 AWG");
  wire(d, at("SP@", n), at("L@b.+", n), "14 AWG");
  wire(d, at("L@a.-", n), at("X@.S2", n), "14 AWG");
  wire(d, at("L@b.-", n), "GND", "14 AWG");
  wire(d, at("X@.P2", n), "GND", "14 AWG");
}

static void put_gauge(struct draft *d, unsigned n) {
  static const char *const parts[] = {"fuel gauge 10-180",
                                      "pressure gauge 10 bar",
                                      "coolant gauge"};
  static const char *const senders[] = {"fuel sender 10-180",
                                        "pressure sender 10 bar",
                                        "coolant sender"};
  unsigned which = chance(d, 3);
  put_fuse(d, n, 3);
  put(d, "gauge P%u\n  part %s %u V\n  measures q%u\n", n, parts[which], d->volts, n);
  put(d, "sender B%u\n  part %s\n  measures q%u\nwires of circuit%u\n", n, senders[which], n, n);
  put(d, "  %u K15 F%u.in 12 AWG RD length 0.1 m\n", d->number++, n);
  wire(d, at("F@.out", n), at("P@.+", n), "18 AWG");
  wire(d, at("P@.-", n), "GND", "18 AWG");
  wire(d, at("P@.S", n), at("B@.signal", n), "18 AWG");
  wire(d, at("B@.case", n), "GND", "18 AWG");
}

/* A controller with a three-wire sensor, a thermistor and a pump by relay. */
static void put_module(struct draft *d, unsigned n) {
  unsigned least = d->volts == 24 ? 18 : 9, most = d->volts == 24 ? 32 : 16;
  put_fuse(d, n, 10);
  put(d, "module U%u\n  1 battery feed, 2 A, asleep 1 mA, %u..%u V, required\n", n, least, most);
  put(d, "  2 ground, required\n  3 keyed input, 20 mA, required\n");
  put(d, "  4 sensor supply, 5 V, at most 100 mA, required\n  5 sensor return, required\n");
  put(d, "  6 signal input, pull-down 100 kohm, 0.3..4.7 V, required\n");
  put(d, "  7 signal input, pull-up 1 kohm to 5 V, required\n");
  put(d, "  8 low-side output, at most 1 A, required\n");
  put(d, "  9 data high, required\n  10 data low, required\n");
  put(d, "sensor B%ua\n  part pressure sensor 5 V\n", n);
  put(d, "sensor B%ub\n  part temperature sensor 2.5 kohm\nsplice SP%u\n", n, n);
  put(d,
      "relay K%u\n  part micro relay %u V\npump L%u\n  part lift pump %u V\n",
      n,
      d->volts,
      n,
      d->volts);
  put(d, "fuse F%uk\n  part blade fuse 3 A\n", n);
  put(d, "wires of circuit%u\n  %u FEED F%u.in 12 AWG RD length 0.1 m\n", n, d->number++, n);
  put(d, "  %u K15 F%uk.in 12 AWG RD length 0.1 m\n", d->number++, n);
  wire(d, at("F@.out", n), at("U@.1", n), "14 AWG");
  wire(d, at("U@.2", n), "BAT.-", "14 AWG");
  wire(d, at("F@k.out", n), at("U@.3", n), "18 AWG");
  wire(d, at("U@.4", n), at("B@a.supply", n), "20 AWG");
  wire(d, at("U@.6", n), at("B@a.signal", n), "20 AWG");
  wire(d, at("U@.5", n), at("SP@", n), "20 AWG");
  wire(d, at("SP@", n), at("B@a.return", n), "20 AWG");
  wire(d, at("SP@", n), at("B@b.return", n), "20 AWG");
  wire(d, at("U@.7", n), at("B@b.signal", n), "20 AWG");
  wire(d, at("F@k.out", n), at("K@.86", n), "18 AWG");
  wire(d, at("K@.85", n), at("U@.8", n), "18 AWG");
  wire(d, at("F@.out", n), at("K@.30", n), "14 AWG");
  wire(d, at("K@.87", n), at("L@.+", n), "14 AWG");
  wire(d, at("L@.-", n), "GND", "14 AWG");
}

/* The modules so far in one line, a terminator at each end. */
static void put_link(struct draft *d, const unsigned *modules, unsigned count) {
  static const char *const sides[2][2] = {{"9", "1"}, {"10", "2"}};
  put(d, "terminator RT1\n  part terminator 120 ohm\nterminator RT2\n  part terminator 120 ohm\n");
  put(d, "circuit link\n  data link J1939-15\nwires of link\n");
  for (unsigned k = 0; k <= count; k++)
    for (int side = 0; side < 2; side++) {
      char from[32], to[32];
      const char *pin = sides[side][0], *end = sides[side][1];
      if (k == 0)
        snprintf(from, sizeof from, "RT1.%s", end);
      else
        snprintf(from, sizeof from, "U%u.%s", modules[k - 1], pin);
      if (k == count)
        snprintf(to, sizeof to, "RT2.%s", end);
      else
        snprintf(to, sizeof to, "U%u.%s", modules[k], pin);
      put(d,
          "  %u %s %s 20 AWG %s TXL length %s m twist l%u\n",
          d->number++,
          from,
          to,
          side == 0 ? "YE" : "GN",
          k == 0 || k == count ? "0.2" : "1.5",
          k);
    }
}

static void put_states(struct draft *d, unsigned circuits, const char *kinds) {
  static const char *const names[] = {"off", "run", "cranking", "work"};
  static const char *const lines[] = {"",
                                      "  KEY in run\n",
                                      "  KEY in start\n  engine cranking\n  lasts 10 s\n",
                                      "  KEY in run\n  engine speed\n"};
  for (int s = 0; s < 4; s++) {
    put(d, "state %s\n%s", names[s], lines[s]);
    for (unsigned n = 1; n <= circuits && s == 3; n++)
      if (kinds[n] == 's' || kinds[n] == 'r')
        put(d, "  S%u in on\n", n);
    for (unsigned n = 1; n <= circuits && s > 0; n++)
      if (kinds[n] == 'm')
        put(d, "  U%u.8 on\n", n);
  }
  put(d, "require M1 off unless KEY in start\n");
}

const char *bench_random_machine(uint64_t *seed, struct pl_arena *arena) {
  struct draft d = {.seed = seed, .number = 1};
  char kinds[16] = "";
  unsigned modules[16], count = 0;
  pl_buffer_init(&d.out, arena);
  d.volts = chance(&d, 3) == 0 ? 24 : 12;
  put_power(&d);
  unsigned circuits = 1 + chance(&d, 5);
  for (unsigned n = 1; n <= circuits; n++) {
    unsigned kind = chance(&d, 6);
    kinds[n] = "ssrggm"[kind];
    if (kinds[n] == 's')
      put_switched(&d, n);
    else if (kinds[n] == 'r')
      put_relayed(&d, n);
    else if (kinds[n] == 'g')
      put_gauge(&d, n);
    else
      put_module(&d, modules[count++] = n);
  }
  if (count > 0)
    put_link(&d, modules, count);
  put_states(&d, circuits, kinds);
  return d.out.at;
}
