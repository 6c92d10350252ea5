/* JSON, written as it is told.  One rule for every value (`may_stand`) keeps it well formed. */
#include "base/json.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/utf8.h"

/* ---- strings ---- */

/* How many bytes from here on stand in a string as they are. */
static size_t plain(const char *text) {
  size_t n = 0;
  while (text[n] >= ' ' && text[n] <= '~' && text[n] != '"' && text[n] != '\\')
    n++;
  return n;
}

static void put_character(struct pl_buffer *out, const char *at, size_t took, uint32_t code) {
  switch (code) {
    case '"':
      pl_buffer_puts(out, "\\\"");
      break;
    case '\\':
      pl_buffer_puts(out, "\\\\");
      break;
    case '\n':
      pl_buffer_puts(out, "\\n");
      break;
    case '\t':
      pl_buffer_puts(out, "\\t");
      break;
    default:
      if (pl_utf8_is_control(code)) /* a terminal or an older script would obey them */
        pl_buffer_printf(out, "\\u%04x", (unsigned)code);
      else
        pl_buffer_add(out, at, took);
  }
}

/* Most texts are plain from end to end and are added in one piece. */
static void put_string(struct pl_buffer *out, const char *text) {
  size_t n = plain(text);
  const char *at = text + n;
  size_t left = strlen(at);

  pl_buffer_puts(out, "\"");
  pl_buffer_add(out, text, n);
  while (left > 0) {
    uint32_t code;
    size_t took = pl_utf8_decode(at, left, &code);
    if (took > 0) {
      put_character(out, at, took, code);
    } else {
      pl_buffer_puts(out, "\xef\xbf\xbd");
      took = 1;
    }
    at += took;
    left -= took;
  }
  pl_buffer_puts(out, "\"");
}

/* ---- where a value may stand ---- */

static bool in_object(const struct pl_json *json) {
  if (!(json->depth > 0))
    return false;
  return json->closing[json->depth - 1] == '}';
}

/* A name just where one is due, one value for the document, nothing in what is left out. */
static bool may_stand(struct pl_json *json, const char *key) {
  bool good =
      json->skipped == 0 && in_object(json) == (key != NULL) && (json->depth > 0 || !json->whole);
  json->refused += !good;
  return good;
}

static void put_line(struct pl_json *json) {
  pl_buffer_puts(json->out, "\n");
  for (int i = 0; i < json->indent; i++)
    pl_buffer_puts(json->out, " ");
  json->indent = -1;
}

/* All that comes before a value: comma, line, name. */
static bool begin_value(struct pl_json *json, const char *key) {
  if (!may_stand(json, key))
    return false;
  if (json->entry)
    pl_buffer_puts(json->out, ",");
  if (json->indent >= 0)
    put_line(json);
  else if (json->entry && json->spaced)
    pl_buffer_puts(json->out, " ");
  if (key != NULL) {
    put_string(json->out, key);
    pl_buffer_puts(json->out, json->spaced ? ": " : ":");
  }
  json->entry = json->whole = true;
  return true;
}

static void open_bracket(struct pl_json *json, const char *key, char opening, char closing) {
  bool deep = json->depth == PL_JSON_DEPTH && json->skipped == 0;
  json->refused += deep;
  if (deep || !begin_value(json, key)) {
    json->skipped++;
    return;
  }
  pl_buffer_add(json->out, &opening, 1);
  json->closing[json->depth++] = closing;
  json->entry = false;
}

/* ---- what callers use ---- */

void pl_json_begin(struct pl_json *json, struct pl_buffer *out, bool spaced) {
  *json = (struct pl_json){.out = out, .spaced = spaced, .indent = -1};
}

bool pl_json_finish(struct pl_json *json) {
  while (json->skipped > 0 || json->depth > 0)
    pl_json_close(json);
  return json->refused == 0 && json->whole;
}

void pl_json_object(struct pl_json *json, const char *key) {
  open_bracket(json, key, '{', '}');
}

void pl_json_list(struct pl_json *json, const char *key) {
  open_bracket(json, key, '[', ']');
}

void pl_json_close(struct pl_json *json) {
  if (json->skipped > 0) {
    json->skipped--;
  } else if (json->depth > 0) {
    if (json->indent >= 0)
      put_line(json);
    pl_buffer_add(json->out, &json->closing[--json->depth], 1);
    json->entry = true;
  } else {
    json->refused++;
  }
}

void pl_json_text(struct pl_json *json, const char *key, const char *text) {
  if (!begin_value(json, key))
    return;
  if (text == NULL)
    pl_buffer_puts(json->out, "null");
  else
    put_string(json->out, text);
}

void pl_json_number(struct pl_json *json, const char *key, double value) {
  char digits[PL_NUMBER_SIZE];
  if (begin_value(json, key))
    pl_buffer_puts(json->out, isfinite(value) ? pl_number_exact(digits, value) : "null");
}

void pl_json_rounded(struct pl_json *json, const char *key, double value, int digits) {
  char text[PL_NUMBER_SIZE];
  if (begin_value(json, key))
    pl_buffer_puts(json->out, isfinite(value) ? pl_number_print(text, value, digits) : "null");
}

void pl_json_bool(struct pl_json *json, const char *key, bool value) {
  if (begin_value(json, key))
    pl_buffer_puts(json->out, value ? "true" : "false");
}

void pl_json_line(struct pl_json *json, int indent) {
  json->indent = indent;
}
