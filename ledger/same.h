#pragma once
// Whether two described things are the very same in every member that is described. What is the same is written alike:
// a codec writes what is described, and nothing else decides about its text.
#include <boost/describe.hpp>
#include <boost/mp11.hpp>
#include <cstddef>
#include <map>
#include <optional>
#include <type_traits>
#include <variant>
#include <vector>

#include "json/codec.h"

namespace dwell::ledger {

template <class T>
struct Same {
  static bool of(const T& a, const T& b) {
    if constexpr (std::is_class_v<T> && boost::describe::has_describe_members<T>::value) {
      using Members =
          boost::describe::describe_members<T, boost::describe::mod_public | boost::describe::mod_inherited>;
      bool same = true;
      boost::mp11::mp_for_each<Members>([&](auto member) {
        using M = std::remove_cvref_t<decltype(a.*member.pointer)>;
        same = same && Same<M>::of(a.*member.pointer, b.*member.pointer);
      });
      return same;
    } else {
      return a == b;
    }
  }
};

template <class T>
struct Same<std::optional<T>> {
  static bool of(const std::optional<T>& a, const std::optional<T>& b) {
    return a.has_value() == b.has_value() && (!a || Same<T>::of(*a, *b));
  }
};

template <class T>
struct Same<std::vector<T>> {
  static bool of(const std::vector<T>& a, const std::vector<T>& b) {
    bool same = a.size() == b.size();
    for (std::size_t i = 0; same && i < a.size(); ++i) same = Same<T>::of(a[i], b[i]);
    return same;
  }
};

template <class K, class T>
struct Same<std::map<K, T>> {
  static bool of(const std::map<K, T>& a, const std::map<K, T>& b) {
    bool same = a.size() == b.size();
    for (auto one = a.begin(), other = b.begin(); same && one != a.end(); ++one, ++other)
      same = one->first == other->first && Same<T>::of(one->second, other->second);
    return same;
  }
};

/// JSON as it is written: numbers that are equal may be written in two ways.
template <>
struct Same<json::Value> {
  static bool of(const json::Value& a, const json::Value& b) { return json::to_text(a) == json::to_text(b); }
};

template <class... A>
struct Same<std::variant<A...>> {
  static bool of(const std::variant<A...>& a, const std::variant<A...>& b) {
    return a.index() == b.index() && boost::mp11::mp_with_index<sizeof...(A)>(a.index(), [&](auto index) {
             using Held = std::variant_alternative_t<index, std::variant<A...>>;
             return Same<Held>::of(std::get<index>(a), std::get<index>(b));
           });
  }
};

template <class T>
[[nodiscard]] bool is_same(const T& a, const T& b) {
  return Same<T>::of(a, b);
}

}  // namespace dwell::ledger
