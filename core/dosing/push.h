#pragma once
// A dose pushed by hand: how far the plunger may be at every moment. Given as volume steps on a clock, because a hand
// cannot push "2 mL over 5 minutes" but can push 0.4 mL a minute.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "growth/weight_question.h"
#include "infusate/infusate.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "verdict/verdict.h"

namespace dwell::dosing {

struct PushInput {
  Volume volume;  ///< in the syringe
  Duration over;
  Volume step;                                         ///< a graduation that can be read: 0.2 mL, 1 mL
  std::optional<Mass> dose;                            ///< drug in the syringe …
  std::optional<PushSpeed> highest_rate;               ///< … and the fastest it may be given, as label or policy says
  std::optional<std::string> medicine = std::nullopt;  ///< as the ward's list names it: its own limits count too
  std::optional<BodyWeight> weight = std::nullopt;     ///< for limits by weight
  std::optional<growth::Person> person = std::nullopt;  ///< whose age counts
  std::optional<line::Patient> patient = std::nullopt;  ///< whose allergies count
};
BOOST_DESCRIBE_STRUCT(PushInput, (), (volume, over, step, dose, highest_rate, medicine, weight, person, patient))

enum class PushLook { body_weight, pushed, strength, dose, speed, allergy };
BOOST_DESCRIBE_ENUM(PushLook, body_weight, pushed, strength, dose, speed, allergy)

struct PushStep {
  Duration at;   ///< reach this mark at this time, not before
  Volume given;  ///< in all
};
BOOST_DESCRIBE_STRUCT(PushStep, (), (at, given))

struct PushPlan {
  std::vector<PushStep> steps;  ///< the last one is the whole volume
  Duration between_steps;
  Flow flow;
  std::optional<PushSpeed> rate;
  std::optional<Duration> least_time;  ///< dose / fastest rate
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;
  std::vector<verdict::LookReport> looks;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(PushPlan, (), (steps, between_steps, flow, rate, least_time, verdict, looks, findings, workings))

/// Even steps: time of step i = over × given_i / volume. Faster than highest_rate, or than the medicine's entry allows,
/// is a stop with the least time; so is what must be diluted or titrated first. Errors: volume 0.1 to 100 mL, over 5 s
/// to 1 h, step 0.05 mL to the volume and at most 200 steps, dose and rate > 0 and given together, weight 0.3
/// to 400 kg, a birth date to come.
[[nodiscard]] Checked<PushPlan> push_plan(const PushInput& input, const infusate::Formulary& formulary = {});

}  // namespace dwell::dosing
