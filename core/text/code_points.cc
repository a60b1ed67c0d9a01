#include "text/code_points.h"

#include <algorithm>
#include <boost/locale/utf.hpp>
#include <span>

namespace dwell::text {
namespace {

struct Range {
  char32_t first, last;
};

// Unicode 15.0, UnicodeData.txt (Cc) and PropList.txt (Bidi_Control, White_Space).
constexpr Range controls[] = {{0x0000, 0x001F}, {0x007F, 0x009F}};
constexpr Range separators[] = {{0x2028, 0x2029}};
constexpr Range bidi_controls[] = {{0x061C, 0x061C}, {0x200E, 0x200F}, {0x202A, 0x202E}, {0x2066, 0x2069}};
constexpr Range white_spaces[] = {{0x0009, 0x000D}, {0x0020, 0x0020}, {0x0085, 0x0085}, {0x00A0, 0x00A0},
                                  {0x1680, 0x1680}, {0x2000, 0x200A}, {0x2028, 0x2029}, {0x202F, 0x202F},
                                  {0x205F, 0x205F}, {0x3000, 0x3000}};
// Unicode 15.0, DerivedCoreProperties.txt.
constexpr Range ignorables[] = {
    {0x00AD, 0x00AD}, {0x034F, 0x034F}, {0x061C, 0x061C},   {0x115F, 0x1160},   {0x17B4, 0x17B5},  {0x180B, 0x180F},
    {0x200B, 0x200F}, {0x202A, 0x202E}, {0x2060, 0x206F},   {0x3164, 0x3164},   {0xFE00, 0xFE0F},  {0xFEFF, 0xFEFF},
    {0xFFA0, 0xFFA0}, {0xFFF0, 0xFFF8}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE0FFF}};

/// `ranges` rise. Nearly every character of a ward lies before the second range or the first.
bool within(std::span<const Range> ranges, char32_t c) {
  for (const Range& range : ranges)
    if (c <= range.last) return range.first <= c;
  return false;
}

}  // namespace

bool is_control(char32_t c) { return within(controls, c); }
bool is_separator(char32_t c) { return within(separators, c); }
bool is_bidi_control(char32_t c) { return within(bidi_controls, c); }
bool is_ignorable(char32_t c) { return within(ignorables, c); }
bool is_white_space(char32_t c) { return within(white_spaces, c); }

bool each_code_point(std::string_view utf8, const std::function<void(char32_t, std::string_view)>& visit) {
  namespace utf = boost::locale::utf;
  for (auto rest = utf8; !rest.empty();) {
    auto end = rest.begin();
    const utf::code_point c = utf::utf_traits<char>::decode(end, rest.end());
    if (c == utf::illegal || c == utf::incomplete) return false;
    const auto bytes = rest.substr(0, static_cast<std::size_t>(end - rest.begin()));
    visit(c, bytes);
    rest.remove_prefix(bytes.size());
  }
  return true;
}

std::optional<std::vector<char32_t>> code_points(std::string_view utf8) {
  if (std::all_of(utf8.begin(), utf8.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; }))
    return std::vector<char32_t>(utf8.begin(), utf8.end());
  std::vector<char32_t> out;
  out.reserve(utf8.size());
  if (!each_code_point(utf8, [&](char32_t c, std::string_view) { out.push_back(c); })) return std::nullopt;
  return out;
}

}  // namespace dwell::text
