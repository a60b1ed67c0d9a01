// Attempts, steps and the site: what is decided at the bedside, with or without a network.
#include "access/attempts.h"
#include "engine/define.h"
#include "procedure/steps.h"
#include "site/grade.h"

namespace dwell::engine {
namespace {

struct AssessInput {
  site::Signs signs;
  site::Exposure exposure;
};
BOOST_DESCRIBE_STRUCT(AssessInput, (), (signs, exposure))

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
  all.push_back(define("site.assess", "From ticked signs to the grade on each scale in force, and the first response.",
                       [](const AssessInput& in, const Library& library) {
                         return site::assess(in.signs, in.exposure, library.policy);
                       }));
  return all;
}

}  // namespace dwell::engine
