#pragma once
// Where the serum sodium and the body's water are heading in the next two days, if the ordered plan runs and the losses
// go on as measured. A mass balance: what comes in and what goes out, water and the ions that hold it.
//
//   W(t) = W0 + Σ in Q t − Σ out Q t                       water of the body
//   I(t) =      Σ in C Q t − Σ out C Q t                   sodium and potassium gained
//   Na(t) = (Na0 W0 + I) / W                                plain form
//   Na(t) = ((Na0 + 23.8) W0 + 1.03 I) / W − 23.8           with the plasma intercept (Nguyen and Kurtz)
//
// Q a flow, C its sodium and potassium together. Both forms are drawn, and a limit counts as crossed when either
// crosses it. Source: sources.md#sodium
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "hydration/sodium.h"
#include "policy/policy.h"

namespace dwell::hydration {

enum class Direction { in, out };
BOOST_DESCRIBE_ENUM(Direction, in, out)

/// One thing that runs in or is lost, between two times from now.
struct FluidStream {
  std::string name;  ///< "dextrose 5 %", "urine"
  Direction direction = Direction::in;
  Flow flow;
  AmountConcentration cations;  ///< sodium and potassium together
  Duration from;
  std::optional<Duration> until;  ///< absent: to the end
};
BOOST_DESCRIBE_STRUCT(FluidStream, (), (name, direction, flow, cations, from, until))

struct ForecastInput {
  AmountConcentration serum_sodium;
  BodyWeight weight;
  BodyWaterGroup group = BodyWaterGroup::man;
  std::optional<BodyWater> body_water;  ///< when known better than by share
  std::vector<FluidStream> streams;
  Duration horizon = 48.0 * hour;
  std::optional<growth::Person> person;  ///< whose weight, to hold it against the age
};
BOOST_DESCRIBE_STRUCT(ForecastInput, (), (serum_sodium, weight, group, body_water, streams, horizon, person))

struct ForecastPoint {
  Duration at;
  AmountConcentration sodium, sodium_with_intercept;
  BodyWater body_water;
};
BOOST_DESCRIBE_STRUCT(ForecastPoint, (), (at, sodium, sodium_with_intercept, body_water))

struct Crossing {
  std::string code;  ///< "sodium_change_stop"
  Severity severity = Severity::caution;
  Duration at;  ///< first time, to 10 min
  Message text;
};
BOOST_DESCRIBE_STRUCT(Crossing, (), (code, severity, at, text))

struct Forecast {
  std::vector<ForecastPoint> hourly;  ///< now, every hour, and the end
  Volume balance;                     ///< at the end
  std::vector<Crossing> crossings;    ///< in order of time
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Forecast, (), (hourly, balance, crossings, findings, workings))

/// The state at one time. Body water above 0 is the caller's promise.
[[nodiscard]] ForecastPoint state_at(const ForecastInput& input, Volume body_water, Duration at);

/// Errors: as `sodium`; horizon 1 to 72 h; flows 0 to 5 L/h, cations 0 to 1,100 mmol/L, until after from; a plan that
/// would leave less than half the body's water or more than double it.
[[nodiscard]] Checked<Forecast> forecast(const ForecastInput& input, const policy::Hydration& policy);

}  // namespace dwell::hydration
