/* The frame of a page: head, style, title block, cautions.  Nothing is fetched and nothing runs. */
#include "write/html_page_inner.h"

#include <string.h>

#include "base/utf8.h"
#include "draw/metrics.h"
#include "write/svg.h"

#define MARGIN_TEXT 3.0 /* mm: 8.5 pt */

/* Screen: light or dark by the system's wish; drawings and colour samples stay on paper white.
 * Paper: nothing hangs on colour or backgrounds, heads repeat, rows stay whole. */
static const char style[] =
    ":root{color-scheme:light "
    "dark;--ink:#1b1d1f;--paper:#fff;--soft:#5a6066;--line:#b9bfc5;--band:#f2f4f5;"
    "--link:#0b4f8a;--warn:#9c2a10}\n"
    "@media "
    "(prefers-color-scheme:dark){:root{--ink:#e6e8ea;--paper:#16181a;--soft:#a4abb2;--line:#4a5158;"
    "--band:#202428;--link:#8fc3f2;--warn:#ffb199}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;padding:1rem clamp(.7rem,2vw,2rem) "
    "4rem;max-width:80rem;background:var(--paper);"
    "color:var(--ink);"
    "font:16px/1.45 \"Liberation Sans\",Arial,Helvetica,sans-serif;overflow-wrap:anywhere}\n"
    "a{color:var(--link);text-underline-offset:.15em}\n"
    "h1{font-size:1.7rem;line-height:1.2;margin:.2rem 0 .8rem}\n"
    "h2{font-size:1.3rem;margin:2.4rem 0 .6rem;padding-top:.5rem;border-top:3px solid var(--ink)}\n"
    "h3{font-size:1.08rem;margin:1.6rem 0 .3rem}\n"
    "p{margin:.3rem 0 .6rem}\n"
    "dl.block{display:grid;grid-template-columns:repeat(auto-fit,minmax(11rem,1fr));margin:0 0 "
    "1rem;border:1px "
    "solid var(--line);border-width:1px 0 0 1px}\n"
    "dl.block div{padding:.3rem .6rem;border:1px solid var(--line);border-width:0 1px 1px 0}\n"
    "dt{font-size:.8rem;color:var(--soft)}\n"
    "dd{margin:0;unicode-bidi:isolate}\n"
    ".care{border:2px solid var(--warn);padding:.4rem 1rem .6rem;margin:1rem 0}\n"
    ".care h2{border:0;margin:0;padding:.2rem 0;font-size:1.1rem;color:var(--warn)}\n"
    ".care ul{margin:.2rem 0;padding-left:1.2rem}\n"
    "nav ul{columns:15rem;padding-left:1.2rem;margin:.2rem 0 .8rem}\n"
    ".scroll{overflow-x:auto;margin:.3rem 0 1rem}\n"
    "table{border-collapse:collapse;width:100%;font-size:.88rem;line-height:1.3}\n"
    "caption{text-align:left;color:var(--soft);padding:.2rem 0 .3rem;caption-side:top}\n"
    "th,td{border:1px solid var(--line);padding:.22rem .4rem;text-align:left;vertical-align:top;"
    "overflow-wrap:break-word;unicode-bidi:isolate}\n"
    "thead th{background:var(--band);font-weight:bold;vertical-align:bottom}\n"
    "tbody th{font-weight:bold}\n"
    ".n{text-align:right;font-variant-numeric:tabular-nums}\n"
    ".s{white-space:nowrap}\n"
    ".l{overflow-wrap:anywhere;min-width:6rem}\n"
    ".m{min-width:4.5rem}\n"
    ".v "
    "span{display:inline-block;writing-mode:vertical-rl;transform:rotate(180deg);max-height:8rem;"
    "line-height:1.1;"
    "vertical-align:bottom;padding:.25em 0}\n"
    ".again{display:none}\n"
    ".k{width:32px;height:13px;padding:1px;background:#fff;vertical-align:-1px;"
    "margin-right:.35em;forced-color-adjust:none;"
    "-webkit-print-color-adjust:exact;print-color-adjust:exact}\n"
    ".u{display:inline-block;font-size:.85em;border:1px solid currentColor;padding:0 "
    ".2em;margin-left:.35em;white-space:nowrap}\n"
    ".b{display:inline-block;width:.9em;height:.9em;border:1.3px solid "
    "currentColor;vertical-align:-.1em}\n"
    "tr.over th{background:var(--band);padding-top:.5rem}\n"
    "tr.over b{font-size:1.08em}\n"
    "tr.over span{display:block;font-weight:normal}\n"
    "tr:target th,tr:target td{outline:3px solid var(--link);outline-offset:-2px}\n"
    "figure{margin:.4rem 0;background:#fff;border:1px solid var(--line);padding:.3rem}\n"
    "figure svg,figure img{display:block;max-width:100%;height:auto}\n"
    "figure img{width:100%}\n"
    "figcaption{background:var(--paper);padding:.3rem}\n"
    ".face{display:inline-block;max-width:100%}\n"
    ".by{display:inline-block;min-width:14rem;vertical-align:top;color:var(--soft)}\n"
    ".small{display:grid;grid-template-columns:repeat(auto-fill,minmax(16rem,1fr));gap:1rem}\n"
    ".small figure{margin:0}\n"
    ".hid{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}\n"
    ".danger{color:var(--warn);font-weight:bold}\n"
    ".contents ol{padding-left:1.6rem}\n"
    ".contents li{margin:.25rem 0}\n"
    ".contents ul{columns:15rem;padding-left:1.2rem}\n"
    ".contents span{color:var(--soft)}\n"
    ".plate figure svg{max-width:100%;height:auto}\n"
    "@media print{\n"
    ":root{--ink:#000;--paper:#fff;--soft:#333;--line:#777;--band:#fff;--link:#000;--warn:#000}\n"
    "body{padding:0 .3mm;max-width:none;font-size:10pt;line-height:1.3}\n"
    "a{text-decoration:none}\n"
    "h1{font-size:17pt;margin:0 0 3mm}\n"
    "h2{font-size:13.5pt;margin:0 0 2mm;padding-top:1.5mm;border-top-width:1mm}\n"
    "h3{font-size:11.5pt;margin:3mm 0 .5mm}\n"
    "h1,h2,h3,caption,.head{break-after:avoid}\n"
    "dl.block{grid-template-columns:2fr 1fr 1fr 1.2fr 1.2fr}\n"
    ".head,.care,dl.block,figure{break-inside:avoid}\n"
    ".new{break-before:page}\n"
    "nav,.screen{display:none}\n"
    "nav.contents{display:block}\n"
    ".contents li{margin:.6mm 0;break-inside:avoid}\n"
    ".contents ul{columns:3;column-gap:4mm;list-style:none;padding:0;margin:.5mm 0 "
    "2mm;font-size:9pt;line-height:1.2}\n"
    ".contents ul li{margin:0;break-inside:avoid}\n"
    ".contents span{display:none}\n"
    ".plate{break-inside:avoid}\n"
    ".plate figure{border:0;padding:0;margin:0}\n"
    ".plate figcaption,.upright figcaption{display:none}\n"
    ".upright figure{border:0;padding:0;margin:0 0 3mm}\n"
    ".plate figure svg{width:100%;height:183mm}\n"
    ".plate.first figure svg{height:162mm}\n"
    ".scroll{overflow:visible;margin:.5mm 0 3mm}\n"
    "table{font-size:9.5pt;line-height:1.22;table-layout:fixed}\n"
    "table.fine{font-size:9pt}\n"
    "th,td{border:.25mm solid #777;padding:.6mm 1mm}\n"
    "table.fine th,table.fine td{padding:.5mm .7mm}\n"
    "thead th{border-bottom:.6mm solid #000}\n"
    "tr{break-inside:avoid}\n"
    "tbody tr:nth-child(-n+3){break-before:avoid}\n"
    "tbody tr:nth-last-child(-n+3){break-before:avoid}\n"
    "tbody.under tr:first-child{break-before:auto}\n"
    "thead+tbody.under tr:first-child{break-before:avoid}\n"
    "tbody.whole:last-child{break-before:avoid}\n"
    ".folded{columns:2;column-gap:6mm}\n"
    ".roomy{padding-bottom:80mm;margin-bottom:-80mm}\n" /* a browser that begins a folded table in a
                                                           low rest of a page does not repeat its
                                                           heads */
    ".folded tbody,.folded tr{break-before:auto!important;break-after:auto!important}\n"
    ".folded tr.over{break-after:avoid!important}\n"
    "tr.over th{padding-top:2mm;border-top:.6mm solid #000}\n"
    ".whole{break-inside:avoid}\n"
    "thead{display:table-header-group}\n"
    "tr.again{display:table-row}\n"
    "tr.again th{border:0;padding-left:0}\n"
    "tr:target th,tr:target td{outline:0}\n"
    ".l{min-width:0}\n"
    ".m{min-width:14mm}\n"
    ".v span{max-height:30mm}\n"
    ".k{width:8mm;height:2.9mm}\n"
    ".face{border:0;padding:0;margin:.5mm 0}\n"
    ".by{min-width:0;margin:.5mm 0 0 4mm}\n"
    ".lying{page:lying}\n"
    ".small{grid-template-columns:1fr 1fr 1fr;gap:3mm}\n"
    ".many{grid-template-columns:1fr 1fr 1fr 1fr 1fr}\n"
    ".many figcaption{font-size:9pt;padding:0}\n"
    "}\n";

void pl_page_start(struct pl_page *page, const char *name, const char *class) {
  pl_xml_start(&page->xml, name);
  if (class[0] != '\0')
    pl_xml_attribute(&page->xml, "class", class);
}

void pl_page_line(struct pl_page *page, const char *name, const char *text) {
  pl_xml_element(&page->xml, name, text);
  pl_xml_break(&page->xml);
}

void pl_page_link(struct pl_page *page, const char *href, const char *text) {
  pl_xml_start(&page->xml, "a");
  pl_xml_attribute(&page->xml, "href", href);
  pl_xml_text(&page->xml, text);
  pl_xml_end(&page->xml);
}

/* Marks that turn the direction of text, and controls: they have no business in a page's margin. */
static bool plain(uint32_t code) {
  bool unseen = code >= 0x200B && code <= 0x200D;
  return !unseen && !pl_utf8_is_control(code) && !pl_utf8_turns_text(code);
}

/* A string of CSS: letters, digits and blanks as they are, all else as a number. */
static void put_css_string(struct pl_buffer *css, const char *text) {
  size_t left = strlen(text);
  pl_buffer_puts(css, "\"");
  while (left > 0) {
    uint32_t code = 0;
    size_t took = pl_utf8_decode(text, left, &code);
    if (took == 0 || !plain(code))
      code = 0xFFFD;
    if ((code >= '0' && code <= '9') || (code >= 'A' && code <= 'Z') ||
        (code >= 'a' && code <= 'z') || code == ' ')
      pl_buffer_printf(css, "%c", (char)code);
    else
      pl_buffer_printf(css, "\\%X ", (unsigned)code);
    took = took == 0 ? 1 : took;
    text += took;
    left -= took;
  }
  pl_buffer_puts(css, "\"");
}

static const char *short_digest(struct pl_page *page, const char *digest) {
  size_t n = strlen(digest);
  return pl_arena_strndup(page->arena, digest, n < 12 ? n : 12);
}

static const char margin_font[] =
    "font:8.5pt \"Liberation Sans\",Arial,Helvetica,sans-serif;color:#000;white-space:nowrap;";

static void put_top_left(struct pl_page *page, struct pl_buffer *css, const char *what) {
  const char *machine = pl_title_block_of(page->harness).machine;
  pl_buffer_printf(css, "@top-left{%scontent:", margin_font);
  put_css_string(css, pl_text_fit(page->arena, machine, MARGIN_TEXT, false, 75));
  pl_buffer_puts(css, "\": \"");
  put_css_string(css, pl_text_fit(page->arena, what, MARGIN_TEXT, false, 60));
  pl_buffer_puts(css, "}");
}

/* Margins that leave 190 x 259 mm and more on A4 and Letter.  Margin boxes: what an old print is
 * recognised by. */
static void put_paper(struct pl_page *page, struct pl_buffer *css, const char *what) {
  struct pl_title_block block = pl_title_block_of(page->harness);
  pl_buffer_puts(css, "@page{size:portrait;margin:14mm 10mm 12mm;");
  put_top_left(page, css, what);
  pl_buffer_printf(css, "@top-right{%scontent:", margin_font);
  const char *revision;
  if (block.revision[0] == '\0')
    revision = "No revision said";
  else
    revision = pl_arena_printf(page->arena, "Revision %s", block.revision);
  put_css_string(css, pl_text_fit(page->arena, revision, MARGIN_TEXT, false, 50));
  pl_buffer_printf(css, "}@bottom-left{%scontent:", margin_font);
  if (block.digest[0] != '\0')
    put_css_string(css, pl_arena_printf(page->arena, "Text %s", short_digest(page, block.digest)));
  else
    put_css_string(css, "");
  pl_buffer_printf(css,
                   "}@bottom-right{%scontent:\"Page \"counter(page)\" of \"counter(pages)}}\n",
                   margin_font);
  pl_buffer_puts(css, "@page lying{size:landscape}\n");
}

/* Paper of a part: upright, and on its side. */
static void
put_part_paper(struct pl_page *page, struct pl_buffer *css, uint32_t number, const char *title) {
  const char *what = pl_arena_printf(page->arena, "%u %s", number, title);
  for (int lying = 0; lying < 2; lying++) {
    pl_buffer_printf(css,
                     "@page p%u%s{%s",
                     number,
                     lying == 1 ? "l" : "",
                     lying == 1 ? "size:landscape;" : "");
    put_top_left(page, css, what);
    pl_buffer_puts(css, "}\n");
  }
  pl_buffer_printf(css,
                   "@media print{.p%u{page:p%u}.p%u .lying{page:p%ul}}\n",
                   number,
                   number,
                   number,
                   number);
}

/* Paper of a drawing that takes a page. */
static void
put_plate_paper(struct pl_page *page, struct pl_buffer *css, uint32_t number, const char *title) {
  pl_buffer_printf(css, "@page g%u{size:landscape;margin:12mm 9mm 10mm;", number);
  put_top_left(page, css, title);
  pl_buffer_printf(css, "}\n@media print{.part .g%u{page:g%u}}\n", number, number);
}

static void put_head(struct pl_page *page,
                     const char *title,
                     const char *what,
                     const struct pl_page_parts *parts) {
  static const char *const metas[][3] = {
      {"name", "viewport", "width=device-width, initial-scale=1"},
      {"http-equiv",
       "Content-Security-Policy",
       "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:"},
      {"name", "generator", "pinloom"}};
  struct pl_buffer css;
  pl_buffer_init(&css, page->arena);
  put_paper(page, &css, what);
  for (uint32_t i = 0; parts != NULL && i < parts->n; i++)
    put_part_paper(page, &css, i + 1, parts->titles[i]);
  for (uint32_t i = 0; parts != NULL && i < parts->plate_count; i++)
    put_plate_paper(page, &css, i, parts->plates[i]);
  pl_xml_start(&page->xml, "head");
  pl_xml_break(&page->xml);
  pl_xml_start(&page->xml, "meta");
  pl_xml_attribute(&page->xml, "charset", "utf-8");
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
  for (size_t i = 0; i < sizeof metas / sizeof metas[0]; i++) {
    pl_xml_start(&page->xml, "meta");
    pl_xml_attribute(&page->xml, metas[i][0], metas[i][1]);
    pl_xml_attribute(&page->xml, "content", metas[i][2]);
    pl_xml_end(&page->xml);
    pl_xml_break(&page->xml);
  }
  pl_page_line(page, "title", title);
  pl_xml_start(&page->xml, "style");
  pl_xml_code(&page->xml, style);
  pl_xml_end(&page->xml);
  pl_xml_start(&page->xml, "style");
  pl_xml_code(&page->xml, css.at);
  pl_xml_end(&page->xml);
  pl_xml_start(&page->xml, "style");
  pl_xml_code(&page->xml, pl_svg_style);
  pl_xml_end(&page->xml);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

void pl_page_begin(struct pl_page *page,
                   struct pl_buffer *out,
                   const struct pl_harness *harness,
                   struct pl_arena *arena,
                   const char *what,
                   const struct pl_page_parts *parts) {
  const char *machine = "Machine without a name";
  if (harness->machine.title[0] != '\0')
    machine = harness->machine.title;
  *page = (struct pl_page){.arena = arena, .harness = harness};
  page->rows[PL_LINK_PIN] = PL_NEW_ARRAY(arena, uint8_t, harness->pins.n);
  page->rows[PL_LINK_WIRE] = PL_NEW_ARRAY(arena, uint8_t, harness->wires.n);
  page->rows[PL_LINK_DEVICE] = PL_NEW_ARRAY(arena, uint8_t, harness->devices.n);
  pl_xml_begin(&page->xml, out, PL_XML_XHTML);
  pl_xml_start(&page->xml, "html");
  pl_xml_attribute(&page->xml, "xmlns", "http://www.w3.org/1999/xhtml");
  pl_xml_attribute(&page->xml, "lang", "en");
  pl_xml_attribute(&page->xml, "xml:lang", "en");
  pl_xml_break(&page->xml);
  put_head(page, pl_arena_printf(arena, "%s: %s", machine, what), what, parts);
  pl_xml_start(&page->xml, "body");
  pl_xml_break(&page->xml);
  pl_xml_start(&page->xml, "h1");
  pl_xml_element(&page->xml, "bdi", machine);
  pl_xml_text(&page->xml, ": ");
  pl_xml_text(&page->xml, what);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

void pl_page_part(struct pl_page *page, uint32_t number, const char *id) {
  pl_page_start(page, "section", pl_arena_printf(page->arena, "part p%u", number));
  pl_xml_attribute(&page->xml, "id", id);
  pl_xml_break(&page->xml);
}

bool pl_page_end(struct pl_page *page) {
  return pl_xml_finish(&page->xml);
}

void pl_page_title_block(struct pl_page *page) {
  struct pl_title_block block = pl_title_block_of(page->harness);
  const char *const rows[][2] = {{"Machine", block.machine},
                                 {"Revision", block.revision},
                                 {"Date", block.date},
                                 {"Drawn up by", block.author},
                                 {"Digest of the text", short_digest(page, block.digest)}};
  pl_page_start(page, "dl", "block");
  pl_xml_break(&page->xml);
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    pl_xml_start(&page->xml, "div");
    pl_xml_element(&page->xml, "dt", rows[i][0]);
    pl_xml_element(&page->xml, "dd", rows[i][1][0] != '\0' ? rows[i][1] : "not said");
    pl_xml_end(&page->xml);
    pl_xml_break(&page->xml);
  }
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

/* Customary in this work. */
void pl_page_cautions(struct pl_page *page) {
  static const char *const lines[] = {
      "Machine on level ground, wheels or tracks blocked, attachments down, hydraulic pressure "
      "released, "
      "before anyone crawls under it.",
      "Key off, wait for the controllers to shut down, then battery off: the earthed pole comes "
      "off first and "
      "goes on last. Rings and watch off; no sparks near a battery.",
      "Put the fuse close to the battery and never fit a larger one. Protect heavy feeders where "
      "they can chafe.",
      "Before first power: every wire rung out, controllers unplugged, fuses out; then one fuse at "
      "a time with "
      "a lamp in series. Extinguisher within reach.",
      "Start from the seat, in neutral, brake on. Never jump across the starter, and never bypass "
      "an interlock,"
      " not even to test.",
      "Stay away from belts, fan, exhaust, high-pressure fuel lines and injector wiring while the "
      "engine runs: "
      "they can kill.",
      "Before welding take both battery cables off, unplug the controllers, and clamp close to the "
      "weld.",
      "Colour never proves function, and a drawing is not a proof: measure before trusting. Pins "
      "marked web or "
      "guess are claims.",
      "Local codes, the makers' manuals and licensed practice come first."};
  pl_page_start(page, "section", "care");
  pl_page_line(page, "h2", "Take care");
  pl_xml_start(&page->xml, "ul");
  pl_xml_break(&page->xml);
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
    pl_page_line(page, "li", lines[i]);
  pl_xml_end(&page->xml);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}
