#pragma once
// In and out, as charted: the balance, what share of the body it is, and whether the kidneys answer.
#include <boost/describe.hpp>
#include <map>
#include <optional>
#include <vector>

#include "growth/weight_question.h"
#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"

namespace dwell::hydration {

enum class FluidWay {
  drink,
  ice,
  tube_feed,
  infusion,
  flush,
  blood,
  urine,
  vomit,
  gastric,
  drain,
  liquid_stool,
  wound
};
BOOST_DESCRIBE_ENUM(FluidWay, drink, ice, tube_feed, infusion, flush, blood, urine, vomit, gastric, drain, liquid_stool,
                    wound)

[[nodiscard]] bool goes_in(FluidWay way);

struct FluidEntry {
  Instant at;
  FluidWay way = FluidWay::drink;
  Volume volume;  ///< as measured; ice counts half
};
BOOST_DESCRIBE_STRUCT(FluidEntry, (), (at, way, volume))

struct BalanceInput {
  std::vector<FluidEntry> entries;
  Instant from, until;
  std::optional<BodyWeight> weight;  ///< at the start
  bool child = false;
  std::optional<growth::Person> person;  ///< whose weight, to hold it against the age
};
BOOST_DESCRIBE_STRUCT(BalanceInput, (), (entries, from, until, weight, child, person))

struct Balance {
  std::map<FluidWay, Volume> by_way;
  Volume in, out, balance;            ///< balance: in − out, positive is a gain
  std::vector<Volume> hourly;         ///< running balance at the end of each hour begun
  std::optional<Ratio> gained_share;  ///< balance in litres / weight in kg
  std::optional<FlowPerMass> urine;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Balance, (), (by_way, in, out, balance, hourly, gained_share, urine, findings, workings))

/// Entries before `from` or from `until` on are left out, and counted in a finding. Insensible loss is not charted and
/// not in the balance. Errors: until after from, at most 14 days; volumes 0 to 20 L; weight 0.3 to 400 kg.
/// Source: sources.md#balance
[[nodiscard]] Checked<Balance> balance(const BalanceInput& input, const policy::Hydration& policy);

}  // namespace dwell::hydration
