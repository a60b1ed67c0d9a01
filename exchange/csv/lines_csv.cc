#include "exchange/csv/lines_csv.h"

#include <csv.h>

#include <algorithm>
#include <array>
#include <boost/locale/encoding_utf.hpp>
#include <map>
#include <stdexcept>

#include "json/codec.h"
#include "quantity/number_text.h"
#include "text/each_text.h"

namespace dwell::csv {
namespace {

using statistics::LineRow;
using Fields = std::vector<std::string>;

constexpr std::array<std::string_view, 9> columns{"id",    "unit",   "placed_at", "ended_at", "reason",
                                                  "gauge", "region", "inserter",  "attempts"};

std::string column_names() {
  std::string all;
  for (const auto name : columns) all += (all.empty() ? "" : ", ") + std::string(name);
  return all;
}

bool is_utf8(std::string_view text) {
  try {
    static_cast<void>(
        boost::locale::conv::utf_to_utf<char32_t>(text.data(), text.data() + text.size(), boost::locale::conv::stop));
    return true;
  } catch (const boost::locale::conv::conversion_error&) {
    return false;
  }
}

/// Hands the fields of each row, and the line on which it begins, to whoever takes rows. libcsv does the reading; it is
/// fed line by line, because it does not count lines.
class RowSplitter {
 public:
  RowSplitter() {
    if (csv_init(&parser_, CSV_STRICT | CSV_STRICT_FINI) != 0) throw std::runtime_error("the CSV reader cannot start");
  }
  ~RowSplitter() { csv_free(&parser_); }
  RowSplitter(const RowSplitter&) = delete;
  RowSplitter& operator=(const RowSplitter&) = delete;

  enum class Fault { none, quotes, not_utf8 };

  /// `take(line, fields)` answers whether to go on.
  template <class Take>
  Fault split(std::string_view text, const Take& take) {
    for (int line = 1; !text.empty(); ++line) {
      const auto piece = first_line(text);
      text.remove_prefix(piece.size());
      if (!open_ && piece.find_first_not_of(" \t\r\n") == piece.npos) continue;
      if (!open_) began_ = line;
      open_ = true;
      if (!is_utf8(piece)) return Fault::not_utf8;
      if (csv_parse(&parser_, piece.data(), piece.size(), add_field, end_row, this) != piece.size())
        return Fault::quotes;
      if (!open_ && !take(began_, std::exchange(fields_, {}))) return Fault::none;
    }
    if (csv_fini(&parser_, add_field, end_row, this) != 0) return Fault::quotes;
    if (!fields_.empty()) take(began_, fields_);
    return Fault::none;
  }

  /// The line on which the row being read begins.
  [[nodiscard]] int line() const { return began_; }

 private:
  static std::string_view first_line(std::string_view text) {
    const auto end = text.find_first_of("\r\n");
    if (end == text.npos) return text;
    return text.substr(0, end + (text.substr(end).starts_with("\r\n") ? 2 : 1));
  }
  static void add_field(void* data, std::size_t length, void* self) {
    static_cast<RowSplitter*>(self)->fields_.emplace_back(static_cast<const char*>(data), length);
  }
  static void end_row(int, void* self) { static_cast<RowSplitter*>(self)->open_ = false; }

  csv_parser parser_{};
  Fields fields_;
  bool open_ = false;
  int began_ = 1;
};

class Reader {
 public:
  Checked<std::vector<LineRow>> read(std::string_view text) {
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    RowSplitter splitter;
    const auto fault = splitter.split(text, [&](int line, const Fields& fields) {
      line_ = line;
      header_.empty() ? read_header(fields) : read_row(fields);
      return errors_.size() < most_errors && has_needed_;
    });
    if (fault == RowSplitter::Fault::quotes)
      add({"line " + std::to_string(splitter.line()), "a quotation mark out of place",
           "quotation marks around a whole field, doubled inside it"});
    if (fault == RowSplitter::Fault::not_utf8)
      add({"line " + std::to_string(splitter.line()), "letters that are not UTF-8", "a file saved as CSV in UTF-8"});
    if (errors_.empty() && header_.empty()) return refuse("", "an empty file", "a header line and one line a row");
    if (errors_.empty() && rows_.empty()) return refuse("", "no rows", "one line a row below the header");
    if (!errors_.empty()) return refuse(std::move(errors_));
    return std::move(rows_);
  }

 private:
  static constexpr std::size_t most_errors = 20;

  void add(FieldError error) {
    if (errors_.size() < most_errors) errors_.push_back(std::move(error));
  }
  void refuse_field(std::string_view column, const std::string& found, std::string expected) {
    add({"line " + std::to_string(line_) + ", column " + std::string(column), found, std::move(expected)});
  }

  void read_header(const Fields& names) {
    header_ = names;
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (std::find(columns.begin(), columns.end(), names[i]) == columns.end())
        refuse_field(names[i], names[i], "a known column: " + column_names());
      else if (!place_.emplace(names[i], i).second)
        refuse_field(names[i], names[i], "each column once");
    }
    for (const char* needed : {"id", "placed_at"})
      if (!place_.contains(needed)) {
        refuse_field(needed, "nothing", "this column");
        has_needed_ = false;
      }
  }

  [[nodiscard]] std::string field(const Fields& fields, std::string_view column) const {
    const auto at = place_.find(column);
    return at == place_.end() ? std::string() : fields[at->second];
  }

  int whole(const Fields& fields, std::string_view column, int absent, int low, int high) {
    const auto text = field(fields, column);
    if (text.empty()) return absent;
    const auto number = number_from(text);
    if (number && *number >= low && *number <= high && *number == static_cast<int>(*number))
      return static_cast<int>(*number);
    refuse_field(column, text, "a whole number from " + std::to_string(low) + " to " + std::to_string(high));
    return absent;
  }

  std::optional<Instant> moment(const Fields& fields, std::string_view column) {
    auto at = parse_instant(field(fields, column));
    if (at) return *at;
    refuse_field(column, at.error().front().found, at.error().front().expected);
    return std::nullopt;
  }

  void read_times(const Fields& fields, LineRow& row) {
    const auto placed = moment(fields, "placed_at");
    if (placed) row.placed_at = *placed;
    if (field(fields, "ended_at").empty()) return;
    row.ended_at = moment(fields, "ended_at");
    if (placed && row.ended_at && *row.ended_at <= *placed)
      refuse_field("ended_at", field(fields, "ended_at"), "later than placed_at");
  }

  void read_row(const Fields& fields) {
    if (fields.size() != header_.size()) {
      add({"line " + std::to_string(line_), std::to_string(fields.size()) + (fields.size() == 1 ? " field" : " fields"),
           std::to_string(header_.size()) + " fields, as in the header"});
      return;
    }
    LineRow row;
    row.id = field(fields, "id");
    row.unit = field(fields, "unit");
    row.region = field(fields, "region");
    row.inserter = field(fields, "inserter");
    if (row.id.empty()) refuse_field("id", "nothing", "a name for the line");
    FieldErrors words;
    text::check_texts("", row, words);
    for (const auto& error : words) refuse_field(std::string_view(error.path).substr(1), error.found, error.expected);
    read_times(fields, row);
    if (const auto reason = field(fields, "reason"); !reason.empty()) {
      if (const auto known = json::Codec<line::RemovalReason>::from_name(reason))
        row.reason = *known;
      else
        refuse_field("reason", reason, "one of " + json::to_text(json::Codec<line::RemovalReason>::names()));
    }
    row.gauge = whole(fields, "gauge", 0, 10, 30);
    row.attempts = whole(fields, "attempts", 1, 1, 50);
    rows_.push_back(std::move(row));
  }

  Fields header_;
  std::map<std::string, std::size_t, std::less<>> place_;
  bool has_needed_ = true;
  std::vector<LineRow> rows_;
  FieldErrors errors_;
  int line_ = 0;
};

std::string quoted(const std::string& text) {
  std::string out(2 * text.size() + 2, '\0');
  out.resize(csv_write(out.data(), out.size(), text.data(), text.size()));
  return out;
}

}  // namespace

Checked<std::vector<LineRow>> read_lines(std::string_view text) { return Reader().read(text); }

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
