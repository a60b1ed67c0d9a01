#include "exchange/csv/lines_csv.h"

#include <csv.h>

#include <algorithm>
#include <array>
#include <boost/locale/encoding_utf.hpp>
#include <map>
#include <sstream>
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

/// As much of a text as a message can bear.
std::string shortened(std::string_view text) {
  return std::string(text.substr(0, longest_text)) + (text.size() > longest_text ? " …" : "");
}

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

/// The lines of a stream, each with its end, whichever of the three ends it has. One that is longer than a row may be
/// comes in pieces.
class Lines {
 public:
  explicit Lines(std::istream& in) : in_(in) {}

  /// Empty at the end. Valid until the next call.
  std::string_view next() {
    begin_ += taken_;
    for (std::size_t looked_at = 0;;) {
      const auto found = buffer_.find_first_of("\r\n", begin_ + looked_at);
      if (found == buffer_.npos) {
        looked_at = buffer_.size() - begin_;
        taken_ = looked_at;
        if (looked_at > longest_row || !more()) break;
        continue;
      }
      looked_at = found - begin_;
      taken_ = looked_at + 1;
      if (buffer_[found] == '\n') break;
      // The line feed of a carriage return may still have to be read.
      if (found + 1 == buffer_.size() && more()) continue;
      if (std::string_view(buffer_).substr(begin_ + looked_at).starts_with("\r\n")) ++taken_;
      break;
    }
    return std::string_view(buffer_).substr(begin_, taken_);
  }

 private:
  /// What was taken before goes, so that the buffer never holds more than a row and what was read at once.
  bool more() {
    std::array<char, 65536> piece{};
    in_.read(piece.data(), piece.size());
    buffer_.erase(0, std::exchange(begin_, 0));
    buffer_.append(piece.data(), static_cast<std::size_t>(in_.gcount()));
    return in_.gcount() > 0;
  }

  std::istream& in_;
  std::string buffer_;
  std::size_t begin_ = 0, taken_ = 0;
};

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

  enum class Fault { none, quotes, not_utf8, nul, too_long };

  /// `take(line, fields)` answers whether to go on.
  template <class Take>
  Fault split(std::istream& in, const Take& take) {
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    Lines lines(in);
    for (int line = 1;; ++line) {
      auto piece = lines.next();
      if (line == 1 && piece.starts_with(byte_order_mark)) piece.remove_prefix(byte_order_mark.size());
      if (piece.empty()) break;
      if (!open_ && piece.find_first_not_of(" \t\r\n") == piece.npos && piece.size() <= longest_row) continue;
      if (!open_) began_ = line, size_ = 0;
      open_ = true;
      size_ += piece.size();
      if (size_ > longest_row) return Fault::too_long;
      if (piece.find('\0') != piece.npos) return fault_in(line, Fault::nul);
      if (!is_utf8(piece)) return fault_in(line, Fault::not_utf8);
      if (csv_parse(&parser_, piece.data(), piece.size(), add_field, end_row, this) != piece.size())
        return Fault::quotes;
      if (!open_ && !take(began_, std::exchange(fields_, {}))) return Fault::none;
    }
    if (csv_fini(&parser_, add_field, end_row, this) != 0) return Fault::quotes;
    if (!fields_.empty()) take(began_, fields_);
    return Fault::none;
  }

  /// Of the fault: where the row begins, or the very line for a letter.
  [[nodiscard]] int line() const { return began_; }

 private:
  Fault fault_in(int line, Fault fault) {
    began_ = line;
    return fault;
  }
  static void add_field(void* data, std::size_t length, void* self) {
    static_cast<RowSplitter*>(self)->fields_.emplace_back(static_cast<const char*>(data), length);
  }
  static void end_row(int, void* self) { static_cast<RowSplitter*>(self)->open_ = false; }

  csv_parser parser_{};
  Fields fields_;
  bool open_ = false;
  int began_ = 1;
  std::size_t size_ = 0;  ///< of the row being read
};

FieldError fault_at(int line, RowSplitter::Fault fault) {
  const std::string place = "line " + std::to_string(line);
  switch (fault) {
    case RowSplitter::Fault::not_utf8:
      return {place, "letters that are not UTF-8", in_english_only("a file saved as CSV in UTF-8")};
    case RowSplitter::Fault::nul:
      return {place, "a NUL character", in_english_only("a text file saved as CSV in UTF-8")};
    case RowSplitter::Fault::too_long:
      return {place, "a row of more than " + std::to_string(longest_row) + " bytes",
              in_english_only("one line a row; is a quotation mark never closed, or is this another kind of file?")};
    default:
      return {place, "a quotation mark out of place",
              in_english_only("quotation marks around a whole field, doubled inside it")};
  }
}

class Reader {
 public:
  explicit Reader(const std::function<void(LineRow)>& take) : take_(take) {}

  Checked<void> read(std::istream& in) {
    RowSplitter splitter;
    const auto fault = splitter.split(in, [&](int line, const Fields& fields) {
      line_ = line;
      header_.empty() ? read_header(fields) : read_row(fields);
      return errors_.size() < most_errors && has_needed_ && rows_ <= most_rows;
    });
    if (fault != RowSplitter::Fault::none) add(fault_at(splitter.line(), fault));
    if (in.bad())
      add({"line " + std::to_string(line_), "a disk that does not go on", in_english_only("a file that can be read")});
    if (rows_ > most_rows)
      add({"line " + std::to_string(line_), "more rows",
           in_english_only("at most " + std::to_string(most_rows) + " rows")});
    if (errors_.empty() && header_.empty())
      return refuse("", "an empty file", in_english_only("a header line and one line a row"));
    if (errors_.empty() && rows_ == 0) return refuse("", "no rows", in_english_only("one line a row below the header"));
    if (!errors_.empty()) return refuse(std::move(errors_));
    return {};
  }

 private:
  static constexpr std::size_t most_errors = 20;

  void add(FieldError error) {
    if (errors_.size() < most_errors) errors_.push_back(std::move(error));
  }
  void refuse_field(std::string_view column, const std::string& found, Message expected) {
    add({"line " + std::to_string(line_) + ", column " + shortened(column), shortened(found), std::move(expected)});
  }

  void read_header(const Fields& names) {
    header_ = names;
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (std::find(columns.begin(), columns.end(), names[i]) == columns.end())
        refuse_field(names[i], names[i], in_english_only("a known column: " + column_names()));
      else if (!place_.emplace(names[i], i).second)
        refuse_field(names[i], names[i], in_english_only("each column once"));
    }
    for (const char* needed : {"id", "placed_at"})
      if (!place_.contains(needed)) {
        refuse_field(needed, "", in_english_only("this column"));
        has_needed_ = false;
      }
  }

  [[nodiscard]] std::string field(const Fields& fields, std::string_view column) const {
    const auto at = place_.find(column);
    return at == place_.end() ? std::string() : fields[at->second];
  }

  std::string text(const Fields& fields, std::string_view column) {
    auto found = field(fields, column);
    if (found.size() <= longest_text) return found;
    refuse_field(column, std::to_string(found.size()) + " bytes",
                 in_english_only("at most " + std::to_string(longest_text)));
    return "";
  }

  std::optional<int> whole(const Fields& fields, std::string_view column, int low, int high) {
    const auto text = field(fields, column);
    if (text.empty()) return std::nullopt;
    const auto number = number_from(text);
    if (number && *number >= low && *number <= high && *number == static_cast<int>(*number))
      return static_cast<int>(*number);
    refuse_field(column, text,
                 in_english_only("a whole number from " + std::to_string(low) + " to " + std::to_string(high)));
    return std::nullopt;
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
      refuse_field("ended_at", field(fields, "ended_at"), in_english_only("later than placed_at"));
  }

  void read_row(const Fields& fields) {
    if (fields.size() != header_.size()) {
      add({"line " + std::to_string(line_), std::to_string(fields.size()) + (fields.size() == 1 ? " field" : " fields"),
           in_english_only(std::to_string(header_.size()) + " fields, as in the header")});
      return;
    }
    LineRow row;
    row.id = text(fields, "id");
    row.unit = text(fields, "unit");
    row.region = text(fields, "region");
    row.inserter = text(fields, "inserter");
    if (field(fields, "id").empty()) refuse_field("id", "", in_english_only("a name for the line"));
    FieldErrors words;
    text::check_texts("", row, words);
    for (const auto& error : words) refuse_field(std::string_view(error.path).substr(1), error.found, error.expected);
    read_times(fields, row);
    if (const auto reason = field(fields, "reason"); !reason.empty()) {
      if (const auto known = json::Codec<line::RemovalReason>::from_name(reason))
        row.reason = *known;
      else
        refuse_field("reason", reason,
                     in_english_only("one of " + json::to_text(json::Codec<line::RemovalReason>::names())));
    }
    row.gauge = whole(fields, "gauge", 10, 30).value_or(0);
    row.attempts = whole(fields, "attempts", 1, 50);
    ++rows_;
    if (errors_.empty() && rows_ <= most_rows) take_(std::move(row));
  }

  Fields header_;
  std::map<std::string, std::size_t, std::less<>> place_;
  bool has_needed_ = true;
  const std::function<void(LineRow)>& take_;
  std::size_t rows_ = 0;
  FieldErrors errors_;
  int line_ = 0;
};

std::string quoted(const std::string& text) {
  std::string out(2 * text.size() + 2, '\0');
  out.resize(csv_write(out.data(), out.size(), text.data(), text.size()));
  return out;
}

}  // namespace

Checked<void> read_lines(std::istream& in, const std::function<void(LineRow)>& take) { return Reader(take).read(in); }

Checked<std::vector<LineRow>> read_lines(std::string_view text) {
  std::istringstream in{std::string(text)};
  std::vector<LineRow> rows;
  if (auto read = read_lines(in, [&](LineRow row) { rows.push_back(std::move(row)); }); !read)
    return refuse(read.error());
  return rows;
}

std::string write_lines(const std::vector<LineRow>& rows) {
  std::string out = "id,unit,placed_at,ended_at,reason,gauge,region,inserter,attempts\n";
  for (const auto& r : rows) {
    out += quoted(r.id) + ',' + quoted(r.unit) + ',' + iso(r.placed_at) + ',' + (r.ended_at ? iso(*r.ended_at) : "") +
           ',' + (r.ended_at ? std::string(json::name_of(r.reason)) : "") + ',' +
           (r.gauge ? std::to_string(r.gauge) : "") + ',' + quoted(r.region) + ',' + quoted(r.inserter) + ',' +
           (r.attempts ? std::to_string(*r.attempts) : "") + '\n';
  }
  return out;
}

}  // namespace dwell::csv
