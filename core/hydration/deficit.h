#pragma once
// How much water is missing, by percent or by signs, and how fast it may come back. Signs are a poor measure: every
// answer says so, and a child's weight before the illness is better than any table.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "growth/weight_question.h"
#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::hydration {

struct DeficitInput {
  BodyWeight weight;             ///< as it was before; if only today's weight is known, say so in `weight_is_today`
  bool weight_is_today = false;  ///< then weight before = today / (1 − share)
  std::optional<Ratio> share;    ///< of the body weight, missing; or by signs:
  policy::DehydrationGroup group = policy::DehydrationGroup::infant;
  std::vector<std::string> signs;  ///< names from the policy's table
  std::optional<Volume> given;     ///< already, as a bolus
  std::optional<Flow> maintenance;
  std::optional<Duration> over;          ///< absent: the policy's usual
  std::optional<growth::Person> person;  ///< whose weight, to hold it against the age
};
BOOST_DESCRIBE_STRUCT(DeficitInput, (),
                      (weight, weight_is_today, share, group, signs, given, maintenance, over, person))

struct DeficitResult {
  std::string grade;  ///< by signs; empty when the share was given
  Ratio share_low, share_high;
  Volume deficit_low, deficit_high;
  Volume remaining;  ///< of the higher figure, after what was given
  Flow replacement;  ///< remaining / over
  std::optional<Flow> total;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DeficitResult, (),
                      (grade, share_low, share_high, deficit_low, deficit_high, remaining, replacement, total, findings,
                       workings))

/// deficit = share × weight, 1 kg of water being 1 L; percent × kg × 10 mL.  By signs: the most severe grade of the
/// policy's table with one sign ticked.  Errors: weight 0.3 to 400 kg, share above 0 to 20 %, neither or both of share
/// and signs, a sign the table lacks, over 1 to 96 h, given and maintenance not negative.
/// Source: paediatric teaching page (read); sources.md#deficit
[[nodiscard]] Checked<DeficitResult> deficit(const DeficitInput& input, const policy::Hydration& policy);

enum class DiarrhoeaPlan { some_dehydration, severe_dehydration };
BOOST_DESCRIBE_ENUM(DiarrhoeaPlan, some_dehydration, severe_dehydration)

struct DiarrhoeaInput {
  BodyWeight weight;
  int age_months = 0;
  DiarrhoeaPlan plan = DiarrhoeaPlan::some_dehydration;
};
BOOST_DESCRIBE_STRUCT(DiarrhoeaInput, (), (weight, age_months, plan))

struct DiarrhoeaStep {
  bool by_mouth = false;
  Volume volume;
  Duration duration;
  Flow flow;
};
BOOST_DESCRIBE_STRUCT(DiarrhoeaStep, (), (by_mouth, volume, duration, flow))

struct DiarrhoeaResult {
  std::vector<DiarrhoeaStep> steps;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DiarrhoeaResult, (), (steps, findings, workings))

/// World Health Organization: some dehydration, 75 mL/kg by mouth in 4 h; severe, 30 mL/kg then 70 mL/kg by vein, in
/// 1 h + 5 h below 12 months, in 30 min + 2.5 h from then. Errors: weight 2 to 60 kg, age 0 to 215 months.
/// Source: PMC10962728, PMC10962724, BMJ Open table after the WHO pocket book of 2013 (read); sources.md#deficit
[[nodiscard]] Checked<DiarrhoeaResult> diarrhoea_plan(const DiarrhoeaInput& input);

}  // namespace dwell::hydration
