#pragma once
// One walk over every text that a described thing holds, with the rule that its type declares for it. A member added
// later is met from its first day.
#include <boost/describe.hpp>
#include <boost/mp11.hpp>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "text/text_rule.h"

namespace dwell::text {

/// Where in the thing we are; written out only when it is asked for.
struct Trail {
  const Trail* parent = nullptr;
  std::string_view member;
  std::size_t index = 0;
  [[nodiscard]] std::string path() const {
    if (!parent) return std::string(member);
    return parent->path() + "/" + (member.empty() ? std::to_string(index) : std::string(member));
  }
};

template <class T>
struct Texts {
  template <class Thing, class Visit>
  static void each(Thing& value, Rule, const Trail& trail, const Visit& visit) {
    if constexpr (boost::describe::has_describe_members<T>::value && std::is_class_v<T>) {
      using Members =
          boost::describe::describe_members<T, boost::describe::mod_public | boost::describe::mod_inherited>;
      boost::mp11::mp_for_each<Members>([&](auto member) {
        using M = std::remove_cvref_t<decltype(value.*member.pointer)>;
        Texts<M>::each(value.*member.pointer, rule_of<T>(member.pointer), Trail{&trail, member.name, 0}, visit);
      });
    }
  }
};

template <>
struct Texts<std::string> {
  template <class Thing, class Visit>
  static void each(Thing& value, Rule rule, const Trail& trail, const Visit& visit) {
    visit(value, rule, trail);
  }
};

template <class T>
struct Texts<std::optional<T>> {
  template <class Thing, class Visit>
  static void each(Thing& value, Rule rule, const Trail& trail, const Visit& visit) {
    if (value) Texts<T>::each(*value, rule, trail, visit);
  }
};

template <class T>
struct Texts<std::vector<T>> {
  template <class Thing, class Visit>
  static void each(Thing& values, Rule rule, const Trail& trail, const Visit& visit) {
    for (std::size_t i = 0; i < values.size(); ++i) Texts<T>::each(values[i], rule, Trail{&trail, {}, i}, visit);
  }
};

/// The keys of an open set are names.
template <class K, class T>
struct Texts<std::map<K, T>> {
  template <class Thing, class Visit>
  static void each(Thing& values, Rule rule, const Trail& trail, const Visit& visit) {
    for (auto& [key, value] : values) {
      if constexpr (std::is_same_v<K, std::string>) {
        const Trail here{&trail, key, 0};
        visit(key, Rule::name, here);
        Texts<T>::each(value, rule, here, visit);
      } else {
        Texts<T>::each(value, rule, trail, visit);
      }
    }
  }
};

template <class... A>
struct Texts<std::variant<A...>> {
  template <class Thing, class Visit>
  static void each(Thing& value, Rule rule, const Trail& trail, const Visit& visit) {
    std::visit([&](auto& held) { Texts<std::remove_cvref_t<decltype(held)>>::each(held, rule, trail, visit); }, value);
  }
};

/// Calls visit(text, rule, trail) for each text in `value`, which visit may change when `value` may be changed.
template <class Thing, class Visit>
void each_text(Thing& value, const Visit& visit) {
  Texts<std::remove_cv_t<Thing>>::each(value, Rule::note, Trail{}, visit);
}

/// Adds an error for each text in `value` that breaks its rule; paths begin with `path`.
template <class T>
void check_texts(const std::string& path, const T& value, FieldErrors& errors) {
  each_text(value, [&](const std::string& text, Rule rule, const Trail& trail) {
    const auto before = errors.size();
    check({}, text, rule, errors);
    for (auto i = before; i < errors.size(); ++i) errors[i].path = path + trail.path();
  });
}

}  // namespace dwell::text
