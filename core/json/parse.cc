#include "json/parse.h"

#include <algorithm>
#include <boost/json/basic_parser_impl.hpp>
#include <optional>
#include <string>
#include <vector>

#include "say/json.h"

namespace dwell::json {
namespace {

namespace bj = boost::json;

/// Told by the parser what it meets: makes the value of it, and remembers the names of the objects that are open.
class Builder {
 public:
  static constexpr std::size_t max_array_size = static_cast<std::size_t>(-1), max_object_size = max_array_size,
                               max_string_size = 0x7FFFFFFE, max_key_size = 0x7FFFFFFE;

  explicit Builder(std::size_t most_values) : left_(most_values), most_(most_values) { stack_.reset(); }

  [[nodiscard]] Value release() { return stack_.release(); }
  /// Why the text was given up, when it was not its syntax.
  [[nodiscard]] const std::optional<FieldError>& refused() const { return refused_; }

  bool on_document_begin(bj::error_code&) { return true; }
  bool on_document_end(bj::error_code&) { return true; }
  bool on_array_begin(bj::error_code& failure) { return open(failure, false); }
  bool on_object_begin(bj::error_code& failure) { return open(failure, true); }
  bool on_array_end(std::size_t size, bj::error_code&) {
    stack_.push_array(size);
    close();
    return true;
  }
  bool on_object_end(std::size_t size, bj::error_code& failure) {
    if (const auto twice = name_that_stands_twice()) {
      refused_ = {path() + "/" + *twice, *twice, say::one_field_of_this_name()};
      return give_up(failure);
    }
    stack_.push_object(size);
    close();
    return true;
  }
  bool on_key_part(bj::string_view part, std::size_t, bj::error_code&) {
    name_.append(part.data(), part.size());
    stack_.push_chars(part);
    return true;
  }
  bool on_key(bj::string_view part, std::size_t, bj::error_code&) {
    name_.append(part.data(), part.size());
    names_.push_back(std::exchange(name_, {}));
    stack_.push_key(part);
    return true;
  }
  bool on_string_part(bj::string_view part, std::size_t, bj::error_code&) { return stack_.push_chars(part), true; }
  bool on_string(bj::string_view part, std::size_t, bj::error_code& failure) {
    return counted(failure) && (stack_.push_string(part), true);
  }
  bool on_number_part(bj::string_view, bj::error_code&) { return true; }
  bool on_int64(std::int64_t number, bj::string_view, bj::error_code& failure) {
    return counted(failure) && (stack_.push_int64(number), true);
  }
  bool on_uint64(std::uint64_t number, bj::string_view, bj::error_code& failure) {
    return counted(failure) && (stack_.push_uint64(number), true);
  }
  bool on_double(double number, bj::string_view, bj::error_code& failure) {
    return counted(failure) && (stack_.push_double(number), true);
  }
  bool on_bool(bool yes, bj::error_code& failure) { return counted(failure) && (stack_.push_bool(yes), true); }
  bool on_null(bj::error_code& failure) { return counted(failure) && (stack_.push_null(), true); }
  bool on_comment_part(bj::string_view, bj::error_code&) { return true; }
  bool on_comment(bj::string_view, bj::error_code&) { return true; }

 private:
  /// An object or list that is open.
  struct Open {
    bool object = false;
    std::size_t names_from = 0;  ///< its names begin here
    std::size_t values = 0;      ///< read so far
  };

  bool open(bj::error_code& failure, bool object) {
    if (!counted(failure)) return false;
    open_.push_back({object, names_.size(), 0});
    return true;
  }
  void close() {
    names_.resize(open_.back().names_from);
    open_.pop_back();
  }
  bool counted(bj::error_code& failure) {
    if (left_ == 0) {
      refused_ = {path(), std::to_string(most_ + 1), say::values_at_most(static_cast<std::int64_t>(most_))};
      return give_up(failure);
    }
    --left_;
    if (!open_.empty()) ++open_.back().values;
    return true;
  }
  static bool give_up(bj::error_code& failure) {
    failure = bj::error::exception;
    return false;
  }

  /// Among the names of the object that ends here.
  [[nodiscard]] std::optional<std::string> name_that_stands_twice() {
    const auto from = names_.begin() + static_cast<std::ptrdiff_t>(open_.back().names_from);
    constexpr std::ptrdiff_t few = 16;  // that many are held against each other sooner than put in order
    if (names_.end() - from <= few) {
      for (auto one = from; one != names_.end(); ++one)
        if (std::find(one + 1, names_.end(), *one) != names_.end()) return *one;
      return std::nullopt;
    }
    // The order is not needed any more: no path leads through an object that ends.
    std::sort(from, names_.end());
    const auto twice = std::adjacent_find(from, names_.end());
    return twice == names_.end() ? std::nullopt : std::optional(*twice);
  }

  /// Of the innermost object or list that is open.
  [[nodiscard]] std::string path() const {
    std::string text;
    for (std::size_t i = 0; i + 1 < open_.size(); ++i)
      text += "/" + (open_[i].object ? names_[open_[i + 1].names_from - 1] : std::to_string(open_[i].values - 1));
    return text;
  }

  bj::value_stack stack_;
  std::size_t left_, most_;
  std::vector<Open> open_;
  std::vector<std::string> names_;  ///< of all that are open
  std::string name_;                ///< being read
  std::optional<FieldError> refused_;
};

/// "2:8": line and column of what follows.
std::string place_in(std::string_view before) {
  const auto line = 1 + std::count(before.begin(), before.end(), '\n');
  const auto column = 1 + (before.size() - (before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1));
  return std::to_string(line) + ":" + std::to_string(column);
}

}  // namespace

Checked<Value> parse_text(std::string_view text, const Limits& limits) {
  bj::error_code failure;
  bj::parse_options options;
  options.max_depth = limits.depth;
  bj::basic_parser<Builder> parser(options, limits.values);
  const std::size_t used = parser.write_some(false, text.data(), text.size(), failure);
  if (const auto& refused = parser.handler().refused()) return dwell::refuse(FieldErrors{*refused});
  const auto rest = text.substr(std::min(used, text.size()));
  const bool trailing = rest.find_first_not_of(" \t\r\n") != std::string_view::npos;
  if (!failure && !trailing && parser.done()) return parser.handler().release();
  return dwell::refuse("", place_in(text.substr(0, std::min(used, text.size()))),
                       failure ? say::json_text_fault(failure.message()) : say::json_text());
}

Checked<Value> parse_text(std::string_view text) { return parse_text(text, Limits{}); }

}  // namespace dwell::json
