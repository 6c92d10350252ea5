/* The one writer of XML, over libxml2's writer into memory.  That writer lets control bytes, broken
 * UTF-8 and bad names through, so everything is filtered here, in pieces on the stack. */
#include "write/xml.h"

#include <string.h>

#include <libxml/xmlwriter.h>

#include "base/library.h"
#include "base/number.h"
#include "base/utf8.h"

enum {
  PIECE = 512
};

/* clang-format off */
#define NAMES(X)                                                                          \
  X(xmlBufferContent)                                                                     \
  X(xmlBufferCreate)                                                                      \
  X(xmlBufferFree)                                                                        \
  X(xmlBufferLength)                                                                      \
  X(xmlFreeTextWriter)                                                                    \
  X(xmlNewTextWriterMemory) X(xmlTextWriterEndAttribute) X(xmlTextWriterEndElement)       \
      X(xmlTextWriterFlush) X(xmlTextWriterFullEndElement) X(xmlTextWriterStartAttribute) \
          X(xmlTextWriterStartElement) X(xmlTextWriterWriteRaw) X(xmlTextWriterWriteString)
/* clang-format on */

struct pl_xml_writer {
  NAMES(PL_LIBRARY_MEMBER)
  xmlBufferPtr memory;
  xmlTextWriterPtr to;
};

static bool load(struct pl_xml_writer *writer) {
#define NAME(name) PL_LIBRARY_NAME(struct pl_xml_writer, name),
  static const struct pl_library_name names[] = {NAMES(NAME)};
  return pl_library_load(PL_XML_LIBRARY, names, sizeof names / sizeof names[0], writer);
}

const char *pl_xml_missing(void) {
  struct pl_xml_writer writer;
  return load(&writer) ? NULL : PL_XML_LIBRARY;
}

static void out_of_memory(const struct pl_xml *xml) {
  struct pl_arena *arena = xml->out->arena;
  arena->on_oom(arena->oom_context);
}

static void must(const struct pl_xml *xml, int result) {
  if (result < 0)
    out_of_memory(xml);
}

static void raw(const struct pl_xml *xml, const char *text) {
  must(xml, xml->writer->xmlTextWriterWriteRaw(xml->writer->to, BAD_CAST text));
}

static bool letter(char c) {
  if (c >= 'a' && c <= 'z')
    return true;
  if (c >= 'A' && c <= 'Z')
    return true;
  return c == '_';
}

/* A plain XML name of ASCII letters, with at most one prefix. */
static bool name_good(const char *name) {
  if (name == NULL)
    return false;
  if (!letter(name[0]))
    return false;
  bool prefix = false;
  for (const char *at = name + 1; *at != '\0'; at++) {
    if (letter(*at))
      continue;
    if (*at >= '0' && *at <= '9')
      continue;
    if (*at == '-' || *at == '.')
      continue;
    if (*at != ':' || prefix)
      return false;
    if (!letter(at[1]))
      return false;
    prefix = true;
  }
  return true;
}

void pl_xml_begin(struct pl_xml *xml, struct pl_buffer *out, enum pl_xml_kind kind) {
  memset(xml, 0, sizeof *xml);
  xml->out = out;
  xml->kind = kind;
  struct pl_xml_writer *writer = xml->writer = PL_NEW(out->arena, struct pl_xml_writer);
  if (!load(writer) || (writer->memory = writer->xmlBufferCreate()) == NULL)
    out_of_memory(xml);
  writer->to = writer->xmlNewTextWriterMemory(writer->memory, 0);
  if (writer->to == NULL) {
    writer->xmlBufferFree(writer->memory);
    out_of_memory(xml);
  }
  raw(xml,
      kind == PL_XML_PLAIN ? "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" : "<!DOCTYPE html>\n");
}

bool pl_xml_start(struct pl_xml *xml, const char *name) {
  xml->open_tag = false;
  bool good = xml->depth < PL_XML_DEPTH && name_good(name);
  if (xml->depth < PL_XML_DEPTH) {
    xml->skipped[xml->depth] = !good;
    if (good)
      xml->names[xml->depth] = name;
    else
      xml->names[xml->depth] = "";
  }
  xml->depth++;
  if (!good) {
    xml->refused++;
    return false;
  }
  must(xml, xml->writer->xmlTextWriterStartElement(xml->writer->to, BAD_CAST name));
  xml->open_tag = true;
  xml->attribute_count = 0;
  return true;
}

static bool void_element(const char *name) {
  static const char *const names[] = {"area",
                                      "base",
                                      "br",
                                      "col",
                                      "embed",
                                      "hr",
                                      "img",
                                      "input",
                                      "link",
                                      "meta",
                                      "source",
                                      "track",
                                      "wbr"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
    if (strcmp(names[i], name) == 0)
      return true;
  return false;
}

void pl_xml_end(struct pl_xml *xml) {
  xml->open_tag = false;
  if (xml->depth == 0) {
    xml->refused++;
    return;
  }
  xml->depth--;
  if (xml->depth >= PL_XML_DEPTH)
    return;
  if (xml->skipped[xml->depth])
    return;
  bool brief = xml->kind == PL_XML_PLAIN || void_element(xml->names[xml->depth]);
  must(xml,
       brief ? xml->writer->xmlTextWriterEndElement(xml->writer->to)
             : xml->writer->xmlTextWriterFullEndElement(xml->writer->to));
}

/* A character that XML allows and that has no business with a terminal or a printer. */
static bool code_good(uint32_t code) {
  if (code < 0x20)
    return code == '\t' || code == '\n';
  if (code >= 0x7F && code <= 0x9F)
    return false;
  return (code & 0xFFFE) != 0xFFFE;
}

static void write_filtered(struct pl_xml *xml, const char *text) {
  char piece[PIECE];
  size_t n = strlen(text);
  size_t used = 0;
  for (size_t at = 0; at < n;) {
    uint32_t code = 0;
    size_t length = pl_utf8_decode(text + at, n - at, &code);
    bool good = length > 0 && code_good(code);
    if (text[at] == '\r' && at + 1 < n && text[at + 1] == '\n') { /* CRLF is one line end */
      at++;
      continue;
    }
    const char *bytes = good ? text + at : "\xEF\xBF\xBD";
    size_t count = good ? length : 3;
    if (used + count >= PIECE) {
      piece[used] = '\0';
      must(xml, xml->writer->xmlTextWriterWriteString(xml->writer->to, BAD_CAST piece));
      used = 0;
    }
    memcpy(piece + used, bytes, count);
    used += count;
    at += length > 0 ? length : 1;
  }
  piece[used] = '\0';
  if (used > 0)
    must(xml, xml->writer->xmlTextWriterWriteString(xml->writer->to, BAD_CAST piece));
}

bool pl_xml_attribute(struct pl_xml *xml, const char *name, const char *value) {
  bool good = xml->open_tag && name_good(name) && xml->attribute_count < PL_XML_ATTRIBUTES &&
              strcmp(name, "xmlns:xmlns") != 0;
  for (uint32_t i = 0; good && i < xml->attribute_count; i++)
    good = strcmp(xml->attributes[i], name) != 0;
  if (!good) {
    xml->refused++;
    return false;
  }
  xml->attributes[xml->attribute_count++] = name;
  must(xml, xml->writer->xmlTextWriterStartAttribute(xml->writer->to, BAD_CAST name));
  write_filtered(xml, value);
  must(xml, xml->writer->xmlTextWriterEndAttribute(xml->writer->to));
  return true;
}

bool pl_xml_number(struct pl_xml *xml, const char *name, double value) {
  char text[PL_NUMBER_SIZE];
  pl_number_fixed(text, value, 3);
  size_t n = strlen(text);
  if (strchr(text, '.') != NULL) {
    while (n > 0 && text[n - 1] == '0')
      n--;
    if (n > 0 && text[n - 1] == '.')
      n--;
    text[n] = '\0';
  }
  return pl_xml_attribute(xml, name, strcmp(text, "-0") == 0 ? "0" : text);
}

void pl_xml_text(struct pl_xml *xml, const char *text) {
  if (xml->depth == 0) {
    xml->refused++;
    return;
  }
  xml->open_tag = false;
  write_filtered(xml, text);
}

void pl_xml_break(struct pl_xml *xml) {
  if (xml->depth == 0)
    return;
  xml->open_tag = false;
  must(xml, xml->writer->xmlTextWriterWriteString(xml->writer->to, BAD_CAST "\n"));
}

void pl_xml_element(struct pl_xml *xml, const char *name, const char *text) {
  pl_xml_start(xml, name);
  pl_xml_text(xml, text);
  pl_xml_end(xml);
}

bool pl_xml_code(struct pl_xml *xml, const char *text) {
  size_t n = strlen(text);
  bool good = xml->depth > 0 && strstr(text, "]]>") == NULL && strstr(text, "</") == NULL &&
              pl_utf8_check(text, n) == n;
  for (const char *at = text; good && *at != '\0'; at++)
    good = (unsigned char)*at >= 0x20 || *at == '\n' || *at == '\t';
  if (!good) {
    xml->refused++;
    return false;
  }
  xml->open_tag = false;
  raw(xml, PL_XML_CODE_BEFORE);
  raw(xml, text);
  raw(xml, PL_XML_CODE_AFTER);
  return true;
}

bool pl_xml_data(struct pl_xml *xml, const char *text) {
  size_t n = strlen(text);
  if (xml->depth == 0 || strpbrk(text, "<>&") != NULL || pl_utf8_check(text, n) != n) {
    xml->refused++;
    return false;
  }
  xml->open_tag = false;
  raw(xml, text);
  return true;
}

bool pl_xml_finish(struct pl_xml *xml) {
  while (xml->depth > 0)
    pl_xml_end(xml);
  struct pl_xml_writer *writer = xml->writer;
  must(xml, writer->xmlTextWriterFlush(writer->to));
  writer->xmlFreeTextWriter(writer->to);
  pl_buffer_add(xml->out,
                (const char *)writer->xmlBufferContent(writer->memory),
                (size_t)writer->xmlBufferLength(writer->memory));
  pl_buffer_add(xml->out, "\n", 1);
  writer->xmlBufferFree(writer->memory);
  xml->writer = NULL;
  return xml->refused == 0;
}
