#include "exchange/documents/limb_drawing.h"

#include <gtest/gtest.h>

#include <boost/describe.hpp>
#include <boost/mp11.hpp>

/// fontconfig keeps what it read of the machine's letters until the program ends, and the leak sanitizer asks before
/// that.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig\n"; }

namespace dwell::documents {
namespace {

std::string drawn(const access::Site& site) {
  Paper paper(60, 80, "arm", Instant{});
  draw_limb(paper, site, {5, 5}, 60);
  return paper.finish();
}

TEST(LimbDrawing, EveryPartOfAnArmHasAPlaceOnIt) {
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<access::Region>>(
      [](auto one) { EXPECT_EQ(is_drawn(one.value), access::limb_of(one.value) == access::Limb::arm) << one.name; });
}

TEST(LimbDrawing, SideAndRegionAreSeenAndTheSameIsDrawnAlike) {
  using access::Region;
  using access::Side;
  const access::Site left{Side::left, Region::forearm_middle, ""}, right{Side::right, Region::forearm_middle, ""},
      lower{Side::left, Region::forearm_lower, ""}, hand{Side::left, Region::hand_back, ""};
  EXPECT_EQ(drawn(left), drawn(left));
  EXPECT_NE(drawn(left), drawn(right));
  EXPECT_NE(drawn(left), drawn(lower));
  EXPECT_NE(drawn(left), drawn(hand));
}

TEST(LimbDrawing, ALegIsLeftToWords) {
  Paper blank(60, 80, "arm", Instant{});
  EXPECT_EQ(drawn({access::Side::left, access::Region::foot, ""}), blank.finish());
}

TEST(Paper, APathThatIsNoneIsRefused) {
  Paper paper(60, 80, "path", Instant{});
  EXPECT_THROW(paper.path("M 1 2 Q 3 4 5 6", {{0, 0}, 1, 10, false}, 1), std::invalid_argument);
  EXPECT_NO_THROW(paper.path("M1 2L-3,4C1 2 3 4 5.5 6Z", {{0, 0}, 1, 10, true}, 1));
}

}  // namespace
}  // namespace dwell::documents
