#pragma once
// The sheet that one shift gives the next: a line of the ward each, what it is, what runs, what changed since, what
// falls due, and what to beware of. From what was charted; what was not charted reads so.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "document/note.h"
#include "infusate/infusate.h"
#include "policy/policy.h"

namespace dwell::document {

struct HandoverPeriod {
  Instant since{}, now{}, until{};  ///< the shift that ends; the sheet's moment; the end of the shift that begins
  std::optional<std::string> nurse = std::nullopt;  ///< only the lines of this nurse; empty: those of nobody
};
BOOST_DESCRIBE_STRUCT(HandoverPeriod, (), (since, now, until, nurse))

/// One section a line, most urgent first; closed lines are left out, but a line that was closed since is named.
/// Errors: since not before now, or until not after now; either more than 7 days away.
[[nodiscard]] Checked<Note> compose_handover(const std::vector<line::State>& states, const policy::Policy& policy,
                                             const infusate::Formulary& formulary, const LocalTime& local,
                                             const HandoverPeriod& period);

}  // namespace dwell::document
