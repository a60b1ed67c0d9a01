#pragma once
// Any value of a type, made from its description: a new field or kind is generated from its first day.
#include <rapidcheck.h>

#include "json/codec.h"
#include "line/test_events.h"

namespace dwell::test {

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

extern template line::Body any<line::Body>();  // of every kind: large, and compiled once, in any_event.cc

}  // namespace dwell::test
