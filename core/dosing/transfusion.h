#pragma once
// One unit of blood: slow while the first reactions would show, then fast enough to be done, and never past the hours
// that a unit may be out of the cold.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "growth/weight_question.h"
#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "verdict/verdict.h"

namespace dwell::dosing {

struct TransfusionInput {
  Volume volume;
  Duration over;                   ///< of the whole unit, slow start included
  std::optional<Flow> first_flow;  ///< absent: the policy's
  std::optional<Duration> first_period;
  std::optional<Instant> left_storage;  ///< when the unit left controlled storage
  std::optional<Instant> start;
  std::optional<DropFactor> drop_factor;
  std::optional<BodyWeight> weight;
  std::optional<line::AgeBand> age_band;
  std::optional<growth::Person> person = std::nullopt;  ///< whose weight, to hold it against the age
};
BOOST_DESCRIBE_STRUCT(TransfusionInput, (),
                      (volume, over, first_flow, first_period, left_storage, start, drop_factor, weight, age_band,
                       person))

enum class TransfusionLook { body_weight, hanging, start, flow_for_body };
BOOST_DESCRIBE_ENUM(TransfusionLook, body_weight, hanging, start, flow_for_body)

/// When to look and measure.
struct Observation {
  Duration after;
  std::optional<Instant> at;
  Message what;
};
BOOST_DESCRIBE_STRUCT(Observation, (), (after, at, what))

struct TransfusionPlan {
  Flow first_flow;
  Volume first_volume;
  Flow then_flow;
  Duration then_for;
  std::optional<int> first_drops_per_minute, then_drops_per_minute;
  std::optional<FlowPerMass> flow_per_mass;  ///< of the faster part
  std::optional<Instant> ends_at, finish_by;
  std::vector<Observation> observations;
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;
  std::vector<verdict::LookReport> looks;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(TransfusionPlan, (),
                      (first_flow, first_volume, then_flow, then_for, first_drops_per_minute, then_drops_per_minute,
                       flow_per_mass, ends_at, finish_by, observations, verdict, looks, findings, workings))

/// first volume = first flow × first period; then (volume − first volume) / (over − first period). The hang limit
/// counts from leaving storage, not from spiking; a unit that would pass it is a question before the start, never a
/// reason to run faster. Errors: volume 10 mL to 1 L, over 5 min to 12 h, first period shorter than the whole and its
/// volume less than the unit, drop factor 5 to 100, weight 0.3 to 400 kg, a birth
/// date to come.
[[nodiscard]] Checked<TransfusionPlan> transfusion_plan(const TransfusionInput& input,
                                                        const policy::OrderLimits& limits);

}  // namespace dwell::dosing
