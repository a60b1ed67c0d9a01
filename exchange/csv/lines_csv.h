#pragma once
// One row a line, as ward, hospital and health system exchange them for Learn. RFC 4180 text; the header names the
// columns in any order: id, unit, placed_at, ended_at, reason, gauge, region, inserter, attempts. No line breaks in a
// field.
#include <string>
#include <string_view>
#include <vector>

#include "statistics/lines.h"

namespace dwell::csv {

/// Errors name line and column, up to 20 at once. Empty ended_at: still in. Empty reason: unknown.
[[nodiscard]] Checked<std::vector<statistics::LineRow>> read_lines(std::string_view text);
[[nodiscard]] std::string write_lines(const std::vector<statistics::LineRow>& rows);

}  // namespace dwell::csv
