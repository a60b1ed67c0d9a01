#include "policy/policy.h"

#include <array>

#include "json/codec.h"
#include "quantity/display.h"

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
        errors.push_back({path + "/" + name, "", "where this figure comes from, or \"common practice, no source\""});
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
    if (!(low.value <= high.value)) fault(path, show_any(high.value), "at least " + show_any(low.value));
  }
  template <class T>
  void positive(const std::string& path, const Figure<T>& figure) {
    if (!(figure.value > T{})) fault(path, show_any(figure.value), "above 0");
  }
  template <class T>
  void within(const std::string& path, const Figure<T>& figure, T low, T high) {
    if (!(figure.value >= low && figure.value <= high))
      fault(path, show_any(figure.value), show_any(low) + " to " + show_any(high));
  }
  void fault(std::string path, std::string found, std::string expected) {
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
  FieldErrors errors_;
};

const Ratio whole = Ratio::from_value(1.0);

void check_place(const Place& place, Checker& check) {
  check.positive("/place/tourniquet_nearest", place.tourniquet_nearest);
  check.rises("/place/tourniquet_farthest", place.tourniquet_nearest, place.tourniquet_farthest);
  check.positive("/place/tourniquet_longest", place.tourniquet_longest);
  check.positive("/place/attempts_per_clinician", place.attempts_per_clinician);
  check.rises("/place/attempts_in_all", place.attempts_per_clinician, place.attempts_in_all);
  check.positive("/place/first_flush", place.first_flush);
  if (!place.antiseptics.contains(place.usual_antiseptic))
    check.fault("/place/usual_antiseptic", place.usual_antiseptic, "one of the antiseptics named in this policy");
  for (const auto& [key, antiseptic] : place.antiseptics) {
    const std::string path = "/place/antiseptics/" + key;
    if (antiseptic.scrub) check.positive(path + "/scrub", *antiseptic.scrub);
    if (antiseptic.dry) check.positive(path + "/dry", *antiseptic.dry);
  }
  for (const auto& [key, anaesthetic] : place.topical_anaesthetics)
    check.positive("/place/topical_anaesthetics/" + key + "/dwell", anaesthetic.dwell);
}

void check_vessel(const Vessel& vessel, Checker& check) {
  const Ratio none{};
  check.within("/vessel/highest_ratio", vessel.highest_ratio, none, whole);
  check.rises("/vessel/highest_ratio", vessel.good_ratio, vessel.highest_ratio);
  check.within("/vessel/target_share_in_vein", vessel.target_share_in_vein, none, whole);
  check.rises("/vessel/target_share_in_vein", vessel.least_share_in_vein, vessel.target_share_in_vein);
  check.positive("/vessel/good_ratio", vessel.good_ratio);
  check.positive("/vessel/least_share_in_vein", vessel.least_share_in_vein);
  check.within("/vessel/insertion_angle_degrees", vessel.insertion_angle_degrees, 1.0, 60.0);
  check.within("/vessel/insertion_angle_degrees_older", vessel.insertion_angle_degrees_older, 1.0, 60.0);
}

void check_infusate(const InfusateLimits& limits, Checker& check) {
  check.positive("/infusate/caution_osmolarity", limits.caution_osmolarity);
  check.rises("/infusate/highest_osmolarity", limits.caution_osmolarity, limits.highest_osmolarity);
  check.within("/infusate/lowest_ph", limits.lowest_ph, 0.0, 14.0);
  check.within("/infusate/highest_ph", limits.highest_ph, 0.0, 14.0);
  check.rises("/infusate/highest_ph", limits.lowest_ph, limits.highest_ph);
  check.positive("/infusate/longest_short_peripheral", limits.longest_short_peripheral);
  check.rises("/infusate/longest_longer_peripheral", limits.longest_short_peripheral, limits.longest_longer_peripheral);
}

void check_order(const OrderLimits& limits, Checker& check) {
  check.positive("/order/highest_flow", limits.highest_flow);
  check.positive("/order/caution_flow_per_mass", limits.caution_flow_per_mass);
  check.positive("/order/caution_flow_older", limits.caution_flow_older);
  check.positive("/order/maintenance_low", limits.maintenance_low);
  check.positive("/order/maintenance_low_frail", limits.maintenance_low_frail);
  check.rises("/order/maintenance_high", limits.maintenance_low, limits.maintenance_high);
  check.rises("/order/maintenance_high_frail", limits.maintenance_low_frail, limits.maintenance_high_frail);
  check.positive("/order/maintenance_ceiling", limits.maintenance_ceiling);
  check.positive("/order/child_ceiling", limits.child_ceiling);
  check.positive("/order/potassium_rate_caution", limits.potassium_rate_caution);
  check.rises("/order/potassium_rate_stop", limits.potassium_rate_caution, limits.potassium_rate_stop);
  check.positive("/order/potassium_concentration_caution", limits.potassium_concentration_caution);
  check.rises("/order/potassium_concentration_stop", limits.potassium_concentration_caution,
              limits.potassium_concentration_stop);
  check.positive("/order/bag_hang", limits.bag_hang);
  check.positive("/order/lipid_hang", limits.lipid_hang);
  check.positive("/order/blood_hang", limits.blood_hang);
  check.positive("/order/blood_first_flow", limits.blood_first_flow);
  check.positive("/order/blood_first_period", limits.blood_first_period);
}

void check_hydration(const Hydration& hydration, Checker& check) {
  check.positive("/hydration/calculated_screen", hydration.calculated_screen);
  check.positive("/hydration/measured_impending", hydration.measured_impending);
  check.rises("/hydration/measured_dehydrated", hydration.measured_impending, hydration.measured_dehydrated);
  check.positive("/hydration/sodium_change_caution", hydration.sodium_change_caution);
  check.rises("/hydration/sodium_change_stop", hydration.sodium_change_caution, hydration.sodium_change_stop);
  check.rises("/hydration/sodium_change_stop_two_days", hydration.sodium_change_stop,
              hydration.sodium_change_stop_two_days);
  check.positive("/hydration/insensible_loss", hydration.insensible_loss);
  check.positive("/hydration/overload_caution", hydration.overload_caution);
  check.rises("/hydration/overload_stop", hydration.overload_caution, hydration.overload_stop);
  check.positive("/hydration/urine_least_adult", hydration.urine_least_adult);
  check.positive("/hydration/urine_least_child", hydration.urine_least_child);
  check.positive("/hydration/deficit_over", hydration.deficit_over);
  for (std::size_t i = 0; i < hydration.dehydration.size(); ++i) {
    const auto& grade = hydration.dehydration[i];
    const std::string path = "/hydration/dehydration/" + std::to_string(i);
    if (grade.name.empty()) check.fault(path + "/name", "", "what this grade is called");
    check.positive(path + "/least", grade.least);
    if (!(grade.most.value >= grade.least.value))
      check.fault(path + "/most", show(grade.most.value), "at least " + show(grade.least.value));
    check.within(path + "/most", grade.most, Ratio{}, 0.3 * whole);
  }
}

void check_difficulty(const DifficultyScale& scale, const std::string& path, Checker& check) {
  if (scale.name.empty()) check.fault(path + "/name", "", "what records call this scale");
  if (scale.credit.empty()) check.fault(path + "/credit", "", "whose scale it is");
  if (scale.items.empty()) check.fault(path + "/items", "none", "at least one item");
  for (std::size_t i = 0; i < scale.items.size(); ++i)
    if (scale.items[i].answers.size() < 2)
      check.fault(path + "/items/" + std::to_string(i) + "/answers", std::to_string(scale.items[i].answers.size()),
                  "two answers or more");
  if (scale.bands.empty() || scale.bands.front().from != 0)
    check.fault(path + "/bands", scale.bands.empty() ? "none" : "from " + std::to_string(scale.bands.front().from),
                "bands that rise from 0");
  for (std::size_t b = 1; b < scale.bands.size(); ++b)
    if (scale.bands[b].from <= scale.bands[b - 1].from)
      check.fault(path + "/bands/" + std::to_string(b) + "/from", std::to_string(scale.bands[b].from),
                  "bands that rise");
}

void check_access(const Access& access, Checker& check) {
  check.within("/access/vein_saving_filtration", access.vein_saving_filtration, Flow(),
               Flow(120.0 * millilitre / minute));
  for (std::size_t i = 0; i < access.difficulty.size(); ++i)
    check_difficulty(access.difficulty[i], "/access/difficulty/" + std::to_string(i), check);
}

void check_gravity(const Gravity& gravity, Checker& check) {
  check.positive("/gravity/bag_height", gravity.bag_height);
  check.positive("/gravity/tubing_bore", gravity.tubing_bore);
  check.positive("/gravity/tubing_length", gravity.tubing_length);
  check.positive("/gravity/bedside_factor", gravity.bedside_factor);
  check.within("/gravity/bedside_factor", gravity.bedside_factor, Ratio{}, whole);
  check.positive("/gravity/bedside_factor_low", gravity.bedside_factor_low);
  check.rises("/gravity/bedside_factor", gravity.bedside_factor_low, gravity.bedside_factor);
  check.rises("/gravity/bedside_factor_high", gravity.bedside_factor, gravity.bedside_factor_high);
  check.within("/gravity/drop_size_tolerance", gravity.drop_size_tolerance, Ratio{}, whole);
  check.within("/gravity/catch_up_limit", gravity.catch_up_limit, Ratio{}, whole);
}

void check_watch(const Watch& watch, Checker& check) {
  for (const auto& [kind, figure] : watch.site_check)
    check.positive("/watch/site_check/" + std::string(json::name_of(kind)), figure);
  for (const auto kind : {SiteCheckClass::adult_infusing, SiteCheckClass::cannot_report, SiteCheckClass::child,
                          SiteCheckClass::vesicant, SiteCheckClass::flexion_site, SiteCheckClass::locked})
    if (!watch.site_check.contains(kind))
      check.fault("/watch/site_check/" + std::string(json::name_of(kind)), "nothing", "an interval for this class");
  check.positive("/watch/film_dressing", watch.film_dressing);
  check.positive("/watch/gauze_dressing", watch.gauze_dressing);
  check.positive("/watch/flush_locked", watch.flush_locked);
  check.positive("/watch/set_continuous", watch.set_continuous);
  check.positive("/watch/set_intermittent", watch.set_intermittent);
  check.positive("/watch/set_blood", watch.set_blood);
  check.positive("/watch/idle", watch.idle);
  check.positive("/watch/emergency_dwell", watch.emergency_dwell);
  if (watch.routine_dwell) check.positive("/watch/routine_dwell", *watch.routine_dwell);
  check.positive("/watch/soon", watch.soon);
  check.positive("/watch/drip_recount", watch.drip_recount);
  check.positive("/watch/add_ons", watch.add_ons);
  check.positive("/watch/trace_after_move", watch.trace_after_move);
  check.positive("/watch/longest_put_off", watch.longest_put_off);
  if (watch.set_lipid) check.positive("/watch/set_lipid", *watch.set_lipid);
  if (watch.set_of)
    for (const auto& [name, every] : *watch.set_of) check.positive("/watch/set_of/" + name, every);
  if (watch.heals_not_before) check.positive("/watch/heals_not_before", *watch.heals_not_before);
}

void check_remove(const Remove& remove, Checker& check) {
  constexpr Interval floor{30};
  if (remove.pressure.value < floor)
    check.fault("/remove/pressure", show(remove.pressure.value), "at least 30 s; no policy may press for less");
  check.rises("/remove/pressure_anticoagulant", remove.pressure, remove.pressure_anticoagulant);
  check.within("/remove/length_tolerance", remove.length_tolerance, Length{}, 5.0 * millimetre);
  check.positive("/remove/after_watch", remove.after_watch);
}

void check_practice(const Practice& practice, Checker& check) {
  check.within("/practice/least_share", practice.least_share, 0.0, 1.0);
  check.positive("/practice/valid_for", practice.valid_for);
  for (const auto& [name, figure] :
       {std::pair{"placing", &practice.placing}, std::pair{"removing", &practice.removing}})
    if (figure->value.empty())
      check.fault(std::string("/practice/") + name + "/value", "none", "the steps that nobody may miss");
}

void check_gauges(const std::string& path, const Figure<std::vector<Gauge>>& figure, Checker& check) {
  if (figure.value.empty()) check.fault(path + "/value", "none", "at least one gauge, best first");
  for (const Gauge gauge : figure.value)
    if (gauge.number < 14 || gauge.number > 26) check.fault(path + "/value", show(gauge), "14 to 26 gauge");
}

void check_choice(const Choice& choice, Checker& check) {
  for (const auto& [band, figure] : choice.preferred_gauges)
    check_gauges("/choice/preferred_gauges/" + std::string(json::name_of(band)), figure, check);
  if (choice.preferred_gauges_large_bore)
    check_gauges("/choice/preferred_gauges_large_bore", *choice.preferred_gauges_large_bore, check);
  for (const auto& [region, figure] : choice.region_preference)
    check.within("/choice/region_preference/" + std::string(json::name_of(region)), figure, 0.0, 1.0);
  for (const auto& [region, size] : choice.vein_sizes) {
    const std::string path = "/choice/vein_sizes/" + std::string(json::name_of(region));
    check.positive(path + "/mean", size.mean);
    check.positive(path + "/spread", size.spread);
  }
  check.positive("/choice/diameter_error_by_eye", choice.diameter_error_by_eye);
  check.positive("/choice/diameter_error_ultrasound", choice.diameter_error_ultrasound);
  double sum = 0;
  for (const auto& [name, weight] :
       std::initializer_list<std::pair<const char*, const Figure<double>*>>{{"weight_gauge", &choice.weight_gauge},
                                                                            {"weight_region", &choice.weight_region},
                                                                            {"weight_ratio", &choice.weight_ratio},
                                                                            {"weight_share", &choice.weight_share},
                                                                            {"weight_flow", &choice.weight_flow},
                                                                            {"weight_side", &choice.weight_side}}) {
    check.within(std::string("/choice/") + name, *weight, 0.0, 100.0);
    sum += weight->value;
  }
  if (!(sum > 0)) check.fault("/choice", "weights that are all 0", "at least one weight above 0");
}

/// A grade that no signs can reach is a grade that will never be given.
void check_grade(const site::GradeCriteria& grade, const std::string& here, const Policy& policy, Checker& check) {
  if (grade.count && (*grade.count < 1 || *grade.count > static_cast<int>(grade.count_of.size())))
    check.fault(here + "/count", std::to_string(*grade.count), "1 to the number of signs in count_of");
  if (!grade.count && !grade.count_of.empty())
    check.fault(here + "/count", "nothing", "how many of count_of must be present");
  if (grade.swelling_from && grade.swelling_below && !(*grade.swelling_from < *grade.swelling_below))
    check.fault(here + "/swelling_below", show(*grade.swelling_below), "above " + show(*grade.swelling_from));
  // "leak" opens the card of what ran: leak_harmless, leak_irritant, …
  if (grade.advice && *grade.advice != "leak" && !policy.responses.contains(*grade.advice))
    check.fault(here + "/advice", *grade.advice, "a response of this policy, or leak");
}

void check_scales(const Policy& policy, Checker& check) {
  if (policy.scales.empty()) check.fault("/scales", "none", "at least one scale in force");
  for (std::size_t s = 0; s < policy.scales.size(); ++s) {
    const auto& scale = policy.scales[s];
    const std::string path = "/scales/" + std::to_string(s);
    if (scale.name.empty()) check.fault(path + "/name", "", "what records call this scale");
    if (scale.version.empty()) check.fault(path + "/version", "", "a version: old records keep the one they used");
    if (scale.credit.empty()) check.fault(path + "/credit", "", "whose scale it is");
    if (scale.grades.empty()) check.fault(path + "/grades", "none", "grades that rise");
    for (std::size_t g = 0; g < scale.grades.size(); ++g) {
      const std::string here = path + "/grades/" + std::to_string(g);
      if (g > 0 && scale.grades[g].grade <= scale.grades[g - 1].grade)
        check.fault(here + "/grade", std::to_string(scale.grades[g].grade), "grades that rise");
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
                                      "pressure_injury",
                                      "air_embolism",
                                      "catheter_fragment",
                                      "arterial_entry"};

void check_follow_up(const FollowUp& follow_up, const std::string& path, Checker& check) {
  if (follow_up.text.empty()) check.fault(path + "/text", "", "what is looked at");
  if (follow_up.every.has_value() != follow_up.until.has_value())
    check.fault(path + "/until", follow_up.every ? "nothing" : "without every", "every and until, or neither");
  if (!follow_up.every && !follow_up.at) check.fault(path, "no time", "every and until, or at");
  if (follow_up.every) check.positive(path + "/every", *follow_up.every);
  if (follow_up.every && follow_up.until) check.rises((path + "/until").c_str(), *follow_up.every, *follow_up.until);
  if (!follow_up.at) return;
  Interval before{0};
  for (const Interval moment : follow_up.at->value) {
    if (moment <= before) check.fault(path + "/at/value", show(moment), "moments above 0 that rise");
    before = moment;
  }
  if (follow_up.at->value.empty()) check.fault(path + "/at/value", "none", "at least one moment");
}

void check_answering(const Answering& answering, const std::string& path, const Policy& policy, Checker& check) {
  if (answering.acts)
    for (const auto& act : *answering.acts)
      if (act.name.empty() || act.text.empty())
        check.fault(path + "/acts", act.name + act.text, "each act with its name and its words");
  if (answering.also_answers)
    for (const auto& name : *answering.also_answers)
      if (!policy.responses.contains(name)) check.fault(path + "/also_answers", name, "a response of this policy");
  if (answering.follow_up)
    for (std::size_t i = 0; i < answering.follow_up->size(); ++i)
      check_follow_up((*answering.follow_up)[i], path + "/follow_up/" + std::to_string(i), check);
}

void check_responses(const Policy& policy, Checker& check) {
  for (const char* name : needed_responses)
    if (!policy.responses.contains(name))
      check.fault(std::string("/responses/") + name, "nothing", "this response; the engine opens it by name");
  for (const auto& [name, card] : policy.responses) {
    if (card.steps.empty()) check.fault("/responses/" + name + "/steps", "none", "what to do first");
    if (card.answering) check_answering(*card.answering, "/responses/" + name + "/answering", policy, check);
  }
}

}  // namespace

FieldErrors check(const Policy& policy) {
  Checker check;
  check_place(policy.place, check);
  check_vessel(policy.vessel, check);
  check_infusate(policy.infusate, check);
  check_order(policy.order, check);
  check_hydration(policy.hydration, check);
  check_access(policy.access, check);
  check_gravity(policy.gravity, check);
  check_watch(policy.watch, check);
  check_remove(policy.remove, check);
  check.positive("/record/keep_closed", policy.record.keep_closed);
  check_practice(policy.practice, check);
  check_choice(policy.choice, check);
  check_scales(policy, check);
  check_responses(policy, check);
  FieldErrors errors = check.take();
  check_sources(json::encode(policy), "", errors);
  return errors;
}

}  // namespace dwell::policy
