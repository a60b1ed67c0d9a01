#include "cli/table.h"

#include <algorithm>
#include <ostream>
#include <utility>

namespace dwell::cli {

/// UTF-8 continuation bytes take no room.
std::size_t seen_width(const std::string& text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

void Table::print(std::ostream& out) const {
  std::vector<std::size_t> widths(rows_.front().size(), 0);
  for (const auto& row : rows_)
    for (std::size_t c = 0; c < row.size() && c < widths.size(); ++c)
      widths[c] = std::max(widths[c], seen_width(row[c]));
  bool heading = true;
  for (const auto& row : rows_) {
    std::string line;
    for (std::size_t c = 0; c < row.size(); ++c) {
      line += row[c];
      if (c + 1 < row.size()) line += std::string(widths[c] - seen_width(row[c]) + 2, ' ');
    }
    out << line << '\n';
    if (std::exchange(heading, false)) {
      std::string rule;
      for (std::size_t c = 0; c < widths.size(); ++c)
        rule += std::string(widths[c], '-') + (c + 1 < widths.size() ? "  " : "");
      out << rule << '\n';
    }
  }
}

}  // namespace dwell::cli
