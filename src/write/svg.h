/* Scenes as SVG 1.1: title and description first, real text, millimetres, no script, nothing
 * fetched. */
#ifndef PL_OUT_SVG_H
#define PL_OUT_SVG_H

#include "draw/scene.h"
#include "write/xml.h"

/* A file of its own. */
void pl_svg_write(struct pl_buffer *out, const struct pl_scene *scene);

/* The <svg> element inside an open document that carries pl_svg_style once.  Every id begins with
 * `prefix` ("s3-"), so that several drawings fit one page.  Groups of wires and devices carry
 * data-what ("wire", "device", "cavity", "reference") and data-name (the user's name). */
void pl_svg_element(struct pl_xml *xml, const struct pl_scene *scene, const char *prefix);

/* The style rules the element needs. */
extern const char pl_svg_style[];

#endif
