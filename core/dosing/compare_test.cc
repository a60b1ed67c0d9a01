// Two people's entries of one order, compared as values and part by part.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "dosing/order.h"
#include "exchange/library.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

std::vector<Disagreement> compared(const Order& first, const Order& second) {
  return compare_orders(first, second, exchange::default_library().infusates);
}

Order litre_of_saline() {
  Order order;
  order.mixture = {"sodium chloride 0.9 %", 1.0 * litre, {}};
  order.duration = 8.0 * hour;
  order.drop_factor = 20.0 * drop / millilitre;
  return order;
}

TEST(CompareOrders, NamesEveryFieldThatDiffers) {
  const auto first = litre_of_saline();
  auto second = first;
  EXPECT_TRUE(compared(first, second).empty());
  second.duration = 10.0 * hour;
  second.drop_factor.reset();
  const auto differ = compared(first, second);
  ASSERT_EQ(differ.size(), 2u);
  EXPECT_EQ(differ[0].field, "/duration");
  EXPECT_EQ(differ[0].first, say::quantity(shown(8.0 * hour)));
  EXPECT_EQ(differ[1].second, say::not_given());
}

TEST(CompareOrders, FindsATenfoldInALatePart) {
  auto first = litre_of_saline();
  first.mixture.additives = {{"magnesium sulfate 50 %", 4.0 * millilitre},
                             {"dextrose 50 %", 50.0 * millilitre},
                             {"calcium gluconate 10 %", 10.0 * millilitre},
                             {"potassium chloride 2 mmol/mL concentrate", 2.0 * millilitre}};
  auto second = first;
  second.mixture.additives.back().volume = 20.0 * millilitre;
  const auto differ = compared(first, second);
  ASSERT_EQ(differ.size(), 1u);
  EXPECT_EQ(differ[0].field, "/mixture/additives/3/volume");
  const char* name = "potassium chloride 2 mmol/mL concentrate";
  EXPECT_EQ(differ[0].first, say::part_with_volume(name, 2.0 * millilitre));
  EXPECT_EQ(differ[0].second, say::part_with_volume(name, 20.0 * millilitre));
}

TEST(CompareOrders, APartThatOneLacksIsNamedByItsPlace) {
  const auto first = litre_of_saline();
  auto second = first;
  second.mixture.additives = {{"potassium chloride 2 mmol/mL concentrate", 10.0 * millilitre}};
  EXPECT_EQ(compared(first, second).front().field, "/mixture/additives/0");
  EXPECT_EQ(compared(first, second).front().first, say::not_given());
  EXPECT_EQ(compared(second, first).front().second, say::not_given());
  second = first;
  second.mixture.base = "dextrose 5 %";
  ASSERT_EQ(compared(first, second).size(), 2u);
  EXPECT_EQ(compared(first, second).front().field, "/mixture");
}

TEST(CompareOrders, FormMakesNoDifference) {
  auto first = litre_of_saline();
  first.mixture.additives = {{"potassium chloride 2 mmol/mL concentrate", 10.0 * millilitre}};
  auto second = first;
  second.mixture = {"Potassium chloride 2mmol/mL  concentrate", 0.01 * litre, {{"sodium chloride 0.9%", 1.0 * litre}}};
  second.duration = 480.0 * minute;
  EXPECT_TRUE(compared(first, second).empty());
}

TEST(CompareOrders, NothingIsTooSmallToDiffer) {
  const auto first = litre_of_saline();
  auto second = first;
  second.mixture.volume *= 1.0001;
  EXPECT_EQ(compared(first, second).front().field, "/mixture/volume");
  second = first;
  second.prescriber = "Dr B";
  second.purpose = Purpose::medicine;
  second.therapy = Interval{3600};
  const auto differ = compared(first, second);
  ASSERT_EQ(differ.size(), 3u);
  EXPECT_EQ(differ[0].second, say::purpose(Purpose::medicine));
  EXPECT_EQ(differ[1].second, say::quantity(shown(Interval{3600})));
  EXPECT_EQ(differ[2].second, say::prescriber("Dr B"));
}

RC_GTEST_PROP(CompareOrdersProperty, TheOrderOfThePartsIsIrrelevantAndAnyOtherVolumeIsFound, ()) {
  std::vector<std::string> names;
  for (const auto& [name, unused] : exchange::default_library().infusates) names.push_back(name);
  std::vector<infusate::Additive> parts;
  const int count = *rc::gen::inRange(1, 30);
  for (int i = 0; i < count; ++i)
    parts.push_back({*rc::gen::elementOf(names), 1.0 * *rc::gen::inRange(1, 500) * millilitre});
  auto first = litre_of_saline(), second = first;
  first.mixture.additives = parts;
  std::reverse(parts.begin(), parts.end());
  second.mixture.additives = parts;
  RC_ASSERT(compared(first, second).empty());
  second.mixture.additives[static_cast<std::size_t>(*rc::gen::inRange(0, count))].volume *= 10.0;
  RC_ASSERT(compared(first, second).size() == 1u);
}

}  // namespace
}  // namespace dwell::dosing
