#pragma once
// Reads what the engine works with: the ward's policy and catalogues, and a case to plan for.
#include <string>

#include "device/plan.h"
#include "engine/engine.h"

namespace dwell::exchange {

/// A folder with policy.toml, catheters.toml and infusates.toml. Everything wrong is refused at once, with file, line,
/// column, what was found and what was expected.
[[nodiscard]] Checked<engine::Library> load_library(const std::string& folder);

/// The three files that are built in. A fault in them is a broken promise (std::logic_error).
[[nodiscard]] const engine::Library& default_library();

/// A case (examples/*.toml). `now` stands in when the file names no moment; `sign` is how the ward writes decimals.
[[nodiscard]] Checked<device::Case> load_case(const std::string& text, const std::string& file, Instant now,
                                              DecimalSign sign = DecimalSign::unknown);

}  // namespace dwell::exchange
