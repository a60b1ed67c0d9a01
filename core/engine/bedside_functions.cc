// Attempts and what came out: what is counted and looked at beside the patient.
#include "access/attempts.h"
#include "care/time_to_harm.h"
#include "engine/define.h"
#include "engine/kept_state.h"
#include "procedure/steps.h"

namespace dwell::engine {
namespace {

struct CatheterCheckInput {
  std::optional<Length> placed, found;
  std::optional<bool> tip_whole;
};
BOOST_DESCRIBE_STRUCT(CatheterCheckInput, (), (placed, found, tip_whole))

struct TimeToHarmInput {
  KeptState state;
  Instant now{};
};
BOOST_DESCRIBE_STRUCT(TimeToHarmInput, (), (state, now))

struct TimeToHarmOutput {
  std::optional<care::TimeToHarm> ahead;  ///< absent: nothing runs
};
BOOST_DESCRIBE_STRUCT(TimeToHarmOutput, (), (ahead))

}  // namespace

std::vector<Function> bedside_functions() {
  std::vector<Function> all;
  all.push_back(
      define<&access::attempt_advice>("access.attempts", "How many attempts are left, for this clinician and in all."));
  all.push_back(define(
      "care.time_to_harm", "How much would be under the skin by the next look, and when the next look is better had.",
      [](const TimeToHarmInput& in, const Library& library) -> Checked<TimeToHarmOutput> {
        return TimeToHarmOutput{care::time_to_harm(in.state.state, library.policy, library.infusates, in.now)};
      }));
  all.push_back(define("procedure.check_catheter",
                       "Length and tip found against length placed; the alarm when a piece is missing.",
                       [](const CatheterCheckInput& in, const Library& library) {
                         return procedure::check_catheter(in.placed, in.found, in.tip_whole, library.policy);
                       }));
  return all;
}

}  // namespace dwell::engine
