#pragma once
// A ward for tests of what falls due: the standard policy and formulary, and looks that are easy to write.
#include <algorithm>
#include <optional>

#include "care/due.h"
#include "exchange/library.h"
#include "line/clauses.h"
#include "line/test_events.h"
#include "quantity/display.h"
#include "say/care.h"
#include "say/line.h"

namespace dwell::test {

inline constexpr const char* vasopressor = "norepinephrine 16 mcg/mL";

[[nodiscard]] inline const engine::Library& standard_ward() { return exchange::default_library(); }

[[nodiscard]] inline line::State folded(const History& history) {
  return line::fold(history.events, standard_ward().policy);
}
[[nodiscard]] inline std::vector<care::DueItem> due_at(const line::State& state, Instant now) {
  return care::due_items(state, standard_ward().policy, standard_ward().infusates, now);
}
[[nodiscard]] inline std::vector<care::DueItem> due_at(const History& history, std::chrono::minutes minutes) {
  return due_at(folded(history), after(minutes));
}
[[nodiscard]] inline std::optional<care::DueItem> item(care::Task task, const std::vector<care::DueItem>& items,
                                                       const Message& title = {}) {
  for (const auto& one : items)
    if (one.task == task && (title.empty() || one.title == title)) return one;
  return std::nullopt;
}
[[nodiscard]] inline std::optional<care::DueItem> item(care::Task task, const History& history,
                                                       std::chrono::minutes minutes, const Message& title = {}) {
  return item(task, due_at(history, minutes), title);
}

[[nodiscard]] inline History dwelling() {
  return History{}.at(std::chrono::minutes{0}, opened()).at(std::chrono::minutes{0}, placed());
}

/// A look, with the grades that the engine would have given it.
[[nodiscard]] inline line::SiteChecked look(std::vector<site::Sign> signs, std::vector<line::GradeGiven> grades = {}) {
  line::SiteChecked fact;
  fact.signs.assessed = true;
  fact.signs.present = std::move(signs);
  fact.grades = std::move(grades);
  return fact;
}
[[nodiscard]] inline line::SiteChecked not_looked() { return {}; }
/// One tap on "all normal", as the page charts it.
[[nodiscard]] inline line::SiteChecked all_normal() {
  auto fact = look({}, {{"phlebitis 0 to 4", "1", 0, false},
                        {"visual infusion phlebitis 0 to 5", "1", 0, false},
                        {"infiltration 0 to 4", "1", 0, false}});
  fact.signs.pain_score = 0;
  fact.dressing_intact = true;
  return fact;
}
[[nodiscard]] inline line::SiteChecked leak() {
  return look({site::Sign::swelling}, {{"infiltration 0 to 4", "1", 4, false}});
}
[[nodiscard]] inline line::Responded responded(std::string card, std::vector<std::string> acts) {
  line::Responded fact;
  fact.response = std::move(card);
  fact.acts = std::move(acts);
  return fact;
}
[[nodiscard]] inline line::Responded answered_leak() {
  return responded("leak_vesicant_vasopressor", {"stopped", "called"});
}
[[nodiscard]] inline line::Flushed pushed(std::string fluid) {
  line::Flushed fact;
  fact.fluid = std::move(fluid);
  fact.volume = 5.0 * millilitre;
  return fact;
}

}  // namespace dwell::test
