#pragma once
// One row a line, as ward, hospital and health system exchange them for Learn. RFC 4180 text in UTF-8; the header names
// the columns in any order: id, unit, placed_at, ended_at, reason, gauge, region, inserter, attempts. Only id and
// placed_at are needed. Blanks around an unquoted field do not count.
#include <functional>
#include <istream>
#include <string>
#include <string_view>
#include <vector>

#include "statistics/lines.h"

namespace dwell::csv {

// What a file may hold, so that no file, however it was made, takes the machine's memory.
inline constexpr std::size_t longest_row = 65536;  ///< bytes, of all its lines
inline constexpr std::size_t longest_text = 200;   ///< bytes, of one field that is kept
inline constexpr std::size_t most_rows = 10'000'000;

/// Hands each row to `take` as it is read; the text itself is never held. When it refuses, rows before the fault were
/// handed over. Errors name line and column, up to 20 at once. Empty ended_at: still in. Empty reason or attempts:
/// unknown. Refused as well: a column twice, a row with fewer or more fields than the header, an end before its
/// beginning, a NUL, and what is larger than the limits above (a quotation mark that is never closed makes such a row).
[[nodiscard]] Checked<void> read_lines(std::istream& in, const std::function<void(statistics::LineRow)>& take);
/// All at once.
[[nodiscard]] Checked<std::vector<statistics::LineRow>> read_lines(std::string_view text);
/// Times in UTC; every text quoted.
[[nodiscard]] std::string write_lines(const std::vector<statistics::LineRow>& rows);

}  // namespace dwell::csv
