// Practice on an invented patient, and the ward's policy looked at as a whole.
#include "engine/define.h"
#include "policy/difference.h"
#include "procedure/practice.h"

namespace dwell::engine {
namespace {

struct PolicyInput {
  policy::Policy policy;
};
BOOST_DESCRIBE_STRUCT(PolicyInput, (), (policy))

struct PolicyOutput {
  std::vector<policy::Difference> differences;  ///< from the policy in force
};
BOOST_DESCRIBE_STRUCT(PolicyOutput, (), (differences))

}  // namespace

std::vector<Function> practice_functions() {
  std::vector<Function> all;
  all.push_back(define<procedure::CaseInput, procedure::PracticeCase>(
      "practice.case", "An invented patient to practise on, with the policy's steps.",
      [](const procedure::CaseInput& in, const Library& library) {
        return procedure::practice_case(in, library.policy);
      }));
  all.push_back(define<procedure::PracticeRun, procedure::PracticeScore>(
      "practice.score", "What the observer saw, scored against the policy's steps.",
      [](const procedure::PracticeRun& in, const Library& library) { return procedure::score(in, library.policy); }));
  all.push_back(define<PolicyInput, PolicyOutput>(
      "policy.compare", "A policy checked as a whole, and where it differs from the one in force.",
      [](const PolicyInput& in, const Library& library) -> Checked<PolicyOutput> {
        if (auto errors = policy::check(in.policy); !errors.empty()) return refuse(std::move(errors));
        return PolicyOutput{policy::differences(in.policy, library.policy)};
      }));
  return all;
}

}  // namespace dwell::engine
