#pragma once
// Which response cards a finding asks for, and which of them have been answered: signs × what ran × what was charted
// since. The fold keeps what was found (line/findings.h); the cards follow from the policy and the formulary.
#include <string>
#include <vector>

#include "infusate/infusate.h"
#include "line/state.h"
#include "policy/policy.h"

namespace dwell::care {

struct Asked {
  std::vector<std::string> unanswered;          ///< cards, gravest first
  bool judge = false;                           ///< no card says it; anything that was done about it answers
  const line::ResponseMark* in_vain = nullptr;  ///< the last response charted that does not answer all
  bool acted_on = false;                        ///< asks for an answer at all, answered or not
  [[nodiscard]] bool open() const { return judge || !unanswered.empty(); }
};

/// A card asked for is answered by what was charted since the finding was as bad as it is, and since something last
/// began to go in, before it was last seen or after. The card for a first sign is asked for only when it was opened: a
/// site of grade 1 is looked at again.
[[nodiscard]] Asked asked_by(const line::FoundMark& finding, const line::State& state, const policy::Policy& policy,
                             const infusate::Formulary& formulary);

}  // namespace dwell::care
