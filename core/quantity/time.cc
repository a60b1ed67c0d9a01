#include "quantity/time.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "quantity/unit_names.h"
#include "say/quantity.h"

namespace dwell {
namespace {

Date make_date(int year, int month, int day) {
  return Date{std::chrono::year{year}, std::chrono::month{static_cast<unsigned>(month)},
              std::chrono::day{static_cast<unsigned>(day)}};
}

/// With zeros before it up to that width.
void write(std::string& text, long long number, std::size_t width) {
  std::array<char, 20> digits{};
  const auto* end = std::to_chars(digits.begin(), digits.end(), number).ptr;
  const auto size = static_cast<std::size_t>(end - digits.begin());
  if (size < width) text.append(width - size, '0');
  text.append(digits.begin(), size);
}

void write(std::string& text, Date d) {
  write(text, static_cast<int>(d.year()), 4);
  text += '-';
  write(text, static_cast<unsigned>(d.month()), 2);
  text += '-';
  write(text, static_cast<unsigned>(d.day()), 2);
}

/// Walks ISO 8601 text of fixed widths. A stream would do it too, at the price of all locales in the browser's engine.
class Digits {
 public:
  explicit Digits(std::string_view text) : rest_(text) {}

  int take(std::size_t count) {
    int number = 0;
    for (std::size_t i = 0; i < count; ++i) {
      if (rest_.empty() || rest_.front() < '0' || rest_.front() > '9') return good_ = false, 0;
      number = number * 10 + (rest_.front() - '0');
      rest_.remove_prefix(1);
    }
    return number;
  }
  void expect(char c) { good_ = next_is(c) && good_; }
  /// ".5", ".123" or nothing; digits beyond the third are dropped.
  int take_milliseconds() {
    if (!next_is('.')) return 0;
    int milliseconds = take(1) * 100;
    for (int scale = 10; !rest_.empty() && rest_.front() >= '0' && rest_.front() <= '9'; scale /= 10)
      milliseconds += take(1) * scale;
    return milliseconds;
  }
  /// "Z" or "+01:00", in minutes.
  int take_offset() {
    if (next_is('Z')) return 0;
    const int sign = next_is('+') ? 1 : next_is('-') ? -1 : 0;
    const int hours = take(2);
    expect(':');
    const int minutes = take(2);
    good_ = good_ && sign != 0 && hours <= 14 && minutes <= 59;
    return sign * (hours * 60 + minutes);
  }
  [[nodiscard]] bool good_to_the_end() const { return good_ && rest_.empty(); }

 private:
  bool next_is(char c) {
    if (rest_.empty() || rest_.front() != c) return false;
    rest_.remove_prefix(1);
    return true;
  }
  std::string_view rest_;
  bool good_ = true;
};

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

struct IntervalUnit {
  std::string_view name;
  Interval length;
};
constexpr std::array<IntervalUnit, 5> interval_units{{{"wk", Interval{604800}},
                                                      {"d", Interval{86400}},
                                                      {"h", Interval{3600}},
                                                      {"min", Interval{60}},
                                                      {"s", Interval{1}}}};

}  // namespace

Interval to_interval(Duration duration) {
  // Ten thousand years either way: beyond it a moment could not be counted in milliseconds any more.
  constexpr double longest = 3.2e11;
  const double seconds = in(duration, second);
  if (std::isnan(seconds)) return Interval{0};
  return Interval{std::llround(std::clamp(seconds, -longest, longest))};
}

Interval between(Instant a, Instant b) { return std::chrono::floor<Interval>(b - a); }

Checked<Instant> parse_instant(std::string_view text) {
  const auto refused = [&] { return refuse("", std::string(text), say::a_moment_such_as()); };
  Digits digits(text);
  const int year = digits.take(4);
  digits.expect('-');
  const int month = digits.take(2);
  digits.expect('-');
  const int day = digits.take(2);
  digits.expect('T');
  const int hour = digits.take(2);
  digits.expect(':');
  const int minute = digits.take(2);
  digits.expect(':');
  const int second = digits.take(2);
  const int millisecond = digits.take_milliseconds();
  const auto offset = digits.take_offset();
  const Date date = make_date(year, month, day);
  if (!digits.good_to_the_end() || !date.ok() || hour > 23 || minute > 59 || second > 59) return refused();
  // The offset may carry a moment over the end of a year, so the moment is held against the bounds, not its text.
  const Instant moment = Instant(std::chrono::sys_days(date)) + std::chrono::hours(hour) +
                         std::chrono::minutes(minute - offset) + std::chrono::seconds(second) +
                         std::chrono::milliseconds(millisecond);
  if (moment < first_moment || moment > last_moment) return refused();
  return moment;
}

std::string iso(Instant instant) {
  const auto day = std::chrono::floor<std::chrono::days>(instant);
  const auto ms = (instant - day).count();
  std::string text;
  text.reserve(sizeof "2026-11-25T08:00:00.000Z");
  write(text, utc_date(instant));
  text += 'T';
  write(text, ms / 3'600'000, 2);
  text += ':';
  write(text, ms / 60'000 % 60, 2);
  text += ':';
  write(text, ms / 1000 % 60, 2);
  text += '.';
  write(text, ms % 1000, 3);
  text += 'Z';
  return text;
}

Checked<Date> parse_date(std::string_view text) {
  Digits digits(text);
  const int year = digits.take(4);
  digits.expect('-');
  const int month = digits.take(2);
  digits.expect('-');
  const int day = digits.take(2);
  const Date date = make_date(year, month, day);
  if (!digits.good_to_the_end() || !date.ok()) return refuse("", std::string(text), say::a_date_such_as());
  return date;
}

std::string iso(Date d) {
  std::string text;
  write(text, d);
  return text;
}

std::string show(Date d) {
  constexpr std::array<const char*, 12> months{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                               "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  if (!d.ok()) return "unknown date";
  return std::to_string(static_cast<unsigned>(d.day())) + " " + months.at(static_cast<unsigned>(d.month()) - 1) + " " +
         std::to_string(static_cast<int>(d.year()));
}

std::string show_local(Instant instant, std::chrono::minutes utc_offset) {
  const Instant local = instant + utc_offset;
  return show(utc_date(local)) + " " + iso(local).substr(11, 5);
}

Checked<double> parse_seconds(std::string_view text, DecimalSign sign) {
  const auto refused = [&] { return refuse("", std::string(text), say::a_time_such_as()); };
  std::string_view rest = trimmed(text);
  if (rest.find_first_of("0123456789") == std::string_view::npos) return refused();
  double sum = 0, direction = 1;
  const IntervalUnit* before = nullptr;
  while (!rest.empty()) {
    const auto number = leading_number(rest, sign);
    if (!number && rest.find_first_of("0123456789") == std::string_view::npos) return refused();
    if (!number) return refuse("", std::string(text), number.error().front().expected);
    // A minus sign stands before the whole: "-3 h 25 min" is 3 h 25 min less.
    if (before && number->value < 0) return refused();
    if (!before && (rest.front() == '-' || number->value < 0)) direction = -1;
    rest = trimmed(rest.substr(number->length));
    const auto letters =
        rest.substr(0, static_cast<std::size_t>(std::find_if_not(rest.begin(), rest.end(), is_letter) - rest.begin()));
    const auto* unit = std::find_if(interval_units.begin(), interval_units.end(),
                                    [&](const IntervalUnit& u) { return u.name == ucum_of_word(letters); });
    if (unit == interval_units.end() || (before && unit <= before)) return refused();
    before = unit;
    sum += std::abs(number->value) * static_cast<double>(unit->length.count());
    rest = trimmed(rest.substr(letters.size()));
  }
  if (!std::isfinite(sum)) return refuse("", std::string(text), say::a_countable_number());
  return direction * sum;
}

Checked<Interval> parse_interval(std::string_view text, DecimalSign sign) {
  const auto seconds = parse_seconds(text, sign);
  if (!seconds) return refuse(seconds.error());
  if (*seconds < 0 || *seconds > static_cast<double>(longest_interval.count()) ||
      std::abs(*seconds - std::round(*seconds)) > 1e-6)
    return refuse("", std::string(text), say::a_time_such_as());
  return Interval{std::llround(*seconds)};
}

std::vector<message::Part> parts_of(Interval interval) {
  std::vector<message::Part> parts;
  const std::string sign = interval < Interval{0} ? "-" : "";
  if (interval < Interval{0}) interval = -interval;
  std::size_t looked_at = 0;
  for (const auto& unit : interval_units) {
    if (unit.name == "wk") continue;
    const auto whole = interval / unit.length;
    if (whole == 0 && looked_at == 0 && unit.name != "s") continue;
    if (whole != 0 || looked_at == 0)
      parts.push_back({(parts.empty() ? sign : "") + std::to_string(whole), std::string(unit.name)});
    interval -= whole * unit.length;
    if (++looked_at == 2) break;
  }
  return parts;
}

std::string show(Interval interval) {
  std::string text;
  for (const auto& part : parts_of(interval)) text += (text.empty() ? "" : " ") + part.digits + " " + part.unit;
  return text;
}

int age_in_months(Date birth, Date today) {
  int months =
      (static_cast<int>(today.year()) - static_cast<int>(birth.year())) * 12 +
      (static_cast<int>(static_cast<unsigned>(today.month())) - static_cast<int>(static_cast<unsigned>(birth.month())));
  if (today.day() < birth.day()) --months;
  return months;
}

int age_in_years(Date birth, Date today) {
  const int months = age_in_months(birth, today);
  return months >= 0 ? months / 12 : (months - 11) / 12;
}

Date utc_date(Instant instant) { return Date{std::chrono::floor<std::chrono::days>(instant)}; }

}  // namespace dwell
