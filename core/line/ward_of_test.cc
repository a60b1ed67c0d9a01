#include <gtest/gtest.h>

#include "line/state.h"

namespace dwell::line {
namespace {

TEST(WardOf, AWardSeesItsOwnLines) {
  EXPECT_TRUE(belongs_to(Place{"Hill Hospital", "Ward 3", "12"}, "Ward 3"));
  EXPECT_FALSE(belongs_to(Place{"Hill Hospital", "Ward 3", "12"}, "Ward 4"));
  EXPECT_TRUE(belongs_to(Place{"Hill Hospital", "Ward 3", "12"}, "")) << "no ward named: all of them";
}

TEST(WardOf, ALineOfNoKnownUnitIsSeenByEveryWard) {
  for (const char* unit : {"", " ", "\t\n", "\u00A0", "\u3000", "\u200B", "\u2060 \u00AD"}) {
    EXPECT_TRUE(belongs_to(unit, "Ward 3")) << '"' << unit << '"';
    EXPECT_TRUE(belongs_to(unit, "Ward 4")) << '"' << unit << '"';
  }
}

}  // namespace
}  // namespace dwell::line
