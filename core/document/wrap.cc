#include "document/wrap.h"

#include <algorithm>

namespace dwell::document {
namespace {

std::size_t width(std::string_view utf8) {
  return static_cast<std::size_t>(std::count_if(utf8.begin(), utf8.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

}  // namespace

std::string wrap(std::string_view line, std::size_t columns, std::string_view indent) {
  std::string out;
  std::size_t used = 0;
  bool first_word = true;
  while (!line.empty()) {
    const auto word = line.substr(0, line.find(' '));
    if (!first_word && used + 1 + width(word) > columns) {
      out += "\n";
      out += indent;
      used = width(indent);
    } else if (!first_word) {
      out += ' ';
      ++used;
    }
    out += word;
    used += width(word);
    first_word = false;
    line.remove_prefix(std::min(word.size() + 1, line.size()));
  }
  return out;
}

}  // namespace dwell::document
