#include "policy/policy.h"

#include <array>
#include <cmath>

#include "json/codec.h"
#include "policy/each_figure.h"
#include "quantity/display.h"
#include "say/policy.h"

namespace dwell::policy {
namespace {

using json::Object;
using json::Value;

/// Every figure and every source of the policy, found in its JSON form: whatever carries a mark says where it is from.
void check_sources(const Value& value, const std::string& path, FieldErrors& errors) {
  if (const Object* object = value.if_object()) {
    for (const char* name : {"source", "text"}) {
      const Value* text = object->contains("mark") ? object->if_contains(name) : nullptr;
      if (text && text->is_string() && text->as_string().empty())
        errors.push_back({path + "/" + name, "", say::where_the_figure_comes_from()});
    }
    for (const auto& member : *object) check_sources(member.value(), path + "/" + std::string(member.key()), errors);
  } else if (value.is_array()) {
    std::size_t i = 0;
    for (const auto& item : value.as_array()) check_sources(item, path + "/" + std::to_string(i++), errors);
  }
}

class Checker {
 public:
  template <class T>
  void rises(const char* path, const Figure<T>& low, const Figure<T>& high) {
    if (!(low.value <= high.value)) fault(path, show_any(high.value), say::figure_at_least(shown_any(low.value)));
  }
  /// The bounds of every figure: those of its kind, or the exception that names it.
  template <class T>
  void bound(const std::string& path, const Figure<T>& figure);
  void fault(std::string path, std::string found, Message expected) {
    errors_.push_back({std::move(path), std::move(found), std::move(expected)});
  }
  [[nodiscard]] FieldErrors take() { return std::move(errors_); }

 private:
  template <class T>
  static std::string show_any(const T& value) {
    if constexpr (std::is_arithmetic_v<T>)
      return show_number(static_cast<double>(value));
    else
      return show(value);
  }
  template <class T>
  static message::Quantity shown_any(const T& value) {
    if constexpr (std::is_arithmetic_v<T>)
      return shown_number(static_cast<double>(value));
    else
      return shown(value);
  }
  FieldErrors errors_;
};

/// From low, itself only where `closed`, to high.
template <class T>
struct Bounds {
  T low{}, high{};
  bool closed = false;
};

const Ratio whole = Ratio::from_value(1.0);

/// What no ward means, by kind: a slip of the pen, a lost unit. Above 0 in all of them. A kind that is not named here
/// is held above 0 alone.
template <class T>
std::optional<Bounds<T>> usual() {
  using std::chrono::days;
  if constexpr (std::is_same_v<T, Interval>) return Bounds<T>{Interval{0}, days{60}};
  if constexpr (std::is_same_v<T, Length>) return Bounds<T>{Length(), 3.0 * metre};
  if constexpr (std::is_same_v<T, Ratio>) return Bounds<T>{Ratio{}, whole};
  if constexpr (std::is_same_v<T, Volume>) return Bounds<T>{Volume(), 50.0 * millilitre};
  if constexpr (std::is_same_v<T, Flow>) return Bounds<T>{Flow(), Flow(250.0 * millilitre / minute)};
  if constexpr (std::is_same_v<T, Pressure>) return Bounds<T>{Pressure(), 300.0 * millimetre_of_mercury};
  if constexpr (std::is_same_v<T, Osmolarity>) return Bounds<T>{Osmolarity(), 3000.0 * milliosmole_per_litre};
  if constexpr (std::is_same_v<T, FlowPerMass>) return Bounds<T>{T(), 500.0 * millilitre / kilogram / hour};
  if constexpr (std::is_same_v<T, VolumePerMass>) return Bounds<T>{T(), 500.0 * millilitre / kilogram};
  if constexpr (std::is_same_v<T, Amount>) return Bounds<T>{T(), 10.0 * mole};
  if constexpr (std::is_same_v<T, AmountRate>) return Bounds<T>{T(), 1000.0 * millimole / hour};
  if constexpr (std::is_same_v<T, AmountRatePerMass>) return Bounds<T>{T(), 100.0 * millimole / kilogram / hour};
  if constexpr (std::is_same_v<T, AmountConcentration>) return Bounds<T>{T(), 10'000.0 * millimole / litre};
  if constexpr (std::is_same_v<T, MassConcentration>) return Bounds<T>{T(), 2.0 * gram / millilitre};
  if constexpr (std::is_same_v<T, MassRate>) return Bounds<T>{T(), 10.0 * gram / minute};
  if constexpr (std::is_same_v<T, MassRatePerMass>) return Bounds<T>{T(), 1.0 * gram / kilogram / minute};
  if constexpr (std::is_same_v<T, int>) return Bounds<T>{0, 150};
  if constexpr (std::is_same_v<T, double>) return Bounds<T>{0.0, 100.0};
  return std::nullopt;
}

/// Figures whose bounds differ from those of their kind; `path` is the whole of it, or ends in "/" and begins it.
template <class T>
struct Exception {
  std::string_view path;
  Bounds<T> bounds;
};

template <class T>
std::vector<Exception<T>> exceptions() {
  using std::chrono::days;
  if constexpr (std::is_same_v<T, Interval>)
    return {{"/record/keep_closed", {Interval{0}, days{36525}}},
            {"/practice/valid_for", {Interval{0}, days{3653}}},
            {"/remove/stays_listed", {days{14}, days{366}, true}},  // nothing is off the list before it was looked for
            {"/place/antiseptics/", {Interval{0}, days{730}}},      // an age among them
            {"/place/topical_anaesthetics/", {Interval{0}, days{5844}}}};
  if constexpr (std::is_same_v<T, Pressure>)
    return {{"/gravity/venous_pressure", {-10.0 * millimetre_of_mercury, 100.0 * millimetre_of_mercury, true}},
            {"/gravity/sleeve_shift", {-200.0 * millimetre_of_mercury, 200.0 * millimetre_of_mercury, true}},
            {"/gravity/sleeve_spread", {Pressure(), 200.0 * millimetre_of_mercury, true}},
            {"/gravity/venous_spread", {Pressure(), 200.0 * millimetre_of_mercury, true}}};
  if constexpr (std::is_same_v<T, Volume>) return {{"/order/largest_syringe", {Volume(), 100.0 * millilitre}}};
  if constexpr (std::is_same_v<T, Flow>)
    return {{"/gravity/ward_set/", {20.0 * millilitre / minute, 2.0 * litre / minute, true}},
            {"/gravity/wide_set/", {20.0 * millilitre / minute, 2.0 * litre / minute, true}}};
  if constexpr (std::is_same_v<T, Length>) return {{"/remove/length_tolerance", {Length(), 5.0 * millimetre, true}}};
  if constexpr (std::is_same_v<T, Ratio>)
    return {{"/gravity/bedside_factor_high", {Ratio{}, 2.0 * whole}},
            {"/gravity/rig_spread", {Ratio{}, whole, true}},
            {"/order/child/dose_fluid_most", {Ratio{}, 0.5 * whole}},
            {"/gravity/ward_set/laminar_share", {0.02 * whole, 0.98 * whole, true}},
            {"/gravity/wide_set/laminar_share", {0.02 * whole, 0.98 * whole, true}},
            {"/hydration/dehydration/", {Ratio{}, 0.3 * whole}}};
  if constexpr (std::is_same_v<T, double>)
    return {{"/vessel/insertion_angle_degrees", {1, 60, true}},
            {"/vessel/insertion_angle_degrees_older", {1, 60, true}},
            {"/infusate/lowest_ph", {0, 14, true}},
            {"/infusate/highest_ph", {0, 14, true}},
            {"/practice/least_share", {0, 1}},
            {"/choice/region_preference/", {0, 1, true}},
            {"/choice/weight_gauge", {0, 100, true}},
            {"/choice/weight_region", {0, 100, true}},
            {"/choice/weight_ratio", {0, 100, true}},
            {"/choice/weight_share", {0, 100, true}},
            {"/choice/weight_flow", {0, 100, true}},
            {"/choice/weight_side", {0, 100, true}}};
  return {};
}

template <class T>
std::optional<Bounds<T>> bounds_of(std::string_view path) {
  for (const auto& one : exceptions<T>())
    if (path == one.path || (one.path.ends_with('/') && path.starts_with(one.path))) return one.bounds;
  return usual<T>();
}

template <class T>
void Checker::bound(const std::string& path, const Figure<T>& figure) {
  if constexpr (std::is_same_v<T, Wording>) {
    if (figure.value.empty()) fault(path + "/value", "", say::words_needed());
  } else if constexpr (std::is_same_v<T, bool> || std::is_enum_v<T>) {
    return;
  } else if constexpr (requires { figure.value.size(); }) {
    if (figure.value.empty()) fault(path + "/value", "", say::at_least_one());
  } else {
    const auto bounds = bounds_of<T>(path);
    const T low = bounds ? bounds->low : T{};
    const bool above = bounds && bounds->closed ? figure.value >= low : figure.value > low;
    if (above && (!bounds || figure.value <= bounds->high)) return;
    const auto least = shown_any(low);
    if (!bounds) return fault(path, show_any(figure.value), say::figure_above(least));
    const auto most = shown_any(bounds->high);
    fault(path, show_any(figure.value),
          bounds->closed ? say::figure_from_to(least, most) : say::figure_above_to(least, most));
  }
}

void check_place(const Place& place, Checker& check) {
  check.rises("/place/tourniquet_farthest", place.tourniquet_nearest, place.tourniquet_farthest);
  check.rises("/place/attempts_in_all", place.attempts_per_clinician, place.attempts_in_all);
  if (!place.antiseptics.contains(place.usual_antiseptic))
    check.fault("/place/usual_antiseptic", place.usual_antiseptic, say::an_antiseptic_of_the_policy());
  for (const auto& [key, anaesthetic] : place.topical_anaesthetics)
    if (anaesthetic.longest)
      check.rises(("/place/topical_anaesthetics/" + key + "/longest").c_str(), anaesthetic.dwell, *anaesthetic.longest);
  for (const auto& [band, age] : place.ages)
    if (age.first_flush && line::is_child(band)) check.rises("/place/first_flush", *age.first_flush, place.first_flush);
}

void check_vessel(const Vessel& vessel, Checker& check) {
  check.rises("/vessel/highest_ratio", vessel.good_ratio, vessel.highest_ratio);
  check.rises("/vessel/target_share_in_vein", vessel.least_share_in_vein, vessel.target_share_in_vein);
}

/// The class that is worse from a strength at least as high.
void check_solutes(const std::vector<infusate::SoluteHarm>& rules, Checker& check) {
  for (std::size_t i = 0; i < rules.size(); ++i) {
    const auto& rule = rules[i];
    const std::string path = "/infusate/harm_by_solute/" + std::to_string(i);
    if (rule.solutes.empty()) check.fault(path + "/solutes", "", say::at_least_one_name());
    if (rule.irritant_from && rule.vesicant_from)
      check.rises((path + "/vesicant_from").c_str(), *rule.irritant_from, *rule.vesicant_from);
    if (rule.irritant_from_mass && rule.vesicant_from_mass)
      check.rises((path + "/vesicant_from_mass").c_str(), *rule.irritant_from_mass, *rule.vesicant_from_mass);
  }
}

void check_infusate(const InfusateLimits& limits, Checker& check) {
  check.rises("/infusate/highest_osmolarity", limits.caution_osmolarity, limits.highest_osmolarity);
  check.rises("/infusate/highest_ph", limits.lowest_ph, limits.highest_ph);
  check.rises("/infusate/longest_longer_peripheral", limits.longest_short_peripheral, limits.longest_longer_peripheral);
  if (limits.lowest_osmolarity)
    check.rises("/infusate/caution_osmolarity", *limits.lowest_osmolarity, limits.caution_osmolarity);
  check_solutes(limits.harm_by_solute, check);
}

void check_bodies(const OrderLimits& limits, Checker& check) {
  for (const auto& [band, of_age] : limits.by_age) {
    const std::string path = "/order/by_age/" + std::string(json::name_of(band));
    const auto& flow_caution = of_age.flow_caution ? *of_age.flow_caution : limits.caution_flow_per_mass;
    check.rises((path + "/flow_stop").c_str(), flow_caution, of_age.flow_stop);
    check.rises((path + "/glucose_stop").c_str(), of_age.glucose_caution, of_age.glucose_stop);
  }
  if (!limits.child) return;
  check.rises("/order/child/potassium_rate_stop", limits.child->potassium_rate_caution,
              limits.child->potassium_rate_stop);
}

void check_order(const OrderLimits& limits, Checker& check) {
  check.rises("/order/maintenance_high", limits.maintenance_low, limits.maintenance_high);
  check.rises("/order/maintenance_high_frail", limits.maintenance_low_frail, limits.maintenance_high_frail);
  check.rises("/order/potassium_rate_stop", limits.potassium_rate_caution, limits.potassium_rate_stop);
  check.rises("/order/potassium_concentration_stop", limits.potassium_concentration_caution,
              limits.potassium_concentration_stop);
  check_bodies(limits, check);
}

void check_hydration(const Hydration& hydration, Checker& check) {
  check.rises("/hydration/measured_dehydrated", hydration.measured_impending, hydration.measured_dehydrated);
  check.rises("/hydration/sodium_change_stop", hydration.sodium_change_caution, hydration.sodium_change_stop);
  check.rises("/hydration/sodium_change_stop_two_days", hydration.sodium_change_stop,
              hydration.sodium_change_stop_two_days);
  check.rises("/hydration/overload_stop", hydration.overload_caution, hydration.overload_stop);
  for (std::size_t i = 0; i < hydration.dehydration.size(); ++i) {
    const auto& grade = hydration.dehydration[i];
    const std::string path = "/hydration/dehydration/" + std::to_string(i);
    if (grade.name.empty()) check.fault(path + "/name", "", say::what_this_grade_is_called());
    if (!(grade.most.value >= grade.least.value))
      check.fault(path + "/most", show(grade.most.value), say::figure_at_least(shown(grade.least.value)));
  }
}

void check_difficulty(const DifficultyScale& scale, const std::string& path, Checker& check) {
  if (scale.name.empty()) check.fault(path + "/name", "", say::what_records_call_this_scale());
  if (scale.credit.empty()) check.fault(path + "/credit", "", say::whose_scale_it_is());
  if (scale.items.empty()) check.fault(path + "/items", "", say::at_least_one_item());
  for (std::size_t i = 0; i < scale.items.size(); ++i)
    if (scale.items[i].answers.size() < 2)
      check.fault(path + "/items/" + std::to_string(i) + "/answers", std::to_string(scale.items[i].answers.size()),
                  say::two_answers_or_more());
  if (scale.bands.empty() || scale.bands.front().from != 0)
    check.fault(path + "/bands", scale.bands.empty() ? "" : std::to_string(scale.bands.front().from),
                say::bands_that_rise_from_0());
  for (std::size_t b = 1; b < scale.bands.size(); ++b)
    if (scale.bands[b].from <= scale.bands[b - 1].from)
      check.fault(path + "/bands/" + std::to_string(b) + "/from", std::to_string(scale.bands[b].from),
                  say::bands_that_rise());
}

void check_access(const Access& access, Checker& check) {
  if (access.vein_saving_stop)
    check.rises("/access/vein_saving_filtration", *access.vein_saving_stop, access.vein_saving_filtration);
  for (std::size_t i = 0; i < access.difficulty.size(); ++i)
    check_difficulty(access.difficulty[i], "/access/difficulty/" + std::to_string(i), check);
}

/// A set is a middle and two bounds about it, or its middle alone.
void check_set(const std::string& path, const GivingSet& set, Checker& check) {
  if (set.open_flow_low.has_value() != set.open_flow_high.has_value())
    check.fault(path + "/open_flow_low", show((set.open_flow_low ? set.open_flow_low : set.open_flow_high)->value),
                say::both_bounds_or_none());
  if (set.open_flow_low && set.open_flow)
    check.rises((path + "/open_flow").c_str(), *set.open_flow_low, *set.open_flow);
  if (set.open_flow_high && set.open_flow)
    check.rises((path + "/open_flow_high").c_str(), *set.open_flow, *set.open_flow_high);
}

void check_gravity(const Gravity& gravity, Checker& check) {
  if (gravity.ward_set) check_set("/gravity/ward_set", *gravity.ward_set, check);
  if (gravity.wide_set) check_set("/gravity/wide_set", *gravity.wide_set, check);
}

void check_watch(const Watch& watch, Checker& check) {
  for (const auto kind : {SiteCheckClass::adult_infusing, SiteCheckClass::cannot_report, SiteCheckClass::child,
                          SiteCheckClass::vesicant, SiteCheckClass::flexion_site, SiteCheckClass::locked})
    if (!watch.site_check.contains(kind))
      check.fault("/watch/site_check/" + std::string(json::name_of(kind)), "", say::an_interval_for_this_class());
  // Who is looked at oftener because more can go wrong is never looked at less often.
  const auto no_rarer = [&](SiteCheckClass oftener, SiteCheckClass usual) {
    const auto a = watch.site_check.find(oftener), b = watch.site_check.find(usual);
    if (a != watch.site_check.end() && b != watch.site_check.end() && a->second.value > b->second.value)
      check.fault("/watch/site_check/" + std::string(json::name_of(oftener)), show(a->second.value),
                  say::interval_at_most_as_class(b->second.value, usual));
  };
  no_rarer(SiteCheckClass::vesicant, SiteCheckClass::adult_infusing);
  no_rarer(SiteCheckClass::cannot_report, SiteCheckClass::adult_infusing);
  no_rarer(SiteCheckClass::child, SiteCheckClass::adult_infusing);
  no_rarer(SiteCheckClass::infant, SiteCheckClass::child);
  no_rarer(SiteCheckClass::neonate, SiteCheckClass::infant);
  no_rarer(SiteCheckClass::child_locked, SiteCheckClass::locked);
}

void check_remove(const Remove& remove, Checker& check) {
  constexpr Interval floor{30};
  if (remove.pressure.value < floor)
    check.fault("/remove/pressure", show(remove.pressure.value), say::no_policy_presses_for_less(floor));
  check.rises("/remove/pressure_anticoagulant", remove.pressure, remove.pressure_anticoagulant);
}

void check_gauges(const std::string& path, const Figure<std::vector<Gauge>>& figure, Checker& check) {
  for (const Gauge gauge : figure.value)
    if (gauge.number < 14 || gauge.number > 26) check.fault(path + "/value", show(gauge), say::gauge_14_to_26());
}

void check_choice(const Choice& choice, Checker& check) {
  for (const auto& [band, figure] : choice.preferred_gauges)
    check_gauges("/choice/preferred_gauges/" + std::string(json::name_of(band)), figure, check);
  if (choice.preferred_gauges_large_bore)
    check_gauges("/choice/preferred_gauges_large_bore", *choice.preferred_gauges_large_bore, check);
  const double sum = choice.weight_gauge.value + choice.weight_region.value + choice.weight_ratio.value +
                     choice.weight_share.value + choice.weight_flow.value + choice.weight_side.value;
  if (!(sum > 0)) check.fault("/choice", show_number(sum), say::at_least_one_weight_above_0());
}

/// A grade that no signs can reach is a grade that will never be given.
void check_grade(const site::GradeCriteria& grade, const std::string& here, const Policy& policy, Checker& check) {
  if (grade.count && (*grade.count < 1 || *grade.count > static_cast<int>(grade.count_of.size())))
    check.fault(here + "/count", std::to_string(*grade.count), say::one_to_the_number_counted());
  if (!grade.count && !grade.count_of.empty()) check.fault(here + "/count", "", say::how_many_must_be_present());
  if (grade.swelling_from && grade.swelling_below && !(*grade.swelling_from < *grade.swelling_below))
    check.fault(here + "/swelling_below", show(*grade.swelling_below), say::figure_above(shown(*grade.swelling_from)));
  // "leak" opens the card of what ran: leak_harmless, leak_irritant, …
  if (grade.advice && *grade.advice != "leak" && !policy.responses.contains(*grade.advice))
    check.fault(here + "/advice", *grade.advice, say::a_response_or_leak());
}

void check_scales(const Policy& policy, Checker& check) {
  if (policy.scales.empty()) check.fault("/scales", "", say::at_least_one_scale_in_force());
  for (std::size_t s = 0; s < policy.scales.size(); ++s) {
    const auto& scale = policy.scales[s];
    const std::string path = "/scales/" + std::to_string(s);
    if (scale.name.empty()) check.fault(path + "/name", "", say::what_records_call_this_scale());
    if (scale.version.empty()) check.fault(path + "/version", "", say::a_version());
    if (scale.credit.empty()) check.fault(path + "/credit", "", say::whose_scale_it_is());
    if (scale.grades.empty()) check.fault(path + "/grades", "", say::grades_that_rise());
    for (std::size_t g = 0; g < scale.grades.size(); ++g) {
      const std::string here = path + "/grades/" + std::to_string(g);
      if (g > 0 && scale.grades[g].grade <= scale.grades[g - 1].grade)
        check.fault(here + "/grade", std::to_string(scale.grades[g].grade), say::grades_that_rise());
      check_grade(scale.grades[g], here, policy, check);
    }
  }
}

/// Opened by name from site/grade.cc, procedure/ and the page.
constexpr std::array needed_responses{"phlebitis_watch",
                                      "phlebitis_remove",
                                      "phlebitis_treat",
                                      "leak_harmless",
                                      "leak_irritant",
                                      "leak_vesicant_vasopressor",
                                      "leak_vesicant_hyperosmolar",
                                      "leak_vesicant_alkaline_warm",
                                      "leak_vesicant_alkaline_cold",
                                      "leak_vesicant_acidic",
                                      "leak_vesicant_other",
                                      "leak_unknown",
                                      "nerve_pain",
                                      "haematoma",
                                      "occlusion",
                                      "dislodgement",
                                      "infection",
                                      "compartment",
                                      "pressure_injury",
                                      "air_embolism",
                                      "catheter_fragment",
                                      "arterial_entry"};

void check_follow_up(const FollowUp& follow_up, const std::string& path, Checker& check) {
  if (follow_up.text.empty()) check.fault(path + "/text", "", say::what_is_looked_at());
  if (follow_up.every.has_value() != follow_up.until.has_value())
    check.fault(path + "/until", follow_up.until ? show(follow_up.until->value) : "",
                say::every_and_until_or_neither());
  if (!follow_up.every && !follow_up.at) check.fault(path, "", say::every_and_until_or_at());
  if (follow_up.every && follow_up.until) check.rises((path + "/until").c_str(), *follow_up.every, *follow_up.until);
  if (!follow_up.at) return;
  Interval before{0};
  for (const Interval moment : follow_up.at->value) {
    if (moment <= before) check.fault(path + "/at/value", show(moment), say::moments_that_rise());
    before = moment;
  }
  if (follow_up.at->value.empty()) check.fault(path + "/at/value", "", say::at_least_one_moment());
}

void check_answering(const Answering& answering, const std::string& path, const Policy& policy, Checker& check) {
  if (answering.acts)
    for (const auto& act : *answering.acts)
      if (act.name.empty() || act.text.empty())
        check.fault(path + "/acts", act.name, say::each_act_with_name_and_words());
  if (answering.also_answers)
    for (const auto& name : *answering.also_answers)
      if (!policy.responses.contains(name)) check.fault(path + "/also_answers", name, say::a_response_of_the_policy());
  if (answering.follow_up)
    for (std::size_t i = 0; i < answering.follow_up->size(); ++i)
      check_follow_up((*answering.follow_up)[i], path + "/follow_up/" + std::to_string(i), check);
}

void check_responses(const Policy& policy, Checker& check) {
  for (const char* name : needed_responses)
    if (!policy.responses.contains(name)) check.fault(std::string("/responses/") + name, "", say::this_response());
  for (const auto& [name, card] : policy.responses) {
    if (card.steps.empty()) check.fault("/responses/" + name + "/steps", "", say::what_to_do_first());
    if (card.answering) check_answering(*card.answering, "/responses/" + name + "/answering", policy, check);
  }
}

/// A rule that no signs can meet, or that every site meets, says nothing.
void check_region_rules(const Policy& policy, Checker& check) {
  if (!policy.region_rules) return;
  for (std::size_t i = 0; i < policy.region_rules->size(); ++i) {
    const auto& rule = (*policy.region_rules)[i];
    const std::string path = "/region_rules/" + std::to_string(i);
    if (rule.regions.empty()) check.fault(path + "/regions", "", say::where_it_holds());
    if (rule.all_of.empty() && rule.any_of.empty()) check.fault(path + "/any_of", "", say::at_least_one_sign());
    if (!policy.responses.contains(rule.card)) check.fault(path + "/card", rule.card, say::a_response_of_the_policy());
  }
}

}  // namespace

FieldErrors check(const Policy& policy) {
  Checker check;
  each_figure(policy, "", [&](const std::string& path, const auto& figure) { check.bound(path, figure); });
  check_place(policy.place, check);
  check_vessel(policy.vessel, check);
  check_infusate(policy.infusate, check);
  check_order(policy.order, check);
  check_hydration(policy.hydration, check);
  check_access(policy.access, check);
  check_gravity(policy.gravity, check);
  check_watch(policy.watch, check);
  check_remove(policy.remove, check);
  check_choice(policy.choice, check);
  check_scales(policy, check);
  check_responses(policy, check);
  check_region_rules(policy, check);
  FieldErrors errors = check.take();
  check_sources(json::encode(policy), "", errors);
  return errors;
}

}  // namespace dwell::policy
