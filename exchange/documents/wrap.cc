#include "exchange/documents/wrap.h"

#include <algorithm>

#include "text/own_words.h"

namespace dwell::documents {
namespace {

/// Whether what follows `word` lies between the marks of own words.
bool own_words_go_on(std::string_view word, bool before) {
  const auto opens = word.rfind(text::opening), closes = word.rfind(text::closing);
  if (opens == word.npos && closes == word.npos) return before;
  return closes == word.npos || (opens != word.npos && opens > closes);
}

std::size_t width(std::string_view utf8) {
  return static_cast<std::size_t>(std::count_if(utf8.begin(), utf8.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

}  // namespace

std::string wrap(std::string_view line, std::size_t columns, std::string_view indent) {
  std::string out;
  std::size_t used = 0;
  bool first_word = true, own_words = false;
  while (!line.empty()) {
    const auto word = line.substr(0, line.find(' '));
    if (!first_word && used + 1 + width(word) > columns) {
      out += "\n";
      out += own_words ? fence : indent;
      used = width(own_words ? fence : indent);
    } else if (!first_word) {
      out += ' ';
      ++used;
    }
    out += word;
    used += width(word);
    first_word = false;
    own_words = own_words_go_on(word, own_words);
    line.remove_prefix(std::min(word.size() + 1, line.size()));
  }
  return out;
}

}  // namespace dwell::documents
