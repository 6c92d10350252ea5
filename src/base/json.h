/* The one writer of JSON (RFC 8259).  What it writes is well formed by construction: commas,
 * quotes and brackets are its own, and a value that may not stand where it is put is left out and
 * counted.  Bytes follow from the calls alone, so that the same data gives the same file. */
#ifndef PL_BASE_JSON_H
#define PL_BASE_JSON_H

#include <stdbool.h>
#include <stdint.h>

#include "base/buffer.h"

enum {
  PL_JSON_DEPTH = 16 /* brackets open at once; deeper ones are refused with all in them */
};

struct pl_json {
  struct pl_buffer *out;
  bool spaced;                 /* a blank after ',' and ':', for people who read it */
  uint32_t depth;              /* brackets open */
  char closing[PL_JSON_DEPTH]; /* '}' or ']', outermost first */
  bool entry;                  /* what is open has an entry, so that a comma is due */
  bool whole;                  /* the one value of the document is begun */
  int indent;                /* of the line that the next entry begins; -1: it stays on this one */
  uint32_t skipped, refused; /* brackets open in what is left out; how much was left out */
};

/* Begins a document at the end of `out`, to which nothing else is added until pl_json_finish. */
void pl_json_begin(struct pl_json *json, struct pl_buffer *out, bool spaced);
/* Closes what is open.  False: something was refused on the way, a fault of the program, never of
 * the user's text. */
bool pl_json_finish(struct pl_json *json);

/* In all that follows `key` is the name in the object that is open, NULL in a list and for the
 * document's own value; what is told otherwise is refused.  A key said twice is not noticed. */
void pl_json_object(struct pl_json *json, const char *key);
void pl_json_list(struct pl_json *json, const char *key);
/* Closes the object or list that was opened last. */
void pl_json_close(struct pl_json *json);

/* Quoted and escaped; NULL is null; broken UTF-8 becomes U+FFFD. */
void pl_json_text(struct pl_json *json, const char *key, const char *text);
/* Shortest number that reads back the same; null when it is not finite. */
void pl_json_number(struct pl_json *json, const char *key, double value);
/* At most `digits` significant digits; null when it is not finite. */
void pl_json_rounded(struct pl_json *json, const char *key, double value, int digits);
void pl_json_bool(struct pl_json *json, const char *key, bool value);

/* The next entry, or the closing bracket, begins a line with `indent` blanks. */
void pl_json_line(struct pl_json *json, int indent);

#endif
