#pragma once
// Walks a described value to every figure in it, wherever it stands. So what holds for all figures is said once, and a
// figure that somebody adds later is not forgotten.
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "json/codec.h"
#include "quantity/figure.h"

namespace dwell::policy {

template <class T>
struct is_figure : std::false_type {};
template <class T>
struct is_figure<Figure<T>> : std::true_type {};

/// Calls see(path, figure) for each Figure<T> inside `value`; `see` takes any T. Paths are those of the JSON form.
template <class T, class See>
void each_figure(const T& value, const std::string& path, See&& see);

template <class T, class See>
void each_figure_of(const std::optional<T>& value, const std::string& path, See&& see) {
  if (value) each_figure(*value, path, see);
}
template <class T, class See>
void each_figure_of(const std::vector<T>& value, const std::string& path, See&& see) {
  for (std::size_t i = 0; i < value.size(); ++i) each_figure(value[i], path + "/" + std::to_string(i), see);
}
template <class K, class T, class See>
void each_figure_of(const std::map<K, T>& value, const std::string& path, See&& see) {
  for (const auto& [key, item] : value) {
    std::string here = path;
    here += '/';
    if constexpr (std::is_enum_v<K>)
      here += json::name_of(key);
    else
      here += key;
    each_figure(item, here, see);
  }
}
template <class T, class See>
void each_figure_of(const T& value, const std::string& path, See&& see) {
  if constexpr (json::DescribedStruct<T>)
    boost::mp11::mp_for_each<json::members_of<T>>(
        [&](auto member) { each_figure(value.*member.pointer, path + "/" + member.name, see); });
}

template <class T, class See>
void each_figure(const T& value, const std::string& path, See&& see) {
  if constexpr (is_figure<T>::value)
    see(path, value);
  else
    each_figure_of(value, path, see);
}

}  // namespace dwell::policy
