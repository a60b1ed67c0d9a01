#pragma once
// The page's files, put inside the binary at build time, already compressed.
#include <span>
#include <string_view>

namespace dwell::server {

struct PageFile {
  std::string_view path;  ///< "/index.html"
  std::string_view content_type;
  std::string_view etag;                 ///< with its quotes
  std::string_view plain, gzip, brotli;  ///< gzip and brotli may be empty
};

[[nodiscard]] std::span<const PageFile> page_files();

/// Whose work stands in Dwell. No part of the page, so that no device keeps it.
inline constexpr std::string_view licences_file = "/licences.txt";

}  // namespace dwell::server
