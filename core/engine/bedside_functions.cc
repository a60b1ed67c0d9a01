// Attempts and what came out: what is counted and looked at beside the patient.
#include "access/attempts.h"
#include "engine/define.h"
#include "procedure/steps.h"

namespace dwell::engine {
namespace {

struct CatheterCheckInput {
  std::optional<Length> placed, found;
  std::optional<bool> tip_whole;
};
BOOST_DESCRIBE_STRUCT(CatheterCheckInput, (), (placed, found, tip_whole))

}  // namespace

std::vector<Function> bedside_functions() {
  std::vector<Function> all;
  all.push_back(
      define<&access::attempt_advice>("access.attempts", "How many attempts are left, for this clinician and in all."));
  all.push_back(define("procedure.check_catheter",
                       "Length and tip found against length placed; the alarm when a piece is missing.",
                       [](const CatheterCheckInput& in, const Library& library) {
                         return procedure::check_catheter(in.placed, in.found, in.tip_whole, library.policy);
                       }));
  return all;
}

}  // namespace dwell::engine
