#pragma once
// How much water a day: the child's rule and the adult's policy, side by side with what was ordered.
#include <boost/describe.hpp>
#include <vector>

#include "growth/weight_question.h"
#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::hydration {

enum class MaintenanceRule { holliday_segar_daily, four_two_one, adult };
BOOST_DESCRIBE_ENUM(MaintenanceRule, holliday_segar_daily, four_two_one, adult)

/// 100 / 50 / 20 mL/kg a day for the first 10, next 10 and further kg, spread over 24 h. Not for newborns.
/// Source: Holliday & Segar, Pediatrics 1957;19:823; sources.md#maintenance
[[nodiscard]] Flow holliday_segar_daily(BodyWeight weight);
/// 4 / 2 / 1 mL/kg an hour for the same bands; not the same number (sources.md#maintenance).
[[nodiscard]] Flow four_two_one(BodyWeight weight);

struct MaintenanceInput {
  BodyWeight weight;
  MaintenanceRule rule = MaintenanceRule::adult;
  bool frail = false;                    ///< older, renal or cardiac impairment, malnourished
  std::optional<growth::Person> person;  ///< whose weight, to hold it against the age
};
BOOST_DESCRIBE_STRUCT(MaintenanceInput, (), (weight, rule, frail, person))

struct Maintenance {
  Flow low, high;  ///< equal for the child's rules
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Maintenance, (), (low, high, findings, workings))

/// Errors: weight outside 0.3 to 400 kg; a birth date to come; a child's rule below 3 kg or above 100 kg is questioned.
[[nodiscard]] Checked<Maintenance> maintenance(const MaintenanceInput& input, const policy::OrderLimits& limits);

}  // namespace dwell::hydration
