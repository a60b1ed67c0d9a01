#pragma once
// Which cards signs open, without grades, findings and workings: a ward's clocks ask for nothing else.
#include <string>
#include <vector>

#include "site/grade.h"

namespace dwell::site {

/// The cards of the policy that fit signs, what ran and where, gravest first: `responses` of `assess`. Errors: as
/// there.
[[nodiscard]] Checked<std::vector<std::string>> cards(const Signs& signs, const Exposure& exposure,
                                                      const policy::Policy& policy);

}  // namespace dwell::site
