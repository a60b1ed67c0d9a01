#pragma once
// What the engine says, in words: for the command line, for paper and for the server's own texts. The page does the
// same with web/src/text/said_message.ts; tests/peers holds the two against each other.
#include <chrono>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "message/message.h"
#include "quantity/number_text.h"
#include "quantity/time.h"

namespace dwell::said {

/// Who reads, and how numbers and moments are written there.
struct Reader {
  std::string language = "en";
  DecimalSign decimal_sign = DecimalSign::point;  ///< unknown: a point
  std::function<std::chrono::minutes(Instant)> utc_offset = [](Instant) { return std::chrono::minutes{0}; };
  /// What something in the ward's lists is called; nothing where no list holds it.
  std::function<std::optional<Wording>(const std::string& name)> title_of = [](const std::string&) {
    return std::optional<Wording>();
  };
  /// The moment of a sheet that says its own date on every page: of moments on that day only the time is said, of those
  /// in that year the day without its year. A day by itself, as of a birth, is always said whole.
  std::optional<Instant> sheet_of = std::nullopt;
};

[[nodiscard]] bool is_language(std::string_view key);
/// "en, es"; without the pseudo-language.
[[nodiscard]] std::string languages_listed();

/// The sentence. A message that the language lacks is said in English, one that nobody knows by its id in brackets.
[[nodiscard]] std::string said(const Message& message, const Reader& reader);
[[nodiscard]] std::string in_english(const Message& message);

}  // namespace dwell::said
