#pragma once
// A dose that must be thinned and slowed: the least volume, the least time, and the rate that follows.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "infusate/infusate.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::dosing {

struct DilutionInput {
  std::string medicine;  ///< an entry of the formulary that has giving limits
  Mass dose;
  std::optional<Volume> volume;      ///< as made up; absent: the least that policy data allow
  std::optional<Duration> duration;  ///< as ordered; absent: the least
  bool fluid_restricted = false;     ///< the stronger limit applies, by order
  bool frail = false;                ///< older, or with heart disease: the slower limit
};
BOOST_DESCRIBE_STRUCT(DilutionInput, (), (medicine, dose, volume, duration, fluid_restricted, frail))

struct DilutionPlan {
  std::optional<Volume> least_volume;  ///< nothing where no concentration limit is known
  std::optional<Duration> least_time;  ///< nothing where no time limit is known
  std::optional<Flow> flow;            ///< volume / time, when both are known
  std::optional<MassConcentration> concentration;
  std::optional<PushSpeed> rate;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DilutionPlan, (), (least_volume, least_time, flow, concentration, rate, findings, workings))

/// least volume = dose / highest concentration;  least time = the longer of dose / highest rate and the shortest time.
/// A stronger or faster order is a stop. Errors: a medicine that the formulary lacks, dose above 0 and at most 100 g,
/// volume 1 mL to 5 L, duration 10 s to 48 h. Source: the entry's own; sources.md#giving-limits
[[nodiscard]] Checked<DilutionPlan> dilution(const DilutionInput& input, const infusate::Formulary& formulary);

}  // namespace dwell::dosing
