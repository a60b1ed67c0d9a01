#include "care/findings.h"

#include <algorithm>
#include <iterator>

#include "care/exposure.h"
#include "line/findings.h"
#include "site/cards.h"

namespace dwell::care {
namespace {

constexpr std::string_view first_sign = "phlebitis_watch";

void add_once(std::vector<std::string>& cards, const std::string& card) {
  if (std::find(cards.begin(), cards.end(), card) == cards.end()) cards.push_back(card);
}

/// A measure that does not fit its sign is no reason to see nothing.
site::Signs signs_alone(const site::Signs& signs) {
  site::Signs alone;
  alone.assessed = true;
  alone.present = signs.present;
  return alone;
}

/// Where it was found. With two catheters charted nobody knows at which.
site::Exposure exposure_at(const line::FoundMark& finding, const line::State& state, const policy::Policy& policy,
                           const infusate::Formulary& formulary) {
  auto exposure = exposure_to(finding.ran, formulary, policy.infusate.harm_by_solute);
  if (state.placement) exposure.region = state.placement->placed.site.region;
  exposure.age = line::age_band(state.patient, utc_date(finding.at));
  return exposure;
}

std::vector<std::string> cards_for(const line::FoundMark& finding, const line::State& state,
                                   const policy::Policy& policy, const infusate::Formulary& formulary) {
  std::vector<std::string> cards;
  if (finding.signs.assessed) {
    const auto exposure = exposure_at(finding, state, policy, formulary);
    auto fitting = site::cards(finding.signs, exposure, policy);
    if (!fitting) fitting = site::cards(signs_alone(finding.signs), exposure, policy);
    if (fitting)
      for (const auto& card : *fitting)
        if (card != first_sign) add_once(cards, card);
  }
  for (const auto& card : finding.responses) add_once(cards, card);
  return cards;
}

/// When something last began to go in through the same line since it was found; what runs on from before was answered
/// with it.
Instant given_again(const line::FoundMark& finding, const line::State& state) {
  Instant last = finding.as_now;
  if (finding.only_answered() || state.stage != line::Stage::dwelling) return last;
  if (state.running) last = std::max(last, state.running->started_at);
  if (state.last_flush_at) last = std::max(last, *state.last_flush_at);
  return last;
}

}  // namespace

Asked asked_by(const line::FoundMark& finding, const line::State& state, const policy::Policy& policy,
               const infusate::Formulary& formulary) {
  Asked out;
  const auto cards = cards_for(finding, state, policy, formulary);
  out.acted_on = line::needs_answer(finding.grades, policy.scales) || !cards.empty();
  if (!out.acted_on) return out;
  const Instant since =
      std::max({finding.as_now, finding.given_at.value_or(finding.as_now), given_again(finding, state)});
  std::copy_if(cards.begin(), cards.end(), std::back_inserter(out.unanswered),
               [&](const std::string& card) { return !line::answered(state, card, since, policy); });
  const auto charted_since = [&](const line::ResponseMark& mark) {
    return mark.at >= since && line::says_something(mark.response);
  };
  out.judge = cards.empty() && std::none_of(state.responses.begin(), state.responses.end(), charted_since);
  if (out.open() && !state.responses.empty() && state.responses.back().at >= since)
    out.in_vain = &state.responses.back();
  return out;
}

}  // namespace dwell::care
