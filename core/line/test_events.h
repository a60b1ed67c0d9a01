#pragma once
// Events for tests: a short way to write a history, and a generator of every kind of event from its description.
#include <rapidcheck.h>

#include "json/codec.h"
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

// ---- a generator made from the description, so that a new field or kind is generated from its first day ----

template <class T>
[[nodiscard]] T any();

template <class T>
struct AnyList : std::false_type {};
template <class T>
struct AnyList<std::vector<T>> : std::true_type {
  static std::vector<T> make() {
    std::vector<T> out(*rc::gen::inRange<std::size_t>(0, 3));
    for (auto& item : out) item = any<T>();
    return out;
  }
};

template <class T>
struct AnyOf : std::false_type {};
template <class... A>
struct AnyOf<std::variant<A...>> : std::true_type {
  static std::variant<A...> make() {
    std::variant<A...> out;
    const auto chosen = *rc::gen::inRange<std::size_t>(0, sizeof...(A));
    boost::mp11::mp_with_index<sizeof...(A)>(
        chosen, [&](auto index) { out = any<boost::mp11::mp_at_c<std::variant<A...>, index>>(); });
    return out;
  }
};

[[nodiscard]] inline std::string any_text() {
  return *rc::gen::element<std::string>("", "sodium chloride 0.9 %", "as ordered", "quote \" and \\ slash", "π ≈ 3 mL",
                                        "R. Ode");
}

template <class T>
T any() {
  if constexpr (json::is_optional<T>::value) {
    if (*rc::gen::arbitrary<bool>()) return any<typename T::value_type>();
    return std::nullopt;
  } else if constexpr (AnyList<T>::value) {
    return AnyList<T>::make();
  } else if constexpr (AnyOf<T>::value) {
    return AnyOf<T>::make();
  } else if constexpr (QuantityType<T>) {
    const UnitName& unit = unit_names(KindOf<T>::value).front();
    return T::from_value(static_cast<double>(*rc::gen::inRange(1, 2000)) / 8 * unit.si);
  } else if constexpr (boost::describe::has_describe_enumerators<T>::value) {
    std::vector<T> all;
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<T>>([&](auto d) { all.push_back(d.value); });
    return *rc::gen::elementOf(all);
  } else if constexpr (std::is_same_v<T, std::string>) {
    return any_text();
  } else if constexpr (std::is_same_v<T, bool>) {
    return *rc::gen::arbitrary<bool>();
  } else if constexpr (std::is_same_v<T, int>) {
    return *rc::gen::inRange(0, 5);
  } else if constexpr (std::is_same_v<T, double>) {
    return static_cast<double>(*rc::gen::inRange(0, 4000)) / 8;
  } else if constexpr (std::is_same_v<T, Gauge>) {
    return Gauge{*rc::gen::inRange(14, 27)};
  } else if constexpr (std::is_same_v<T, Interval>) {
    return Interval{*rc::gen::inRange(0, 100000)};
  } else if constexpr (std::is_same_v<T, Instant>) {
    return after(std::chrono::minutes{*rc::gen::inRange(0, 24) * 30});
  } else if constexpr (std::is_same_v<T, Date>) {
    return utc_date(start + std::chrono::hours{24 * *rc::gen::inRange(-20000, 2000)});
  } else {
    T out{};
    boost::mp11::mp_for_each<json::members_of<T>>([&](auto member) {
      using M = std::remove_cvref_t<decltype(out.*member.pointer)>;
      out.*member.pointer = any<M>();
    });
    return out;
  }
}

/// One moment of few, so that ties in time are common.
[[nodiscard]] inline Instant any_moment() { return after(std::chrono::minutes{*rc::gen::inRange(0, 8) * 30}); }

/// Entry `number` of a history; now and then it corrects another one, which may be missing or come later.
[[nodiscard]] inline line::Event any_event(unsigned number, unsigned of) {
  line::Event event;
  event.id = id(number);
  event.line = line_id;
  event.occurred_at = any_moment();
  event.recorded_at = any_moment();
  event.author = any_text();
  event.device = any_text();
  if (*rc::gen::inRange(0, 3) == 0) event.corrects = id(*rc::gen::inRange(1u, of + 2));
  event.deviation_reason = any<std::optional<std::string>>();
  event.body = any<line::Body>();
  return event;
}

[[nodiscard]] inline std::vector<line::Event> any_history() {
  const auto length = *rc::gen::inRange(1u, 12u);
  std::vector<line::Event> events;
  for (unsigned i = 1; i <= length; ++i) events.push_back(any_event(i, length));
  return events;
}

/// The same entries in another order, some of them twice.
[[nodiscard]] inline std::vector<line::Event> shuffled_with_repeats(const std::vector<line::Event>& events) {
  std::vector<line::Event> out = events;
  const auto repeats = *rc::gen::inRange<std::size_t>(0, 4);
  for (std::size_t i = 0; i < repeats; ++i) out.push_back(events[*rc::gen::inRange<std::size_t>(0, events.size())]);
  for (std::size_t i = out.size(); i > 1; --i) std::swap(out[i - 1], out[*rc::gen::inRange<std::size_t>(0, i)]);
  return out;
}

}  // namespace dwell::test
