#include "access/difficulty.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "access/region_rules.h"
#include "exchange/library.h"

namespace dwell::access {
namespace {

const policy::Access& ward() { return exchange::default_library().policy.access; }

TEST(Difficulty, UnansweredItemsWidenThePointsAndHideTheBand) {
  const auto found = difficulty({"child difficult access, four items", {{"vein_seen", "no"}}}, ward());
  ASSERT_TRUE(found.has_value());
  EXPECT_EQ(found->points_least, 2);
  EXPECT_EQ(found->points_most, 10);
  EXPECT_TRUE(found->band.empty());
  EXPECT_FALSE(found->success);
  EXPECT_TRUE(found->call_for_help);  // it could be a hard vein: unknown is not safe
  EXPECT_EQ(found->unknown_items.size(), 3u);
}

TEST(Difficulty, BadInputIsNamedAllAtOnce) {
  EXPECT_EQ(difficulty({"by feel", {}}, ward()).error().front().path, "/scale");
  const auto errors =
      difficulty({"child difficult access, four items", {{"age", "old"}, {"hair", "red"}}}, ward()).error();
  ASSERT_EQ(errors.size(), 2u);
  EXPECT_EQ(errors[0].path, "/answers/age");
  EXPECT_EQ(errors[1].path, "/answers/hair");
}

RC_GTEST_PROP(DifficultyProperty, AnsweringNarrowsThePoints, ()) {
  const auto& scale = *rc::gen::elementOf(ward().difficulty);
  DifficultyInput in{scale.name, {}};
  auto before = *difficulty(in, ward());
  for (const auto& item : scale.items) {
    in.answers[item.name] = (*rc::gen::elementOf(item.answers)).name;
    const auto after = *difficulty(in, ward());
    RC_ASSERT(after.points_least >= before.points_least);
    RC_ASSERT(after.points_most <= before.points_most);
    before = after;
  }
  RC_ASSERT(before.points_least == before.points_most);
  RC_ASSERT(!before.band.empty());
}

TEST(VeinSaving, UnknownKidneysAreSaidToBeUnknown) {
  const auto found = vein_saving({{Side::left, Region::forearm_middle, ""}, std::nullopt, std::nullopt, false}, ward());
  EXPECT_FALSE(found->saves_veins);
  EXPECT_EQ(found->findings.front().code, "filtration_unknown");
  EXPECT_EQ(vein_saving({{}, Flow(-1.0 * millilitre / minute), std::nullopt, false}, ward()).error().size(), 1u);
}

TEST(VeinSaving, TheOtherArmsCephalicVeinIsAStop) {
  const auto found = vein_saving(
      {{Side::left, Region::forearm_lower, "cephalic"}, Flow(20.0 * millilitre / minute), Side::right, false}, ward());
  EXPECT_EQ(found->findings.back().severity, Severity::stop);
}

}  // namespace
}  // namespace dwell::access
