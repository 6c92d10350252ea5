/* Lanes: within each channel between two ranks every wire that changes its column gets a lane of
 * its own or shares one with wires it does not meet, so that no two wires ever lie on each other.
 * Where one wire comes down in a column and another leaves downward in it, the first needs the
 * higher lane; where such needs form a ring, one wire steps aside
 * ("jog").
 *
 * Channel routing by the left-edge rule with constraints between upright ends (Hashimoto and
 * Stevens, 1971; a step aside is Deutsch's dogleg, 1976): lane after lane from the top is filled
 * with wires that nothing must lie above.  Each lane costs the square of the wires of its channel.
 */
#include "circuit/page_inner.h"

#define NONE UINT32_MAX

struct net {
  uint32_t link, left, right;
  uint32_t column[2];
  bool above[2];
  uint32_t hard, soft; /* nets that must (should) lie higher and are not placed yet */
  bool placed;
};

static uint32_t column_of(const struct pl_page *page, const struct pl_tie *tie) {
  return page->cells.at[tie->cell].column;
}

/* Does a come down in a column that b leaves downward?  Then a must lie higher. */
static bool must_be_above(const struct pl_page *page, const struct net *a, const struct net *b) {
  for (int i = 0; i < 2; i++)
    for (int k = 0; k < 2; k++)
      if (a->above[i] && !b->above[k] && a->column[i] == b->column[k] &&
          !page->links.at[b->link].jog[k])
        return true;
  return false;
}

/* Crossings when a lies higher than b. */
static uint32_t crossings(const struct net *a, const struct net *b) {
  uint32_t n = 0;
  for (int i = 0; i < 2; i++) {
    n += !a->above[i] && a->column[i] >= b->left && a->column[i] <= b->right;
    n += b->above[i] && b->column[i] >= a->left && b->column[i] <= a->right;
  }
  return n;
}

static void count_needs(const struct pl_page *page, struct net *nets, uint32_t n) {
  for (uint32_t i = 0; i < n; i++)
    nets[i].hard = nets[i].soft = 0;
  for (uint32_t i = 0; i < n; i++)
    for (uint32_t k = 0; k < n; k++) {
      if (i == k)
        continue;
      if (nets[i].placed)
        continue;
      if (nets[k].placed)
        continue;
      if (must_be_above(page, &nets[k], &nets[i]))
        nets[i].hard++;
      else if (nets[k].left <= nets[i].right && nets[i].left <= nets[k].right &&
               crossings(&nets[k], &nets[i]) < crossings(&nets[i], &nets[k]))
        nets[i].soft++;
    }
}

/* The unplaced net without hard needs that has the fewest soft ones, starting right of `after`;
 * NONE. */
static uint32_t
choose(const struct net *nets, uint32_t n, const uint32_t *taken, uint32_t taken_count) {
  uint32_t best = NONE;
  for (uint32_t i = 0; i < n; i++) {
    if (nets[i].placed)
      continue;
    if (nets[i].hard > 0)
      continue;
    bool room = true;
    for (uint32_t k = 0; k < taken_count; k++)
      room = room && (nets[i].right < nets[taken[k]].left || nets[i].left > nets[taken[k]].right);
    if (!room)
      continue;
    if (taken_count > 0 && nets[i].soft > 0)
      continue;
    if (best == NONE || nets[i].soft < nets[best].soft ||
        (nets[i].soft == nets[best].soft && nets[i].left < nets[best].left))
      best = i;
  }
  return best;
}

/* A ring of needs: the net with the fewest steps aside. */
static void step_aside(struct pl_page *page, struct net *nets, uint32_t n) {
  uint32_t best = NONE;
  for (uint32_t i = 0; i < n; i++) {
    if (nets[i].placed)
      continue;
    if (!(best == NONE || nets[i].hard < nets[best].hard))
      continue;
    best = i;
  }
  for (int k = 0; k < 2; k++)
    if (!nets[best].above[k])
      page->links.at[nets[best].link].jog[k] = true;
  page->channels[page->links.at[nets[best].link].channel].jogs = true;
}

static void place_channel(struct pl_page *page, uint32_t channel, struct net *nets, uint32_t n) {
  uint32_t *taken = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  uint32_t placed = 0;
  uint32_t lane = 0;
  while (placed < n) {
    count_needs(page, nets, n);
    uint32_t taken_count = 0;
    uint32_t one;
    while ((one = choose(nets, n, taken, taken_count)) != NONE) {
      page->links.at[nets[one].link].lane = lane;
      nets[one].placed = true;
      taken[taken_count++] = one;
      placed++;
    }
    if (taken_count == 0)
      step_aside(page, nets, n);
    else
      lane++;
  }
  page->channels[channel].lanes = lane;
}

void pl_route_lanes(struct pl_page *page) {
  struct net *nets = PL_NEW_ARRAY(page->arena, struct net, (size_t)page->links.n + 1);
  for (uint32_t c = 0; c <= page->row_count; c++) {
    uint32_t n = 0;
    for (uint32_t l = 0; l < page->links.n; l++) {
      struct pl_link *link = &page->links.at[l];
      if (link->channel != c)
        continue;
      uint32_t a = column_of(page, &link->tie[0]);
      uint32_t b = column_of(page, &link->tie[1]);
      if (a == b)
        continue; /* straight: the tie on either side is in the same column */
      nets[n++] = (struct net){.link = l,
                               .left = a < b ? a : b,
                               .right = a < b ? b : a,
                               .column = {a, b},
                               .above = {link->tie[0].from_above, link->tie[1].from_above}};
    }
    place_channel(page, c, nets, n);
  }
}
