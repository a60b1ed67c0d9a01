#pragma once
// How many times may a vein be tried, and by whom, before someone else or ultrasound is called.
#include <string>
#include <vector>

#include "limb/limb.h"
#include "policy/policy.h"

namespace dwell::access {

struct AttemptCount {
  int by_clinician = 0;
  int in_all = 0;
};
BOOST_DESCRIBE_STRUCT(AttemptCount, (), (by_clinician, in_all))

struct AttemptAdvice {
  int left_for_clinician = 0;
  int left_in_all = 0;
  bool another_allowed = false;
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(AttemptAdvice, (), (left_for_clinician, left_in_all, another_allowed, findings))

/// What the attempt policy says after these attempts. Counts >= 0. Source: the policy's own, policy.place.attempts_*.
[[nodiscard]] Checked<AttemptAdvice> attempt_advice(const AttemptCount& so_far, const policy::Place& policy);

}  // namespace dwell::access
