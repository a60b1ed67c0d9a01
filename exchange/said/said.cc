#include "exchange/said/said.h"

#include <unicode/msgfmt.h>

#include <algorithm>
#include <iterator>

#include "exchange/said/language.h"

namespace dwell::said {
namespace {

const Language& language_of(std::string_view key) {
  const auto all = languages();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Language& one) { return one.key == key; });
  if (found != all.end()) return *found;
  return *std::find_if(all.begin(), all.end(), [](const Language& one) { return one.key == "en"; });
}

const Pair* find(std::span<const Pair> pairs, std::string_view key) {
  const auto found = std::lower_bound(pairs.begin(), pairs.end(), key,
                                      [](const Pair& pair, std::string_view wanted) { return pair.key < wanted; });
  return found != pairs.end() && found->key == key ? &*found : nullptr;
}

/// Puts what stands in `filled` in the places of a display's pattern: "{day} {month} {year}".
std::string fill(std::string_view pattern, std::initializer_list<std::pair<std::string_view, std::string>> filled) {
  std::string text(pattern);
  for (const auto& [name, value] : filled) {
    const std::string place = "{" + std::string(name) + "}";
    if (const auto at = text.find(place); at != std::string::npos) text.replace(at, place.size(), value);
  }
  return text;
}

icu::UnicodeString utf16(std::string_view text) {
  return icu::UnicodeString::fromUTF8(icu::StringPiece(text.data(), static_cast<std::int32_t>(text.size())));
}

std::string utf8(const icu::UnicodeString& text) {
  std::string out;
  return text.toUTF8String(out);
}

/// The display of one language for one reader.
struct Display {
  const Language& language;
  const Reader& reader;

  [[nodiscard]] std::string digits(std::string text) const {
    if (reader.decimal_sign == DecimalSign::comma) std::replace(text.begin(), text.end(), '.', ',');
    return text;
  }
  [[nodiscard]] std::string written(std::string_view pattern, Date date) const {
    if (!date.ok()) return std::string(language.unknown);
    return fill(pattern, {{"day", std::to_string(static_cast<unsigned>(date.day()))},
                          {"month", std::string(language.months.at(static_cast<unsigned>(date.month()) - 1))},
                          {"year", std::to_string(static_cast<int>(date.year()))}});
  }
  [[nodiscard]] std::string day(Date date) const { return written(language.day, date); }

  std::string operator()(const message::Quantity& quantity) const {
    std::string text;
    for (const auto& part : quantity.parts) {
      if (part.digits.empty()) return std::string(language.unknown);
      const Pair* unit = find(language.units, part.unit);
      text += (text.empty() ? "" : " ") + digits(part.digits) + (part.unit.empty() ? "" : " ") +
              (unit ? std::string(unit->text) : part.unit);
    }
    return text;
  }
  std::string operator()(const message::Count& count) const { return count.digits; }
  std::string operator()(const message::Moment& moment) const {
    const Instant local = moment.at + reader.utc_offset(moment.at);
    const Date date = utc_date(local);
    const std::string time = iso(local).substr(11, 5);
    if (reader.sheet_of) {
      const Date of_sheet = utc_date(*reader.sheet_of + reader.utc_offset(*reader.sheet_of));
      if (date == of_sheet) return time;
      if (date.year() == of_sheet.year())
        return fill(language.moment, {{"day", written(language.day_of_year, date)}, {"time", time}});
    }
    return fill(language.moment, {{"day", day(date)}, {"time", time}});
  }
  std::string operator()(const message::Day& day_of) const { return day(day_of.date); }
  std::string operator()(const message::Enumerator& enumerator) const { return enumerator.name; }
  std::string operator()(const message::OwnWords& own) const { return own.words; }
  std::string operator()(const message::ListedName& listed) const {
    const auto title = reader.title_of(listed.name);
    return title ? (*this)(*title) : listed.name;
  }
  std::string operator()(const Wording& wording) const {
    const auto read = read_in(language.key, wording);
    return read.instead.empty() ? read.text : "[" + read.instead + "] " + read.text;
  }
  std::string operator()(const message::Messages& messages) const {
    const auto between = messages.join == message::Join::list ? language.list : language.sentences;
    std::string text;
    for (std::size_t i = 0; i < messages.all.size(); ++i)
      text += std::string(i ? between : std::string_view()) + said(messages.all[i], reader);
    return text;
  }
};

/// What the pattern is filled with: a count chooses its plural by the number and is shown by its digits.
struct Filling {
  std::vector<icu::UnicodeString> names;
  std::vector<icu::Formattable> values;

  Filling(const Message& message, const Display& display) {
    for (const auto& [name, value] : message.arguments()) {
      const auto text = utf16(std::visit(display, value));
      if (const auto* count = std::get_if<message::Count>(&value)) {
        add(name, icu::Formattable(count->count));
        add(name + "_shown", icu::Formattable(text));
      } else {
        add(name, icu::Formattable(text));
      }
    }
  }
  void add(const std::string& name, icu::Formattable value) {
    names.push_back(utf16(name));
    values.push_back(std::move(value));
  }
};

}  // namespace

bool is_language(std::string_view key) {
  const auto all = languages();
  return std::any_of(all.begin(), all.end(), [&](const Language& one) { return one.key == key; });
}

std::string languages_listed() {
  std::string text;
  for (const auto& one : languages())
    if (one.key.find('-') == std::string_view::npos) text += (text.empty() ? "" : ", ") + std::string(one.key);
  return text;
}

std::string said(const Message& message, const Reader& reader) {
  if (message.empty()) return {};
  const Language* language = &language_of(reader.language);
  const Pair* pattern = find(language->patterns, message.id());
  if (!pattern) {
    language = &language_of("en");
    pattern = find(language->patterns, message.id());
  }
  if (!pattern) return "[" + message.id() + "]";
  const Filling filling(message, Display{*language, reader});
  UErrorCode status = U_ZERO_ERROR;
  const icu::MessageFormat format(utf16(pattern->text), icu::Locale(std::string(language->key).c_str()), status);
  icu::UnicodeString out;
  format.format(filling.names.data(), filling.values.data(), static_cast<std::int32_t>(filling.names.size()), out,
                status);
  return U_SUCCESS(status) ? utf8(out) : "[" + message.id() + "]";
}

std::string in_english(const Message& message) { return said(message, Reader{}); }

}  // namespace dwell::said
