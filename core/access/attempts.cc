#include "access/attempts.h"

#include <algorithm>

#include "say/access.h"

namespace dwell::access {

Checked<AttemptAdvice> attempt_advice(const AttemptCount& so_far, const policy::Place& policy) {
  FieldErrors errors;
  if (so_far.by_clinician < 0)
    errors.push_back({"/by_clinician", std::to_string(so_far.by_clinician), say::zero_or_more()});
  if (so_far.in_all < so_far.by_clinician)
    errors.push_back({"/in_all", std::to_string(so_far.in_all), say::at_least_own_attempts()});
  if (!errors.empty()) return refuse(std::move(errors));

  AttemptAdvice advice;
  advice.left_for_clinician = std::max(0, policy.attempts_per_clinician.value - so_far.by_clinician);
  advice.left_in_all = std::max(0, policy.attempts_in_all.value - so_far.in_all);
  advice.another_allowed = advice.left_for_clinician > 0 && advice.left_in_all > 0;
  if (advice.left_in_all == 0)
    advice.findings.push_back(
        {Severity::stop, "attempts_in_all", say::attempts_in_all(so_far.in_all), source_of(policy.attempts_in_all)});
  else if (advice.left_for_clinician == 0)
    advice.findings.push_back({Severity::stop, "attempts_by_clinician", say::attempts_by_you(so_far.by_clinician),
                               source_of(policy.attempts_per_clinician)});
  return advice;
}

}  // namespace dwell::access
