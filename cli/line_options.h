#pragma once
// What the commands on one line share: whose entry it is, how sites and signs are written on a command line.
#include <string>
#include <vector>

#include "limb/limb.h"
#include "line/event.h"
#include "quantity/checked.h"
#include "site/grade.h"

namespace dwell::cli {

/// "left forearm_middle cephalic": side, region and, optionally, the vein.
[[nodiscard]] Checked<access::Site> read_site(const std::string& text);

/// "redness,pain"; "none" means looked and nothing found; empty means not assessed.
[[nodiscard]] Checked<site::Signs> read_signs(const std::string& text, int pain_score, const std::string& swelling,
                                              const std::string& cord, DecimalSign sign);

/// The grades as an event keeps them.
[[nodiscard]] std::vector<line::GradeGiven> grades_given(const site::Assessment& assessment);

/// "yes", "no" or empty for not recorded.
[[nodiscard]] Checked<std::optional<bool>> read_yes_no(const std::string& text, const std::string& field);

}  // namespace dwell::cli
