#pragma once
// What the engine says: an id of the catalogue (text/messages) and its arguments. No word of any language is in it; a
// pattern of the reader's language makes the sentence, where somebody reads (exchange/said, web/src/text/said_message).
// A message is made by a constructor that the catalogue generates, never by hand:
//
//   say::weight_far_below_chart(weight, age, line)          // #include "say/growth.h"
//
// An argument is what it is, not how it is written; only a number is rounded here already, by the one display
// (quantity/display.h), because how many digits are safe to show is no matter of language.
#include <chrono>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "message/wording.h"

namespace dwell {

class Message;

namespace message {

/// A number as it is shown, with a decimal point and narrow spaces between thousands, and its unit. No digits: unknown.
struct Part {
  std::string digits, unit;
  friend bool operator==(const Part&, const Part&) = default;
};
/// In parts: 7 h 43 min are two.
struct Quantity {
  std::vector<Part> parts;
  friend bool operator==(const Quantity&, const Quantity&) = default;
};
struct Count {
  std::int64_t count = 0;
  std::string digits;  ///< as it is shown
  friend bool operator==(const Count&, const Count&) = default;
};
struct Moment {
  std::chrono::sys_time<std::chrono::milliseconds> at;
  friend bool operator==(const Moment&, const Moment&) = default;
};
struct Day {
  std::chrono::year_month_day date;
  friend bool operator==(const Day&, const Day&) = default;
};
/// One of a closed set, by its name; the pattern has words for each.
struct Enumerator {
  std::string name;
  friend bool operator==(const Enumerator&, const Enumerator&) = default;
};
/// A person's words, or a name that somebody gave: never translated.
struct OwnWords {
  std::string words;
  friend bool operator==(const OwnWords&, const OwnWords&) = default;
};
/// The name of something in the ward's lists, such as a fluid or a scale: shown by its title in the reader's language,
/// which whoever shows it looks up; what no list holds is shown as it is.
struct ListedName {
  std::string name;
  friend bool operator==(const ListedName&, const ListedName&) = default;
};
/// How messages stand together: "a, b", or "It is a. It is b."
enum class Join { list, sentences };
struct Messages {
  std::vector<Message> all;
  Join join = Join::list;
  friend bool operator==(const Messages&, const Messages&);
};

using Value = std::variant<Quantity, Count, Moment, Day, Enumerator, OwnWords, ListedName, Messages, Wording>;

struct Argument {
  std::string name;
  Value value;
  friend bool operator==(const Argument&, const Argument&);
};

}  // namespace message

class Message {
 public:
  Message() = default;
  /// For the constructors that the catalogue generates, and for reading one back.
  [[nodiscard]] static Message of(std::string id, std::vector<message::Argument> arguments);

  /// Empty where nothing is said.
  [[nodiscard]] const std::string& id() const { return id_; }
  [[nodiscard]] const std::vector<message::Argument>& arguments() const { return arguments_; }
  [[nodiscard]] bool empty() const { return id_.empty(); }

  friend bool operator==(const Message&, const Message&);

 private:
  std::string id_;
  std::vector<message::Argument> arguments_;
};

/// What a host says to whoever runs it, of files, keys and databases, in English only. Nothing of the catalogue, so
/// nothing that core may say (tools/arrows looks).
[[nodiscard]] inline Message in_english_only(std::string text) {
  return Message::of("english_only", {{"text", message::OwnWords{std::move(text)}}});
}

}  // namespace dwell
