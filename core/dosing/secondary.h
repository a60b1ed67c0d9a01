#pragma once
// A second, short infusion into the line of a first one: who runs when, when the first goes on, and when all is done.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"

namespace dwell::dosing {

/// The secondary either takes the line alone while the primary waits, or both run at once.
enum class SecondaryMode { primary_waits, together };
BOOST_DESCRIBE_ENUM(SecondaryMode, primary_waits, together)

struct SecondaryInput {
  Volume primary_left;
  Flow primary_flow;
  Volume secondary_volume;
  Flow secondary_flow;
  SecondaryMode mode = SecondaryMode::primary_waits;
  bool gravity = false;
  std::optional<Instant> start;  ///< of the secondary
};
BOOST_DESCRIBE_STRUCT(SecondaryInput, (),
                      (primary_left, primary_flow, secondary_volume, secondary_flow, mode, gravity, start))

struct SecondaryPlan {
  Message runs_first;
  Duration secondary_takes;
  Duration all_done_after;  ///< both containers, from the start of the secondary
  std::optional<Instant> primary_resumes, secondary_ends, primary_ends;
  Flow fastest_together;  ///< the most that the catheter has to carry at once
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(SecondaryPlan, (),
                      (runs_first, secondary_takes, all_done_after, primary_resumes, secondary_ends, primary_ends,
                       fastest_together, findings, workings))

/// Errors: volumes 0.1 mL to 20 L, flows 0.1 mL/h to 60 L/h.
[[nodiscard]] Checked<SecondaryPlan> secondary_plan(const SecondaryInput& input);

}  // namespace dwell::dosing
