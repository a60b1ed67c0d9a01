#pragma once
// A plain table for a terminal: columns as wide as their widest cell, in characters as seen.
#include <iosfwd>
#include <string>
#include <vector>

namespace dwell::cli {

/// Characters, not bytes.
[[nodiscard]] std::size_t seen_width(const std::string& text);

class Table {
 public:
  explicit Table(std::vector<std::string> headings) : rows_{std::move(headings)} {}
  void add(std::vector<std::string> row) { rows_.push_back(std::move(row)); }
  void print(std::ostream& out) const;

 private:
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace dwell::cli
