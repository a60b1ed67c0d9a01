#pragma once
// One row a line, as ward, hospital and health system exchange them for Learn. RFC 4180 text in UTF-8; the header names
// the columns in any order: id, unit, placed_at, ended_at, reason, gauge, region, inserter, attempts. Only id and
// placed_at are needed. Blanks around an unquoted field do not count.
#include <string>
#include <string_view>
#include <vector>

#include "statistics/lines.h"

namespace dwell::csv {

/// Errors name line and column, up to 20 at once. Empty ended_at: still in. Empty reason: unknown. Refused as well: a
/// column twice, a row with fewer or more fields than the header, an end before its beginning.
[[nodiscard]] Checked<std::vector<statistics::LineRow>> read_lines(std::string_view text);
/// Times in UTC; every text quoted.
[[nodiscard]] std::string write_lines(const std::vector<statistics::LineRow>& rows);

}  // namespace dwell::csv
