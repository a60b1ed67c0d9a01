#pragma once
// Events for tests: a short way to write a history, and a generator of every kind of event from its description.
#include <string>
#include <vector>

#include "line/event.h"

namespace dwell::test {

inline const Instant start = *parse_instant("2026-11-25T08:00:00Z");
inline constexpr std::string_view line_id = "019abb2c-1111-7111-8111-111111111111";

/// A well-formed id whose order is that of `number`.
[[nodiscard]] inline std::string id(unsigned number) {
  return line::make_id(
      start, {0, 0, 0, 0, 0, 0, static_cast<std::uint8_t>(number >> 24), static_cast<std::uint8_t>(number >> 16),
              static_cast<std::uint8_t>(number >> 8), static_cast<std::uint8_t>(number)});
}

[[nodiscard]] inline Instant after(std::chrono::minutes minutes) { return start + minutes; }

/// The history of one line, entry by entry; ids rise, recorded as it happened.
class History {
 public:
  template <class Fact>
  History& at(std::chrono::minutes minutes, Fact fact) {
    line::Event event;
    event.id = id(static_cast<unsigned>(events.size()) + 1);
    event.line = line_id;
    event.occurred_at = event.recorded_at = after(minutes);
    event.author = "R. Ode";
    event.device = "tablet 1";
    event.body = std::move(fact);
    events.push_back(std::move(event));
    return *this;
  }
  /// The last entry corrects the entry with this place in the history (first is 1).
  History& correcting(unsigned number) {
    events.back().corrects = id(number);
    return *this;
  }
  History& because(std::string reason) {
    events.back().deviation_reason = std::move(reason);
    return *this;
  }
  std::vector<line::Event> events;
};

[[nodiscard]] inline line::Opened opened() {
  line::Opened fact;
  fact.patient.number = "1007";
  fact.patient.family = "Marsh";
  fact.patient.given = "Ada";
  fact.patient.birth_date = Date{std::chrono::year{1961} / 3 / 3};
  fact.patient.can_report_pain = true;
  fact.place = {"Hill Hospital", "Ward 3", "12"};
  return fact;
}

[[nodiscard]] inline line::Placed placed() {
  line::Placed fact;
  fact.site = {access::Side::left, access::Region::forearm_middle, "cephalic"};
  fact.gauge = Gauge{22};
  fact.length = 25.0 * millimetre;
  fact.inserter = "R. Ode";
  fact.antiseptic = "chlorhexidine_alcohol";
  fact.dried_for = std::chrono::seconds{30};
  fact.blood_return = true;
  fact.flushed = 5.0 * millilitre;
  return fact;
}

[[nodiscard]] inline line::InfusionStarted infusion(double millilitres_per_hour = 125,
                                                    std::string base = "sodium chloride 0.9 %") {
  line::InfusionStarted fact;
  fact.mixture.base = std::move(base);
  fact.mixture.volume = 1.0 * litre;
  fact.flow = millilitres_per_hour * millilitre / hour;
  return fact;
}

[[nodiscard]] inline line::SiteChecked checked(int grade) {
  line::SiteChecked fact;
  fact.signs.assessed = true;
  if (grade > 0) fact.signs.present = {site::Sign::pain, site::Sign::redness};
  fact.grades = {{"phlebitis 0 to 4", "2", grade, false}};
  return fact;
}

[[nodiscard]] inline line::Flushed flushed(bool locks) {
  line::Flushed fact;
  fact.fluid = "sodium chloride 0.9 %";
  fact.volume = 5.0 * millilitre;
  fact.locks = locks;
  return fact;
}

[[nodiscard]] inline line::Removed removed() {
  line::Removed fact;
  fact.reason = line::RemovalReason::therapy_complete;
  fact.length_found = 25.0 * millimetre;
  fact.tip_whole = true;
  fact.pressed_for = std::chrono::minutes{3};
  fact.bleeding_stopped = true;
  fact.signs.assessed = true;
  fact.remover = "R. Ode";
  return fact;
}

[[nodiscard]] inline line::AfterChecked after_checked(int grade, bool healed) {
  line::AfterChecked fact;
  fact.signs.assessed = true;
  fact.grades = {{"phlebitis 0 to 4", "2", grade, false}};
  fact.healed = healed;
  return fact;
}

// ---- generated, for properties (invented/any_event.cc) ----

[[nodiscard]] std::string any_text();
/// One moment of few, so that ties in time are common.
[[nodiscard]] Instant any_moment();
/// Entry `number` of a history; now and then it corrects another one, which may be missing or come later.
[[nodiscard]] line::Event any_event(unsigned number, unsigned of);
[[nodiscard]] std::vector<line::Event> any_history();
/// The same entries in another order, some of them twice.
[[nodiscard]] std::vector<line::Event> shuffled_with_repeats(const std::vector<line::Event>& events);

}  // namespace dwell::test
