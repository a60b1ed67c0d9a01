#pragma once
// An arm on paper, with the place of a line on it: the same drawing as the page's (data/drawing/arm.json).
#include "exchange/documents/paper.h"
#include "limb/limb.h"

namespace dwell::documents {

/// Whether there is a drawing on which this region lies: an arm's. A leg and the head are said in words.
[[nodiscard]] bool is_drawn(access::Region region);

/// Draws the arm of a site from the side from which the region is seen, so high, its part of the arm grey and a filled
/// bead in the middle of it. As the patient faces the reader. Nothing for a region that is not drawn.
void draw_limb(Paper& paper, const access::Site& site, Millimetres top_left, double height_mm);
/// How wide it is at that height, in mm.
[[nodiscard]] double limb_width(double height_mm);

}  // namespace dwell::documents
