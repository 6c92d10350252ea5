/* What the rules found, in short: for covers. */
#include "write/html_page_inner.h"

enum {
  SHOWN = 12
}; /* findings told; the rest stand in the tables */

static void put_worst(struct pl_page *page, const struct pl_findings *findings) {
  struct pl_xml *xml = &page->xml;
  uint32_t shown = 0;
  for (int severity = PL_ERROR; severity >= PL_FAULT; severity--) {
    for (uint32_t i = 0; i < findings->list.n && shown < SHOWN; i++) {
      const struct pl_finding *finding = &findings->list.at[i];
      if (finding->waived != NULL)
        continue;
      if ((int)finding->severity != severity)
        continue;
      if (shown++ == 0)
        pl_xml_start(xml, "ul");
      pl_xml_start(xml, "li");
      pl_page_start(page, "span", severity >= PL_DANGER ? "danger" : "");
      pl_xml_text(xml, pl_severity_name(finding->severity));
      pl_xml_end(xml);
      pl_xml_text(xml, ": ");
      pl_xml_element(xml, "bdi", finding->text);
      if (finding->state[0] != '\0') {
        pl_xml_text(xml, "; in state ");
        pl_xml_element(xml, "bdi", finding->state);
      }
      pl_xml_end(xml);
      pl_xml_break(xml);
    }
  }
  if (shown > 0)
    pl_xml_end(xml);
}

void pl_page_findings(struct pl_page *page,
                      const struct pl_findings *findings,
                      const char *all,
                      const char *waived) {
  struct pl_xml *xml = &page->xml;
  pl_page_line(page, "h2", "Findings");
  if (findings == NULL) {
    pl_page_line(page, "p", "The harness was not checked.");
    return;
  }
  struct pl_finding_counts counts = pl_findings_count(findings);
  pl_page_line(
      page,
      "p",
      pl_arena_printf(page->arena,
                      "Dangers: %u. Faults: %u. Advice: %u. Accepted with a written reason: %u.",
                      counts.of[PL_DANGER] + counts.of[PL_ERROR],
                      counts.of[PL_FAULT],
                      counts.of[PL_ADVICE],
                      counts.waived));
  if (counts.of[PL_DANGER] + counts.of[PL_ERROR] > 0) {
    pl_page_start(page, "p", "danger");
    pl_xml_text(xml, "Do not power the machine while a danger stands.");
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  put_worst(page, findings);
  if (all == NULL && waived == NULL)
    return;
  pl_page_start(page, "p", "screen");
  if (all != NULL)
    pl_page_link(page, all, "All findings, with what to do");
  if (all != NULL && waived != NULL)
    pl_xml_text(xml, ". ");
  if (waived != NULL)
    pl_page_link(page, waived, "What was accepted, and why");
  pl_xml_end(xml);
  pl_xml_break(xml);
}
