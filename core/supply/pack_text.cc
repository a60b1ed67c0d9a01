#include "supply/pack_text.h"

#include <algorithm>
#include <array>

#include "say/supply.h"
#include "supply/identifiers.h"

namespace dwell::supply {
namespace {

constexpr char separator = '\x1d';
constexpr std::size_t longest_text = 1000;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
bool begins(std::string_view text, std::string_view with) {
  return text.size() >= with.size() &&
         std::equal(with.begin(), with.end(), text.begin(), [](char a, char b) { return a == lower(b); });
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const auto first = text.find_first_not_of(blank);
  if (first == text.npos) return {};
  return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

/// Every way in which scanners and keyboards write the separator, as the byte itself. None of them can be part of a
/// value.
std::string with_plain_separators(std::string_view text) {
  constexpr std::array<std::string_view, 5> written{"^]", "<gs>", "\\u001d", "|", "^"};
  std::string out;
  while (!text.empty()) {
    const auto* found = std::find_if(written.begin(), written.end(), [&](auto form) { return begins(text, form); });
    out += found == written.end() ? text.front() : separator;
    text.remove_prefix(found == written.end() ? 1 : found->size());
  }
  return out;
}

/// "01…17…10…<GS>21…": fixed lengths run on, the others end at a separator.
void split_element_string(std::string_view text, RawPack& pack) {
  bool after_separator = false;
  while (!text.empty()) {
    if (text.front() == separator) {
      if (after_separator) pack.errors.push_back({"", "<GS><GS>", say::one_separator()});
      after_separator = true;
      text.remove_prefix(1);
      continue;
    }
    after_separator = false;
    const auto up_to_separator = text.substr(0, text.find(separator));
    const auto* identifier = identifier_at(text);
    if (!identifier) {
      pack.errors.push_back({"", printable(up_to_separator.substr(0, 24)), say::a_known_identifier_here()});
      text.remove_prefix(up_to_separator.size());
      continue;
    }
    const auto head = identifier->first.size();
    auto value = up_to_separator.substr(std::min(head, up_to_separator.size()));
    if (identifier->predefined) value = value.substr(0, identifier->longest);
    pack.elements.push_back({std::string(text.substr(0, head)), std::string(value)});
    text.remove_prefix(head + value.size());
  }
}

/// The length of "(17)" when `text` begins with such a thing, else 0.
std::size_t bracketed_identifier(std::string_view text) {
  const auto close = text.find(')');
  if (text.empty() || text.front() != '(' || close == text.npos || close < 3 || close > 5) return 0;
  const auto digits = text.substr(1, close - 1);
  return digits.find_first_not_of("0123456789") == digits.npos ? close + 1 : 0;
}

/// "(01)…(17)…(10)…": a bracket that belongs to a value is written \(.
void split_bracketed(std::string_view text, RawPack& pack) {
  while (!text.empty()) {
    const auto head = bracketed_identifier(text);
    if (head == 0) {
      pack.errors.push_back({"", printable(text.substr(0, 24)), say::an_identifier_in_brackets()});
      return;
    }
    RawElement element{std::string(text.substr(1, head - 2)), ""};
    text.remove_prefix(head);
    while (!text.empty() && bracketed_identifier(text) == 0) {
      if (text.front() == '\\' && text.size() > 1 && (text[1] == '(' || text[1] == ')')) text.remove_prefix(1);
      element.value += text.front();
      text.remove_prefix(1);
    }
    pack.elements.push_back(std::move(element));
  }
}

bool is_address(std::string_view text) { return begins(text, "http://") || begins(text, "https://"); }

RawPack refused(std::string_view found, Message expected) {
  return {{}, {{"", printable(found.substr(0, 40)), std::move(expected)}}};
}

/// What a scanner says about the kind of code, and the code itself.
RawPack split_identified(std::string_view text) {
  constexpr std::array<std::string_view, 4> element_strings{"]C1", "]d2", "]Q3", "]e0"};
  const auto kind = text.substr(0, 3);
  const auto data = text.substr(std::min<std::size_t>(3, text.size()));
  if ((kind == "]d1" || kind == "]Q1") && is_address(data)) return split_digital_link(data);
  if (kind == "]E0") return refused(text, say::not_the_retail_code());
  if (std::find(element_strings.begin(), element_strings.end(), kind) == element_strings.end())
    return refused(text, say::a_gs1_code());
  if (data.empty()) return refused(text, say::a_code_not_empty());
  RawPack pack;
  const std::string plain = with_plain_separators(data);
  if (plain.front() == separator)
    pack.errors.push_back({"", printable(plain.substr(0, 24)), say::no_separator_first()});
  split_element_string(plain, pack);
  return pack;
}

}  // namespace

std::string printable(std::string_view bytes) {
  constexpr std::string_view hex = "0123456789ABCDEF";
  std::string out;
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == separator)
      out += "<GS>";
    else if (byte >= 0x20 && byte < 0x7F)
      out += c;
    else
      out += {'<', hex[byte >> 4U], hex[byte & 15U], '>'};
  }
  return out;
}

RawPack split_pack_text(std::string_view text) {
  text = trimmed(text);
  if (text.empty()) return refused(text, say::the_code_on_the_pack());
  if (text.size() > longest_text) return refused(text, say::code_characters_at_most(longest_text));
  if (text.front() == ']') return split_identified(text);
  if (is_address(text)) return split_digital_link(text);
  if (text.front() == '+') return refused(text, say::not_a_hibc_code());
  if (text.front() == '=') return refused(text, say::not_a_blood_code());
  RawPack pack;
  if (text.front() == '(') {
    split_bracketed(text, pack);
    return pack;
  }
  std::string plain = with_plain_separators(text);
  if (plain.front() == separator) plain.erase(0, 1);  // some scanners send the code's start mark as a separator
  split_element_string(plain, pack);
  if (pack.elements.empty() && pack.errors.empty()) return refused(text, say::the_code_on_the_pack());
  return pack;
}

}  // namespace dwell::supply
