#pragma once
// Answers are JSON, and JSON shrinks to a tenth: on a ward's network that is the difference between a wait and none.
#include <string>
#include <string_view>

namespace dwell::server {

/// In the gzip format (RFC 1952), by zlib.
[[nodiscard]] std::string gzip(std::string_view plain);

}  // namespace dwell::server
