#pragma once
// For tests: what must follow from a history, told again in the simplest way and never by the program's own rules.
// Entries are taken in one after the other, in the order in which they happened.
#include <gtest/gtest.h>

#include <optional>
#include <string>

#include "care/test_ward.h"

namespace dwell::test {

/// The fact of an entry, when it is of that kind.
template <class Fact>
[[nodiscard]] const Fact* fact(const line::Event& event) {
  return std::get_if<Fact>(&event.body);
}

[[nodiscard]] inline const site::Signs* signs_of(const line::Event& event) {
  if (const auto* check = fact<line::SiteChecked>(event)) return &check->signs;
  if (const auto* after = fact<line::AfterChecked>(event)) return &after->signs;
  const auto* removed = fact<line::Removed>(event);
  return removed ? &removed->signs : nullptr;
}

/// How many catheters are in, and no later than when the next look is due: what the policy allows after the last look
/// that was one, by the gentlest clock that can apply. A look that was put off waits for one interval more.
class Catheter {
 public:
  void take(const line::Event& event) {
    const Instant at = event.occurred_at;
    if (fact<line::Placed>(event)) ++in_, looked(at);
    if (fact<line::Removed>(event)) in_ = std::max(0, in_ - 1);
    if (const auto* signs = signs_of(event); signs && signs->assessed) {
      looked(at);
      if (fact<line::SiteChecked>(event) && signs->present.empty() && !harm_runs_) harm_.reset();
    }
    if (const auto* started = fact<line::InfusionStarted>(event)) {
      harm_runs_ = started->mixture.base != harmless;
      for (const auto& additive : started->mixture.additives) harm_runs_ |= additive.name != harmless;
      if (harm_runs_) harm_ = at;
    }
    if (fact<line::InfusionEnded>(event) || fact<line::Removed>(event)) harm_runs_ = false;
    if (const auto* put_off = fact<line::PutOff>(event)) waits_ |= put_off->task == care::Task::site_check;
    if (const auto* flushed = fact<line::Flushed>(event)) {
      if (flushed->fluid != harmless) harm_ = at;
      if (flushed->locks) harm_runs_ = false;
    }
  }

  [[nodiscard]] bool is_in() const { return in_ > 0; }
  [[nodiscard]] Instant latest_next_look() const {
    const auto interval = harm_ ? std::chrono::minutes{15} : std::chrono::minutes{std::chrono::hours{8}};
    return from_.value_or(start) + (waits_ ? 2 * interval : interval);
  }

 private:
  static constexpr const char* harmless = "sodium chloride 0.9 %";

  void looked(Instant at) { from_ = std::max(from_.value_or(at), at); }

  int in_ = 0;
  std::optional<Instant> from_, harm_;
  bool harm_runs_ = false, waits_ = false;
};

/// A leak that nobody answered, took back, or found gone as the second of two.
class Leak {
 public:
  void take(const line::Event& event) {
    if (fact<line::Retracted>(event)) return;
    const auto* flushed = fact<line::Flushed>(event);
    if (fact<line::InfusionStarted>(event)) runs_ = true;
    if (fact<line::InfusionEnded>(event) || fact<line::Removed>(event) || (flushed && flushed->locks)) runs_ = false;
    if (flushed || runs_) answered_ = false;  // what goes in can leak again
    const auto* signs = signs_of(event);
    const auto* check = fact<line::SiteChecked>(event);
    if (check && check->signs.present == leak().signs.present) {
      open_ = open_ || !answered_;
      gone_by_.reset();
      confirmed_ = false;
    } else if (signs && signs->assessed) {
      confirmed_ = confirmed_ || (gone_by_ && *gone_by_ != event.author);
      gone_by_ = event.author;
    }
    const auto* responded = fact<line::Responded>(event);
    if (responded && responded->response == "leak_vesicant_vasopressor") answered_ = true;
    if (answered_ || confirmed_) open_ = false;
  }

  [[nodiscard]] bool is_open() const { return open_; }

 private:
  bool open_ = false, answered_ = false, runs_ = false, confirmed_ = false;
  std::optional<std::string> gone_by_;
};

/// The patient left, and since then nobody said that the line stays in on purpose.
class Left {
 public:
  void take(const line::Event& event) {
    if (fact<line::Departed>(event)) unseen_ = true;
    if (fact<line::LeftWithLine>(event)) unseen_ = false;
  }
  [[nodiscard]] bool is_unseen() const { return unseen_; }

 private:
  bool unseen_ = false;
};

/// While a catheter is in a vein the line dwells, and somebody is to look in time.
[[nodiscard]] inline ::testing::AssertionResult is_looked_at(const Catheter& told, const line::State& state,
                                                             const care::DueClocks& due) {
  if (!told.is_in()) return ::testing::AssertionSuccess();
  if (state.stage != line::Stage::dwelling)
    return ::testing::AssertionFailure() << "a catheter is in the vein, and the line is not dwelling";
  for (const auto& clock : due.clocks) {
    if (clock.task != care::Task::site_check) continue;
    if (clock.due_at <= told.latest_next_look()) return ::testing::AssertionSuccess();
    return ::testing::AssertionFailure() << "the next look is too late: " << iso(clock.due_at);
  }
  return ::testing::AssertionFailure() << "a catheter is in the vein, and nobody is to look";
}

}  // namespace dwell::test
