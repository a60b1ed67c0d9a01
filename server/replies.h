#pragma once
// How replies are made and queries are read.
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "json/codec.h"
#include "server/message.h"

namespace dwell::server {

/// No answer is longer: a page could not hold it, and making it would hold up the others.
inline constexpr std::size_t longest_answer = 16 * 1024 * 1024;

/// Nothing is written beyond `longest_answer`: an answer that would be longer is a refusal (413).
[[nodiscard]] Reply json_reply(unsigned status, const json::Value& value);
/// `{"ok": false, "errors": [...]}`: the first errors, and how many more.
[[nodiscard]] Reply refusal(unsigned status, const FieldErrors& errors);
[[nodiscard]] Reply refusal(unsigned status, std::string path, std::string found, Message expected);
/// The same to a program whose request is at fault, which no page of Dwell makes: in English.
[[nodiscard]] Reply refusal(unsigned status, std::string path, std::string found, std::string expected);
/// 503, to be tried again: the record cannot be reached, or those who answer have enough to do.
[[nodiscard]] Reply try_again(std::string path, std::string found, Message expected);

/// What a target asks, decoded; a plus sign is a space. A target that cannot be read asks nothing (such a request is
/// refused before, by its head).
class Query {
 public:
  explicit Query(std::string_view target);
  /// Empty when it was not given.
  [[nodiscard]] std::string value(std::string_view name) const;
  [[nodiscard]] bool has(std::string_view name) const;

 private:
  std::vector<std::pair<std::string, std::string>> asked_;
};

/// Empty when the encoding is broken.
[[nodiscard]] std::string url_decoded(const std::string& text);
/// A number from 1 to `most`; `usual` when it is not given.
[[nodiscard]] Checked<std::size_t> asked_number(const Query& query, const char* name, std::size_t usual,
                                                std::size_t most);

}  // namespace dwell::server
