// Two people's entries of one order, compared as values.
#include <algorithm>
#include <cmath>
#include <map>

#include "dosing/order.h"
#include "json/codec.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

// Units make binary noise, no more; a real difference is far above it.
constexpr double noise = 1e-9;

template <class T>
bool same(const T& a, const T& b) {
  if constexpr (QuantityType<T>)
    return std::abs(a.value() - b.value()) <= noise * std::max(std::abs(a.value()), std::abs(b.value()));
  else
    return a == b;
}
template <class T>
bool same(const std::optional<T>& a, const std::optional<T>& b) {
  return a.has_value() == b.has_value() && (!a || same(*a, *b));
}

std::string said(const std::string& text) { return text.empty() ? "not given" : text; }
std::string said(Purpose purpose) { return std::string(json::name_of(purpose)); }
std::string said(Interval interval) { return show(interval); }
template <QuantityType Q>
std::string said(Q quantity) {
  return show(quantity);
}
template <class T>
std::string said(const std::optional<T>& value) {
  return value ? said(*value) : "not given";
}

/// Where a part stands in the entry: "/mixture" for the base, "/mixture/additives/1" for another.
struct Place {
  std::string path, name;
  Volume volume;
};

/// Each part of an entry once, by the name that the ward's list gives it.
std::map<std::string, Place> places_of(const infusate::Mixture& mixture, const infusate::Formulary& formulary) {
  std::map<std::string, Place> places;
  const auto add = [&](const std::string& path, const std::string& written, Volume volume) {
    const auto* listed = infusate::find(formulary, written);
    const auto [place, is_new] =
        places.try_emplace(infusate::plain_name(listed ? listed->name : written), Place{path, written, volume});
    if (!is_new) place->second.volume += volume;
  };
  add("/mixture", mixture.base, mixture.volume);
  for (std::size_t i = 0; i < mixture.additives.size(); ++i)
    add("/mixture/additives/" + std::to_string(i), mixture.additives[i].name, mixture.additives[i].volume);
  return places;
}

void compare_mixtures(const infusate::Mixture& first, const infusate::Mixture& second,
                      const infusate::Formulary& formulary, std::vector<Disagreement>& out) {
  const auto a = places_of(first, formulary), b = places_of(second, formulary);
  const auto whole = [](const Place& place) { return place.name + " " + show(place.volume); };
  for (const auto& [name, place] : a) {
    const auto other = b.find(name);
    if (other == b.end())
      out.push_back({place.path, whole(place), "not given"});
    else if (!same(place.volume, other->second.volume))
      out.push_back({place.path + "/volume", whole(place), whole(other->second)});
  }
  for (const auto& [name, place] : b)
    if (!a.contains(name)) out.push_back({place.path, "not given", whole(place)});
}

}  // namespace

std::vector<Disagreement> compare_orders(const Order& first, const Order& second,
                                         const infusate::Formulary& formulary) {
  std::vector<Disagreement> out;
  // Every member, so that one that is added is compared too.
  boost::mp11::mp_for_each<json::members_of<Order>>([&](auto member) {
    const auto& a = first.*member.pointer;
    const auto& b = second.*member.pointer;
    if constexpr (std::is_same_v<std::remove_cvref_t<decltype(a)>, infusate::Mixture>)
      compare_mixtures(a, b, formulary, out);
    else if (!same(a, b))
      out.push_back({std::string("/") + member.name, said(a), said(b)});
  });
  return out;
}

}  // namespace dwell::dosing
