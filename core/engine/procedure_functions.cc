// Procedures step by step, practice of them on an invented patient, and the ward's policy looked at as a whole.
#include "engine/define.h"
#include "policy/difference.h"
#include "procedure/practice.h"
#include "procedure/steps.h"

namespace dwell::engine {
namespace {

struct FailedInput {
  line::AttemptOutcome outcome = line::AttemptOutcome::no_flashback;
};
BOOST_DESCRIBE_STRUCT(FailedInput, (), (outcome))

struct NothingAsked {};
BOOST_DESCRIBE_STRUCT(NothingAsked, (), ())

struct PolicyInput {
  policy::Policy policy;
};
BOOST_DESCRIBE_STRUCT(PolicyInput, (), (policy))

struct PolicyOutput {
  std::vector<policy::Difference> differences;  ///< from the policy in force
};
BOOST_DESCRIBE_STRUCT(PolicyOutput, (), (differences))

}  // namespace

std::vector<Function> procedure_functions() {
  std::vector<Function> all;
  all.push_back(define<&procedure::placing_steps>("procedure.placing",
                                                  "The steps of placing a line, with clocks and what each captures."));
  all.push_back(define("procedure.failed_attempt", "What a failed attempt asks for, and where the next one begins.",
                       [](const FailedInput& in, const Library& library) -> Checked<procedure::FailedAttempt> {
                         return procedure::after_failed_attempt(in.outcome, library.policy);
                       }));
  all.push_back(define<&procedure::removing_steps>(
      "procedure.removing", "The steps of taking a line out, with the pressure clock for this patient."));
  all.push_back(define("procedure.transfer",
                       "The steps of moving a patient with a line that runs: enough for the way, hand over, trace.",
                       [](const NothingAsked&, const Library& library) -> Checked<std::vector<procedure::Step>> {
                         return procedure::transfer_steps(library.policy);
                       }));
  all.push_back(define<&procedure::receiving_steps>("procedure.receiving",
                                                    "The steps of taking over a line that was started elsewhere."));
  all.push_back(define<&procedure::checking_steps>("procedure.checking", "The steps of a look at the site."));
  all.push_back(define("practice.cases", "The invented patients by number, and the skills that each is for.",
                       [](const NothingAsked&, const Library&) -> Checked<std::vector<procedure::CaseSkills>> {
                         return procedure::practice_cases();
                       }));
  all.push_back(define<&procedure::practice_case>("practice.case",
                                                  "An invented patient to practise on, with the policy's steps."));
  all.push_back(
      define<&procedure::score>("practice.score", "What the observer saw, scored against the policy's steps."));
  all.push_back(define("policy.compare", "A policy checked as a whole, and where it differs from the one in force.",
                       [](const PolicyInput& in, const Library& library) -> Checked<PolicyOutput> {
                         if (auto errors = policy::check(in.policy); !errors.empty()) return refuse(std::move(errors));
                         return PolicyOutput{policy::differences(in.policy, library.policy)};
                       }));
  return all;
}

}  // namespace dwell::engine
