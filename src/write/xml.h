/* The one writer of XML: SVG drawings and XHTML sheets go through it.  It escapes, turns control
 * bytes and broken UTF-8 into U+FFFD, refuses names that are not plain XML names, attributes said
 * twice or too late, and closes what was opened. The only room that knows libxml2 is xml.c. */
#ifndef PL_OUT_XML_H
#define PL_OUT_XML_H

#include <stdbool.h>
#include <stdint.h>

#include "base/buffer.h"

enum pl_xml_kind {
  PL_XML_PLAIN, /* starts with an XML declaration; elements without content end as <a/> */
  PL_XML_XHTML  /* starts with <!DOCTYPE html>; readable as XML and as HTML: only HTML's void
                   elements end as <br/> */
};

enum {
  PL_XML_DEPTH = 64,
  PL_XML_ATTRIBUTES = 32
};

struct pl_xml {
  struct pl_buffer *out;
  struct pl_xml_writer *writer; /* libxml2 and what it holds, freed by pl_xml_finish */
  enum pl_xml_kind kind;
  uint32_t depth, refused;         /* open elements (refused ones too); how much was refused */
  bool open_tag;                   /* attributes may follow */
  bool skipped[PL_XML_DEPTH];      /* the start of this level was refused */
  const char *names[PL_XML_DEPTH]; /* the caller's: must live until the end of the element */
  const char *attributes[PL_XML_ATTRIBUTES]; /* of the open tag */
  uint32_t attribute_count;
};

/* NULL, or the file of the library that writes XML and cannot be loaded: then no document may be
 * begun. */
const char *pl_xml_missing(void);

/* Begins a document that goes to the end of `out` when it is finished.  Nothing else is written to
 * `out` meanwhile. */
void pl_xml_begin(struct pl_xml *xml, struct pl_buffer *out, enum pl_xml_kind kind);

/* False when the name is refused or PL_XML_DEPTH is reached: then the element's tags are left out,
 * its content stays, and its pl_xml_end is due all the same. */
bool pl_xml_start(struct pl_xml *xml, const char *name);
void pl_xml_end(struct pl_xml *xml);

/* Right after pl_xml_start.  False: refused. */
bool pl_xml_attribute(struct pl_xml *xml, const char *name, const char *value);
/* A number with at most three decimals: "12", "0.25", "-3.125". */
bool pl_xml_number(struct pl_xml *xml, const char *name, double value);

void pl_xml_text(struct pl_xml *xml, const char *text);
void pl_xml_break(struct pl_xml *xml); /* a line end, for readable files */

/* An element with only text in it. */
void pl_xml_element(struct pl_xml *xml, const char *name, const char *text);

/* What pl_xml_code puts around the code, so that XML and HTML read the same: part of what a content
 * security policy hashes. */
#define PL_XML_CODE_BEFORE "/*<![CDATA[*/\n"
#define PL_XML_CODE_AFTER "\n/*]]>*/"

/* Data for a script of ours, inside an open <script>: as it is.  False, and nothing written, when
 * it has any of < > &. */
bool pl_xml_data(struct pl_xml *xml, const char *text);

/* Program text or style rules of our own, inside an open <script> or <style>, so that XML and HTML
 * read the same. False, and nothing written, when the text holds "]]>" or "</". */
bool pl_xml_code(struct pl_xml *xml, const char *text);

/* Closes what is open, appends the document to `out` and frees the writer.  Returns false when
 * anything was refused on the way: a fault of the program, never of the user's text. */
bool pl_xml_finish(struct pl_xml *xml);

#endif
