#pragma once
// How replies are made and queries are read; for the parts of routes.h.
#include <string>
#include <string_view>

#include "json/codec.h"
#include "server/routes.h"

namespace dwell::server {

[[nodiscard]] Reply json_reply(unsigned status, const json::Value& value);
/// `{"ok": false, "errors": [...]}`
[[nodiscard]] Reply refusal(unsigned status, const FieldErrors& errors);
[[nodiscard]] Reply refusal(unsigned status, std::string path, std::string found, std::string expected);

/// As sent, still percent-encoded; empty when there is none.
[[nodiscard]] std::string query_value(std::string_view query, std::string_view name);
/// Empty when the encoding is broken.
[[nodiscard]] std::string url_decoded(const std::string& text);

}  // namespace dwell::server
