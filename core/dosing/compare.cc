// Two people's entries of one order, compared as values.
#include <algorithm>
#include <cmath>
#include <map>

#include "dosing/order.h"
#include "json/codec.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/dosing.h"

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

/// The one text of an order is its prescriber.
Message entered(const std::string& prescriber) {
  return prescriber.empty() ? say::not_given() : say::prescriber(prescriber);
}
Message entered(Purpose purpose) { return say::purpose(purpose); }
Message entered(Interval interval) { return say::quantity(shown(interval)); }
template <QuantityType Q>
Message entered(Q quantity) {
  return say::quantity(shown(quantity));
}
template <class T>
Message entered(const std::optional<T>& value) {
  return value ? entered(*value) : say::not_given();
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
  const auto whole = [](const Place& place) { return say::part_with_volume(place.name, place.volume); };
  for (const auto& [name, place] : a) {
    const auto other = b.find(name);
    if (other == b.end())
      out.push_back({place.path, whole(place), say::not_given()});
    else if (!same(place.volume, other->second.volume))
      out.push_back({place.path + "/volume", whole(place), whole(other->second)});
  }
  for (const auto& [name, place] : b)
    if (!a.contains(name)) out.push_back({place.path, say::not_given(), whole(place)});
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
      out.push_back({std::string("/") + member.name, entered(a), entered(b)});
  });
  return out;
}

}  // namespace dwell::dosing
