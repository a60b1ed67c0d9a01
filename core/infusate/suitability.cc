#include "infusate/suitability.h"

#include <algorithm>

#include "infusate/list.h"
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

std::string evidence_text(std::optional<HarmEvidence> evidence) {
  if (!evidence) return "";
  switch (*evidence) {
    case HarmEvidence::many_reports: return " (many reports of harm)";
    case HarmEvidence::fewer_reports: return " (fewer reports of harm)";
    case HarmEvidence::by_property: return " (by its properties)";
  }
  return "";
}

void judge_harm(const Mixture& mixture, const MixtureResult& result, const Formulary& formulary, Verdict& verdict) {
  Source source{"common practice, no source", Mark::practice};
  std::string evidence;
  const auto take_worst = [&](const std::string& name) {
    const auto found = formulary.find(name);
    if (found == formulary.end() || found->second.harm != result.harm) return;
    source = found->second.harm_source;
    evidence = evidence_text(found->second.harm_evidence);
  };
  take_worst(mixture.base);
  for (const auto& additive : mixture.additives) take_worst(additive.name);
  if (result.harm == HarmClass::vesicant) {
    verdict.at_least(Route::refer_for_central);
    verdict.say(
        Severity::stop, "vesicant",
        "Vesicant" + evidence +
            ": continuous infusion belongs in a central vein. In an emergency only short, in a large forearm vein with "
            "blood return, checked hourly.",
        source);
  } else if (result.harm == HarmClass::irritant) {
    verdict.say(Severity::caution, "irritant",
                "Irritant" + evidence + ": dilute and slow as ordered; watch for pain and redness.", source);
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
  for (auto& note : notes_of(mixture, formulary)) out.findings.push_back(std::move(note));
  out.mixture = std::move(*mixed);
  return out;
}

Checked<LineSuitability> line_suitability(const LineTherapy& therapy, const Formulary& formulary,
                                          const policy::InfusateLimits& limits) {
  if (therapy.mixtures.empty()) return refuse("/mixtures", "none", "at least one fluid or medicine");
  FieldErrors errors;
  LineSuitability out;
  out.route = Route::short_peripheral;
  out.harm = HarmClass::harmless;
  for (std::size_t i = 0; i < therapy.mixtures.size(); ++i) {
    auto one = suitability(therapy.mixtures[i], therapy.planned, formulary, limits);
    if (!one) {
      for (const auto& e : one.error()) {
        const bool of_mixture = e.path.starts_with("/mixture");
        if (of_mixture || i == 0)
          errors.push_back(
              {of_mixture ? "/mixtures/" + std::to_string(i) + e.path.substr(8) : e.path, e.found, e.expected});
      }
      continue;
    }
    if (out.decided_by.empty() || one->route > out.route) {
      out.route = std::max(out.route, one->route);
      out.decided_by = therapy.mixtures[i].base;
    }
    if (harm_rank(one->mixture.harm) > harm_rank(out.harm)) out.harm = one->mixture.harm;
    out.each.push_back(std::move(*one));
  }
  if (!errors.empty()) return refuse(std::move(errors));
  if (therapy.mixtures.size() > 1)
    out.findings.push_back({Severity::caution,
                            "compatibility",
                            "Whether these may run through one line together is not decided here: ask pharmacy, and "
                            "flush between them.",
                            {"common practice, no source", Mark::practice}});
  return out;
}

}  // namespace dwell::infusate
