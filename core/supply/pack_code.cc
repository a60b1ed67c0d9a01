#include "supply/pack_code.h"

#include <algorithm>
#include <array>
#include <stdexcept>

#include "say/supply.h"
#include "supply/identifiers.h"
#include "supply/pack_text.h"

namespace dwell::supply {
namespace {

const Source gs1{"GS1 General Specifications and Barcode Syntax Dictionary, sources.md#gs1", Mark::secondary};

bool all_digits(std::string_view text) { return text.find_first_not_of("0123456789") == text.npos; }
int two_digits(std::string_view text, std::size_t at) { return (text[at] - '0') * 10 + (text[at + 1] - '0'); }

/// The century that lies nearest: 49 years back to 50 ahead.
std::chrono::year full_year(int two_digit, Date today) {
  const int this_year = static_cast<int>(today.year());
  const int apart = two_digit - this_year % 100;
  const int century = this_year - this_year % 100 + (apart >= 51 ? -100 : apart <= -50 ? 100 : 0);
  return std::chrono::year{century + two_digit};
}

/// The date in the first six of `digits`, or nothing when there is no such day. Day 00 is the month's last, if allowed.
std::optional<Date> date_in(std::string_view digits, bool last_day_as_00, Date today) {
  if (digits.size() < 6 || !all_digits(digits.substr(0, 6))) return std::nullopt;
  const auto month = full_year(two_digits(digits, 0), today) / two_digits(digits, 2);
  if (!month.ok()) return std::nullopt;
  const int day = two_digits(digits, 4);
  if (day == 0 && last_day_as_00) return Date{month / std::chrono::last};
  const Date date = month / day;
  return date.ok() ? std::optional(date) : std::nullopt;
}

bool is_clock_time(std::string_view digits) {
  constexpr std::array<int, 3> below{24, 60, 60};
  if (digits.size() % 2 != 0) return false;
  for (std::size_t part = 0; 2 * part < digits.size(); ++part)
    if (two_digits(digits, 2 * part) >= below.at(part)) return false;
  return true;
}

Message length_of(const Identifier& identifier, Off off) {
  const auto least = static_cast<std::int64_t>(identifier.shortest);
  const auto most = static_cast<std::int64_t>(identifier.longest);
  if (identifier.content == Content::digits)
    return least == most ? say::so_many_digits(most, off) : say::digits_from_to(least, most, off);
  return least == most ? say::so_many_characters(most, off) : say::characters_from_to(least, most, off);
}

class Judging {
 public:
  Judging(RawPack raw, Date today) : raw_(std::move(raw)), today_(today) { errors_ = std::move(raw_.errors); }

  [[nodiscard]] Checked<PackCode> result() {
    for (const auto& element : raw_.elements) take(element);
    if (errors_.empty() || !pack_.elements.empty()) pair();
    if (!errors_.empty()) return refuse(std::move(errors_));
    fill();
    return std::move(pack_);
  }

 private:
  void fault(const RawElement& element, Message expected) {
    errors_.push_back({"/" + element.identifier, printable(element.value), std::move(expected)});
  }

  [[nodiscard]] const Element* find(std::string_view identifier) const {
    const auto& all = pack_.elements;
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const Element& e) { return e.identifier == identifier; });
    return found == all.end() ? nullptr : &*found;
  }

  void take(const RawElement& element) {
    const auto* identifier = identifier_named(element.identifier);
    if (!identifier) return fault(element, say::a_known_identifier());
    if (const auto* before = find(element.identifier)) {
      if (before->value != element.value) fault(element, say::same_value_as_before(printable(before->value)));
      return;
    }
    if (check_form(element, *identifier)) check_meaning(element, *identifier);
    pack_.elements.push_back({element.identifier, say::element_title(identifier->title), element.value});
  }

  [[nodiscard]] bool check_form(const RawElement& element, const Identifier& identifier) {
    const auto& value = element.value;
    const bool digits = identifier.content == Content::digits;
    const auto size = value.size();
    if (size < identifier.shortest || size > identifier.longest) {
      fault(element, length_of(identifier, size > identifier.longest ? Off::too_long : Off::too_short));
      return false;
    }
    if (digits && !all_digits(value)) {
      fault(element, say::digits_only());
      return false;
    }
    if (value.find_first_not_of(characters_82) != value.npos) {
      fault(element, say::code_characters_only("! \" % & ' ( ) * + , - . / : ; < = > ? _"));
      return false;
    }
    return true;
  }

  void check_meaning(const RawElement& element, const Identifier& identifier) {
    const std::string_view value = element.value;
    if (const auto at = identifier.check_digit_at; at > 0) {
      const int expected = gs1_check_digit(value.substr(0, at - 1));
      if (value[at - 1] - '0' != expected) fault(element, say::this_check_digit(expected));
    }
    if (identifier.check_pair && check_pair_for(value.substr(0, value.size() - 2)) != value.substr(value.size() - 2))
      fault(element, say::other_check_characters());
    const auto moment = identifier.moment;
    if (moment == Moment::none) return;
    if (!date_in(value, moment == Moment::day, today_))
      fault(element, moment == Moment::day ? say::a_date_yymmdd_or_00() : say::a_date_yymmdd());
    else if (moment != Moment::day && !is_clock_time(value.substr(6)))
      fault(element, say::a_time_after_the_date());
  }

  /// What must not stand together is a fault. What needs a partner is only told: the partner may be in the pack's other
  /// code.
  void pair() {
    for (const auto& element : pack_.elements) {
      const auto* identifier = identifier_named(element.identifier);
      each_word(identifier->forbids, [&](std::string_view other) {
        if (find(other))
          errors_.push_back({"/" + element.identifier, "(" + element.identifier + ") (" + std::string(other) + ")",
                             say::not_both_on_one_pack()});
      });
      check_partners(element, identifier->needs);
    }
  }

  void check_partners(const Element& element, std::string_view groups) {
    while (!groups.empty()) {
      const auto group = groups.substr(0, groups.find('|'));
      groups.remove_prefix(std::min(group.size() + 1, groups.size()));
      bool found = false;
      each_word(group, [&](std::string_view other) { found = found || find(other); });
      if (!found)
        pack_.findings.push_back({Severity::caution, "partner_missing", say::stands_alone(element.title), gs1});
    }
  }

  template <class Use>
  static void each_word(std::string_view words, Use use) {
    while (!words.empty()) {
      const auto word = words.substr(0, words.find(' '));
      use(word);
      words.remove_prefix(std::min(word.size() + 1, words.size()));
    }
  }

  void fill() {
    const auto value = [&](std::string_view identifier) -> std::optional<std::string> {
      const auto* element = find(identifier);
      return element ? std::optional(element->value) : std::nullopt;
    };
    pack_.gtin = value("01");
    pack_.lot = value("10");
    pack_.serial = value("21");
    if (const auto produced = value("11")) pack_.produced = date_in(*produced, true, today_);
    if (const auto expiry = value("17")) {
      pack_.expiry = date_in(*expiry, true, today_);
      pack_.expiry_printed = *expiry;
    } else if (const auto timed = value("7003")) {
      pack_.expiry = date_in(*timed, false, today_);
      pack_.expiry_printed = timed->substr(0, 6);
    }
    for (const auto& element : pack_.elements) warn_of_hidden_expiry(element);
  }

  /// Without its separator a lot swallows what follows. That cannot be proven, only suspected.
  void warn_of_hidden_expiry(const Element& element) {
    const auto* identifier = identifier_named(element.identifier);
    constexpr std::size_t tail = 8;  // 17 and six digits
    if (identifier->content != Content::text || element.value.size() <= tail) return;
    const auto end = std::string_view(element.value).substr(element.value.size() - tail);
    if (!end.starts_with("17")) return;
    const auto expiry = date_in(end.substr(2), true, today_);
    if (!expiry) return;
    pack_.findings.push_back(
        {Severity::caution, "separator_missing", say::ends_like_an_expiry(element.title, element.value, *expiry), gs1});
  }

  RawPack raw_;
  Date today_;
  PackCode pack_;
  FieldErrors errors_;
};

}  // namespace

int gs1_check_digit(std::string_view digits) {
  if (!all_digits(digits)) throw std::invalid_argument("a check digit is of digits only");
  int sum = 0;
  for (std::size_t i = 0; i < digits.size(); ++i) sum += (digits[digits.size() - 1 - i] - '0') * (i % 2 == 0 ? 3 : 1);
  return (10 - sum % 10) % 10;
}

Checked<PackCode> read_pack_code(std::string_view text, Date today) {
  if (!today.ok()) return refuse("/today", iso(today), say::todays_date());
  return Judging(split_pack_text(text), today).result();
}

}  // namespace dwell::supply
