#pragma once
// How replies are made and queries are read.
#include <string>
#include <string_view>

#include "json/codec.h"
#include "server/message.h"

namespace dwell::server {

/// No answer is longer: a page could not hold it, and making it would hold up the others.
inline constexpr std::size_t longest_answer = 16 * 1024 * 1024;

/// Nothing is written beyond `longest_answer`: an answer that would be longer is a refusal (413).
[[nodiscard]] Reply json_reply(unsigned status, const json::Value& value);
/// `{"ok": false, "errors": [...]}`: the first errors, and how many more.
[[nodiscard]] Reply refusal(unsigned status, const FieldErrors& errors);
[[nodiscard]] Reply refusal(unsigned status, std::string path, std::string found, std::string expected);
/// 503, to be tried again: the record cannot be reached, or those who answer have enough to do.
[[nodiscard]] Reply try_again(std::string path, std::string found, std::string expected);

/// As sent, still percent-encoded; empty when there is none.
[[nodiscard]] std::string query_value(std::string_view query, std::string_view name);
[[nodiscard]] bool has_name(std::string_view query, std::string_view name);
/// Empty when the encoding is broken.
[[nodiscard]] std::string url_decoded(const std::string& text);
/// A number from 1 to `most`; `usual` when it is not given.
[[nodiscard]] Checked<std::size_t> asked_number(std::string_view query, const char* name, std::size_t usual,
                                                std::size_t most);

}  // namespace dwell::server
