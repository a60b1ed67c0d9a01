#include "infusate/suitability.h"

#include <algorithm>

#include "quantity/display.h"

namespace dwell::infusate {
namespace {

class Verdict {
 public:
  void at_least(Route route) { route_ = std::max(route_, route); }
  void say(Severity severity, const char* code, std::string text, Source source) {
    findings_.push_back({severity, code, std::move(text), std::move(source)});
  }
  [[nodiscard]] Route route() const { return route_; }
  [[nodiscard]] std::vector<Finding> findings() && { return std::move(findings_); }

 private:
  Route route_ = Route::short_peripheral;
  std::vector<Finding> findings_;
};

void judge_osmolarity(const MixtureResult& mixture, const policy::InfusateLimits& limits, Verdict& verdict) {
  if (!mixture.osmolarity) return;
  const std::string is = "Osmolarity " + show(*mixture.osmolarity) + ": ";
  if (*mixture.osmolarity > limits.highest_osmolarity.value) {
    verdict.at_least(Route::refer_for_central);
    verdict.say(Severity::stop, "osmolarity",
                is + "above the peripheral limit of " + show(limits.highest_osmolarity.value) + ".",
                source_of(limits.highest_osmolarity));
  } else if (*mixture.osmolarity >= limits.caution_osmolarity.value) {
    verdict.say(Severity::caution, "osmolarity", is + "may harm a small vein; keep it short, watch it closely.",
                source_of(limits.caution_osmolarity));
  }
}

void judge_harm(const Mixture& mixture, const MixtureResult& result, const Formulary& formulary, Verdict& verdict) {
  Source source{"common practice, no source", Mark::practice};
  const auto worst_source = [&](const std::string& name) {
    const auto found = formulary.find(name);
    if (found != formulary.end() && found->second.harm == result.harm) source = found->second.harm_source;
  };
  worst_source(mixture.base);
  for (const auto& additive : mixture.additives) worst_source(additive.name);
  if (result.harm == HarmClass::vesicant) {
    verdict.at_least(Route::refer_for_central);
    verdict.say(
        Severity::stop, "vesicant",
        "Vesicant: continuous infusion belongs in a central vein. In an emergency only short, in a large forearm "
        "vein with blood return, checked hourly.",
        source);
  } else if (result.harm == HarmClass::irritant) {
    verdict.say(Severity::caution, "irritant", "Irritant: dilute and slow as ordered; watch for pain and redness.",
                source);
  }
}

void judge_duration(Duration planned, const policy::InfusateLimits& limits, Verdict& verdict) {
  if (planned > to_duration(limits.longest_longer_peripheral.value)) {
    verdict.at_least(Route::refer_for_central);
    verdict.say(Severity::caution, "duration",
                "Planned for " + show(to_interval(planned)) + ": longer than peripheral lines serve.",
                source_of(limits.longest_longer_peripheral));
  } else if (planned > to_duration(limits.longest_short_peripheral.value)) {
    verdict.at_least(Route::longer_peripheral);
    verdict.say(Severity::caution, "duration",
                "Planned for " + show(to_interval(planned)) + ": consider a longer peripheral catheter.",
                source_of(limits.longest_short_peripheral));
  }
}

void judge_ph(const Mixture& mixture, const Formulary& formulary, const policy::InfusateLimits& limits,
              Verdict& verdict) {
  // The pH of a mixture does not follow from its parts; the medicine alone is judged, as a caution.
  const auto found = formulary.find(mixture.base);
  if (found == formulary.end() || found->second.kind != FluidKind::medicine) return;
  const auto& infusate = found->second;
  if (infusate.ph_low && *infusate.ph_low < limits.lowest_ph.value)
    verdict.say(Severity::caution, "ph", "Acid (pH from " + show_number(*infusate.ph_low) + "): may irritate the vein.",
                source_of(limits.lowest_ph));
  if (infusate.ph_high && *infusate.ph_high > limits.highest_ph.value)
    verdict.say(Severity::caution, "ph", "Alkaline (pH to " + show_number(*infusate.ph_high) + "): may harm the vein.",
                source_of(limits.highest_ph));
}

void judge_undiluted(const Mixture& mixture, const Formulary& formulary, Verdict& verdict) {
  const auto found = formulary.find(mixture.base);
  if (found != formulary.end() && found->second.must_be_diluted) {
    verdict.at_least(Route::refer_for_central);
    verdict.say(Severity::stop, "undiluted", found->second.name + " must never be given undiluted.",
                found->second.source);
  }
}

}  // namespace

Checked<Suitability> suitability(const Mixture& mixture, Duration planned, const Formulary& formulary,
                                 const policy::InfusateLimits& limits) {
  FieldErrors errors;
  if (!(planned > Duration() && planned <= 365.0 * day))
    errors.push_back({"/planned", show(planned), "above 0 and at most 365 d"});
  auto mixed = mix(mixture, formulary);
  if (!mixed)
    for (const auto& e : mixed.error()) errors.push_back({"/mixture" + e.path, e.found, e.expected});
  if (!errors.empty()) return refuse(std::move(errors));

  Verdict verdict;
  judge_undiluted(mixture, formulary, verdict);
  judge_osmolarity(*mixed, limits, verdict);
  judge_harm(mixture, *mixed, formulary, verdict);
  judge_ph(mixture, formulary, limits, verdict);
  judge_duration(planned, limits, verdict);
  if (!mixed->unknown_parts.empty()) {
    verdict.at_least(Route::ask_pharmacy);
    for (const auto& name : mixed->unknown_parts)
      verdict.say(
          Severity::stop, "unknown_infusate",
          "\"" + name + "\" is not on the ward's list: its osmolarity and harm class are unknown. Ask pharmacy.",
          {"unknown is not safe", Mark::practice});
  }
  if (!mixture.additives.empty())
    verdict.say(Severity::information, "compatibility",
                "Whether these may share a bag or a line is not decided here: ask pharmacy.",
                {"common practice, no source", Mark::practice});
  Suitability out;
  out.route = verdict.route();
  out.findings = std::move(verdict).findings();
  out.mixture = std::move(*mixed);
  return out;
}

}  // namespace dwell::infusate
