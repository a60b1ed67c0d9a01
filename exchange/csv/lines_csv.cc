#include "exchange/csv/lines_csv.h"

#include <algorithm>
#include <array>
#include <boost/tokenizer.hpp>
#include <map>
#include <sstream>

#include "json/codec.h"
#include "quantity/number_text.h"

namespace dwell::csv {
namespace {

using statistics::LineRow;
constexpr std::array<const char*, 9> columns{"id",    "unit",   "placed_at", "ended_at", "reason",
                                             "gauge", "region", "inserter",  "attempts"};

/// RFC 4180 doubles a quote inside quotes; the tokenizer wants a backslash.
std::vector<std::string> split(const std::string& line) {
  std::string text;
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      text += "\\\"";
      ++i;
      continue;
    }
    if (line[i] == '"') quoted = !quoted;
    if (line[i] == '\\') text += '\\';
    text += line[i];
  }
  using Separator = boost::escaped_list_separator<char>;
  const boost::tokenizer<Separator> fields(text, Separator('\\', ',', '"'));
  return {fields.begin(), fields.end()};
}

class Reader {
 public:
  explicit Reader(std::string_view text) : in_(std::string(text)) {}

  Checked<std::vector<LineRow>> read() {
    std::vector<LineRow> rows;
    std::string line;
    if (!next(line)) return refuse("", "an empty file", "a header line and one line a row");
    read_header(split(line));
    while (errors_.size() < most_errors && next(line)) {
      if (line.empty()) continue;
      LineRow row;
      read_row(split(line), row);
      rows.push_back(std::move(row));
    }
    if (!errors_.empty()) return refuse(std::move(errors_));
    if (rows.empty()) return refuse("", "no rows", "one line a row below the header");
    return rows;
  }

 private:
  static constexpr std::size_t most_errors = 20;

  bool next(std::string& line) {
    ++number_;
    if (!std::getline(in_, line)) return false;
    if (!line.empty() && line.back() == '\r') line.pop_back();
    if (number_ == 1 && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
    return true;
  }

  void refuse_field(const char* column, const std::string& found, std::string expected) {
    errors_.push_back({"line " + std::to_string(number_) + ", column " + column, found, std::move(expected)});
  }

  void read_header(const std::vector<std::string>& names) {
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (std::find(columns.begin(), columns.end(), names[i]) == columns.end())
        refuse_field(names[i].c_str(), names[i],
                     "a known column: id, unit, placed_at, ended_at, reason, gauge, region, inserter, attempts");
      place_[names[i]] = i;
    }
    for (const char* needed : {"id", "placed_at"})
      if (!place_.contains(needed)) refuse_field(needed, "nothing", "this column");
  }

  std::string field(const std::vector<std::string>& fields, const char* column) const {
    const auto at = place_.find(column);
    return at == place_.end() || at->second >= fields.size() ? std::string() : fields[at->second];
  }

  int whole(const std::vector<std::string>& fields, const char* column, int absent, int low, int high) {
    const auto text = field(fields, column);
    if (text.empty()) return absent;
    const auto number = number_from(text);
    if (number && *number == static_cast<int>(*number) && *number >= low && *number <= high)
      return static_cast<int>(*number);
    refuse_field(column, text, "a whole number from " + std::to_string(low) + " to " + std::to_string(high));
    return absent;
  }

  void read_row(const std::vector<std::string>& fields, LineRow& row) {
    if (fields.size() > place_.size())
      refuse_field("last", std::to_string(fields.size()) + " fields",
                   std::to_string(place_.size()) + " fields, as in the header");
    row.id = field(fields, "id");
    row.unit = field(fields, "unit");
    row.region = field(fields, "region");
    row.inserter = field(fields, "inserter");
    if (auto at = parse_instant(field(fields, "placed_at")))
      row.placed_at = *at;
    else
      refuse_field("placed_at", at.error().front().found, at.error().front().expected);
    if (const auto ended = field(fields, "ended_at"); !ended.empty()) {
      if (auto at = parse_instant(ended))
        row.ended_at = *at;
      else
        refuse_field("ended_at", ended, at.error().front().expected);
    }
    if (const auto reason = field(fields, "reason"); !reason.empty()) {
      if (const auto known = json::Codec<line::RemovalReason>::from_name(reason))
        row.reason = *known;
      else
        refuse_field("reason", reason, "one of " + json::to_text(json::Codec<line::RemovalReason>::names()));
    }
    row.gauge = whole(fields, "gauge", 0, 10, 30);
    row.attempts = whole(fields, "attempts", 1, 1, 50);
  }

  std::istringstream in_;
  std::map<std::string, std::size_t> place_;
  FieldErrors errors_;
  int number_ = 0;
};

std::string quoted(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
  return out + "\"";
}

}  // namespace

Checked<std::vector<LineRow>> read_lines(std::string_view text) { return Reader(text).read(); }

std::string write_lines(const std::vector<LineRow>& rows) {
  std::string out = "id,unit,placed_at,ended_at,reason,gauge,region,inserter,attempts\n";
  for (const auto& r : rows) {
    out += quoted(r.id) + ',' + quoted(r.unit) + ',' + iso(r.placed_at) + ',' + (r.ended_at ? iso(*r.ended_at) : "") +
           ',' + (r.ended_at ? std::string(json::name_of(r.reason)) : "") + ',' +
           (r.gauge ? std::to_string(r.gauge) : "") + ',' + quoted(r.region) + ',' + quoted(r.inserter) + ',' +
           std::to_string(r.attempts) + '\n';
  }
  return out;
}

}  // namespace dwell::csv
