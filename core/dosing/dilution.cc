#include "dosing/dilution.h"

#include <algorithm>

#include "quantity/display.h"

namespace dwell::dosing {
namespace {

using infusate::GivingLimit;

FieldErrors check(const DilutionInput& in, const infusate::Formulary& formulary) {
  FieldErrors errors;
  if (!formulary.contains(in.medicine))
    errors.push_back({"/medicine", in.medicine, "a medicine of the ward's list; ask pharmacy about others"});
  if (!(in.dose > Mass() && in.dose <= 100.0 * gram))
    errors.push_back({"/dose", show_in(in.dose, milligram, "mg"), "above 0 and at most 100 g"});
  if (in.volume && !(*in.volume >= 1.0 * millilitre && *in.volume <= 5.0 * litre))
    errors.push_back({"/volume", show(*in.volume), "from 1 mL to 5 L"});
  if (in.duration && !(*in.duration >= 10.0 * second && *in.duration <= 48.0 * hour))
    errors.push_back({"/duration", show(*in.duration), "from 10 s to 48 h"});
  return errors;
}

std::optional<MassConcentration> concentration_limit(const DilutionInput& in, const GivingLimit& limit) {
  return in.fluid_restricted && limit.highest_concentration_restricted ? limit.highest_concentration_restricted
                                                                       : limit.highest_concentration;
}

std::optional<MassRate> rate_limit(const DilutionInput& in, const GivingLimit& limit) {
  return in.frail && limit.highest_rate_frail ? limit.highest_rate_frail : limit.highest_rate;
}

std::string dose_text(Mass dose) { return show_in(dose, milligram, "mg"); }

void find_least_volume(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  const auto highest = concentration_limit(in, limit);
  if (!highest) return;
  out.least_volume = in.dose / *highest;
  out.workings.push_back({"least volume",
                          "dose / highest concentration",
                          {{"dose", dose_text(in.dose)}, {"highest concentration", show(*highest)}},
                          show(*out.least_volume),
                          limit.source});
}

void find_least_time(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  const auto highest = rate_limit(in, limit);
  if (!highest && !limit.shortest) return;
  const Duration by_rate = highest ? Duration(in.dose / *highest) : Duration();
  out.least_time = std::max(by_rate, limit.shortest.value_or(Duration()));
  std::vector<WorkingInput> inputs{{"dose", dose_text(in.dose)}};
  if (highest) inputs.push_back({"highest rate", show_in(*highest, milligram / minute, "mg/min")});
  if (limit.shortest) inputs.push_back({"shortest time", show(*limit.shortest)});
  out.workings.push_back({"least time", "the longer of dose / highest rate and the shortest time", std::move(inputs),
                          show(*out.least_time), limit.source});
}

void judge(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  // A hair of tolerance, so that an order written exactly at the limit is not refused for binary noise.
  constexpr double hair = 1 + 1e-9;
  if (in.volume && out.least_volume && *in.volume * hair < *out.least_volume)
    out.findings.push_back({Severity::stop, "too_strong",
                            show(*in.volume) + " is too little: at least " + show(*out.least_volume) + ".",
                            limit.source});
  if (in.duration && out.least_time && *in.duration * hair < *out.least_time)
    out.findings.push_back({Severity::stop, "too_fast",
                            show(*in.duration) + " is too fast: at least " + show(*out.least_time) + ".",
                            limit.source});
  if (!limit.note.empty()) out.findings.push_back({Severity::information, "note", limit.note, limit.source});
}

void set_flow(const DilutionInput& in, DilutionPlan& out) {
  const auto volume = in.volume ? in.volume : out.least_volume;
  const auto duration = in.duration ? in.duration : out.least_time;
  if (volume) out.concentration = in.dose / *volume;
  if (duration) out.rate = in.dose / *duration;
  if (!volume || !duration) return;
  out.flow = *volume / *duration;
  out.workings.push_back({"rate",
                          "volume / time",
                          {{"volume", show(*volume)}, {"time", show(*duration)}},
                          show(*out.flow),
                          {"arithmetic", Mark::computed}});
}

}  // namespace

Checked<DilutionPlan> dilution(const DilutionInput& in, const infusate::Formulary& formulary) {
  if (auto errors = check(in, formulary); !errors.empty()) return refuse(std::move(errors));
  DilutionPlan out;
  const auto& giving = formulary.at(in.medicine).giving;
  if (!giving) {
    out.findings.push_back(
        {Severity::caution,
         "limits_unknown",
         "No limit of strength or speed is on the ward's list for " + in.medicine + ": ask pharmacy.",
         {"unknown is not safe", Mark::practice}});
  } else {
    find_least_volume(in, *giving, out);
    find_least_time(in, *giving, out);
    judge(in, *giving, out);
  }
  set_flow(in, out);
  return out;
}

}  // namespace dwell::dosing
