#include "text/mentions.h"

#include <algorithm>

namespace dwell::text {
namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

/// A byte of a letter or a figure; every byte of a letter beyond ASCII is one.
bool is_of_word(char c) {
  const char small = lower(c);
  return (small >= 'a' && small <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
}

}  // namespace

bool mentions(std::string_view own_words, std::string_view name) {
  if (name.empty()) return false;
  const auto alike = [](char a, char b) { return lower(a) == lower(b); };
  for (auto from = own_words.begin();;) {
    const auto found = std::search(from, own_words.end(), name.begin(), name.end(), alike);
    if (found == own_words.end()) return false;
    const auto end = found + static_cast<std::ptrdiff_t>(name.size());
    const bool begins = found == own_words.begin() || !is_of_word(*(found - 1));
    if (begins && (end == own_words.end() || !is_of_word(*end))) return true;
    from = found + 1;
  }
}

}  // namespace dwell::text
