#include "text/own_words.h"

#include <algorithm>

#include "text/code_points.h"

namespace dwell::text {
namespace {

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
    text.replace(at, from.size(), to);
}

bool is_plain_ascii(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

void append_seen(std::string& out, char32_t c, std::string_view bytes) {
  if (c == U'\n' || is_separator(c) || c == U'\u0085')
    out += " \u23CE ";  // the sign of the return key
  else if (c == U'\t')
    out += ' ';
  else if (is_control(c) || is_bidi_control(c))
    out += "\uFFFD";
  else
    out += bytes;
}

}  // namespace

std::string one_line(std::string_view text) {
  if (is_plain_ascii(text)) return std::string(text);
  std::string out;
  const bool is_utf8 = each_code_point(text, [&](char32_t c, std::string_view bytes) { append_seen(out, c, bytes); });
  return is_utf8 ? out : "\uFFFD";
}

std::string unmarked(std::string_view text) {
  std::string out = one_line(text);
  replace_all(out, opening, "\u2018");
  replace_all(out, closing, "\u2019");
  return out;
}

std::string quoted(std::string_view text) {
  return text.empty() ? std::string() : std::string(opening) + unmarked(text) + std::string(closing);
}

std::string attributed(std::string_view line, std::string_view author) {
  std::string out(line);
  if (!author.empty()) replace_all(out, opening, unmarked(author) + " wrote: " + std::string(opening));
  return out;
}

}  // namespace dwell::text
