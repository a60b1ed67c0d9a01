#include "policy/policy.h"

#include <array>

#include "json/codec.h"
#include "quantity/display.h"

namespace dwell::policy {
namespace {

using json::Object;
using json::Value;

/// Every figure of the policy, found in its JSON form: an object with value, source and mark.
void check_sources(const Value& value, const std::string& path, FieldErrors& errors) {
  if (const Object* object = value.if_object()) {
    const bool figure = object->contains("value") && object->contains("mark") && object->contains("source");
    if (figure && object->at("source").as_string().empty())
      errors.push_back({path + "/source", "", "where this figure comes from, or \"common practice, no source\""});
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
    if (high.value < low.value) fault(path, show_any(high.value), "at least " + show_any(low.value));
  }
  void positive(const std::string& path, const Figure<Interval>& figure) {
    if (figure.value <= Interval{0}) fault(path, show(figure.value), "a time above 0");
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

void check_place(const Place& place, Checker& check) {
  check.rises("/place/tourniquet_farthest", place.tourniquet_nearest, place.tourniquet_farthest);
  check.positive("/place/tourniquet_longest", place.tourniquet_longest);
  check.rises("/place/attempts_in_all", place.attempts_per_clinician, place.attempts_in_all);
  if (!place.antiseptics.contains(place.usual_antiseptic))
    check.fault("/place/usual_antiseptic", place.usual_antiseptic, "one of the antiseptics named in this policy");
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
  check.positive("/watch/idle", watch.idle);
  check.positive("/watch/emergency_dwell", watch.emergency_dwell);
}

void check_remove(const Remove& remove, Checker& check) {
  constexpr Interval floor{30};
  if (remove.pressure.value < floor)
    check.fault("/remove/pressure", show(remove.pressure.value), "at least 30 s; no policy may press for less");
  check.rises("/remove/pressure_anticoagulant", remove.pressure, remove.pressure_anticoagulant);
}

void check_scales(const Policy& policy, Checker& check) {
  if (policy.scales.empty()) check.fault("/scales", "none", "at least one scale in force");
  for (std::size_t s = 0; s < policy.scales.size(); ++s) {
    const auto& scale = policy.scales[s];
    const std::string path = "/scales/" + std::to_string(s);
    if (scale.credit.empty()) check.fault(path + "/credit", "", "whose scale it is");
    for (std::size_t g = 0; g < scale.grades.size(); ++g) {
      const auto& grade = scale.grades[g];
      const std::string here = path + "/grades/" + std::to_string(g);
      if (g > 0 && grade.grade <= scale.grades[g - 1].grade)
        check.fault(here + "/grade", std::to_string(grade.grade), "grades that rise");
      // "leak" opens the card of what ran: leak_harmless, leak_irritant, …
      if (grade.advice && *grade.advice != "leak" && !policy.responses.contains(*grade.advice))
        check.fault(here + "/advice", *grade.advice, "a response of this policy, or leak");
    }
  }
}

constexpr std::array needed_responses{
    "phlebitis_remove",           "leak_harmless",       "leak_irritant", "leak_vesicant_vasopressor",
    "leak_vesicant_hyperosmolar", "leak_vesicant_other", "leak_unknown",  "catheter_fragment"};

}  // namespace

FieldErrors check(const Policy& policy) {
  Checker check;
  check_place(policy.place, check);
  check.rises("/vessel/highest_ratio", policy.vessel.good_ratio, policy.vessel.highest_ratio);
  check.rises("/vessel/target_share_in_vein", policy.vessel.least_share_in_vein, policy.vessel.target_share_in_vein);
  check.rises("/infusate/highest_osmolarity", policy.infusate.caution_osmolarity, policy.infusate.highest_osmolarity);
  check.rises("/infusate/longest_longer_peripheral", policy.infusate.longest_short_peripheral,
              policy.infusate.longest_longer_peripheral);
  check.rises("/order/potassium_rate_stop", policy.order.potassium_rate_caution, policy.order.potassium_rate_stop);
  check.rises("/order/potassium_concentration_stop", policy.order.potassium_concentration_caution,
              policy.order.potassium_concentration_stop);
  check.rises("/order/maintenance_high", policy.order.maintenance_low, policy.order.maintenance_high);
  check.rises("/order/maintenance_high_frail", policy.order.maintenance_low_frail, policy.order.maintenance_high_frail);
  check_watch(policy.watch, check);
  check_remove(policy.remove, check);
  check_scales(policy, check);
  for (const char* name : needed_responses)
    if (!policy.responses.contains(name))
      check.fault(std::string("/responses/") + name, "nothing", "this response; the engine opens it by name");
  FieldErrors errors = check.take();
  check_sources(json::encode(policy), "", errors);
  return errors;
}

}  // namespace dwell::policy
