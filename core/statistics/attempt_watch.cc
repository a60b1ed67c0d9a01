#include "statistics/attempt_watch.h"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {
namespace {

constexpr double least_apart = 0.02;

FieldErrors check(const PracticeStandard& standard, const std::string& at) {
  FieldErrors errors;
  const auto within = [&](const char* name, double found, double low, double high) {
    if (!(found >= low && found <= high))
      errors.push_back({at + name, show_number(found), say::number_from_to(shown_number(low), shown_number(high))});
  };
  within("/acceptable", standard.acceptable, 0.005, 0.9);
  if (errors.empty()) within("/unacceptable", standard.unacceptable, standard.acceptable + least_apart, 0.95);
  within("/false_signals", standard.false_signals, 0.001, 0.5);
  within("/within", standard.within, 10, 1000);
  return errors;
}

/// Of one, and of all together.
constexpr int most_attempts = 100'000;

FieldErrors check(const AttemptsOf& of, const std::string& at) {
  FieldErrors errors;
  if (of.attempts < 0 || of.attempts > most_attempts)
    errors.push_back({at + "/attempts", std::to_string(of.attempts),
                      say::number_from_to(shown_number(0), shown_number(most_attempts))});
  int before = 0;
  for (std::size_t i = 0; i < of.failed.size() && errors.size() < most_errors; ++i) {
    if (of.failed[i] <= before || of.failed[i] > of.attempts)
      errors.push_back({at + "/failed/" + std::to_string(i), std::to_string(of.failed[i]),
                        say::an_attempt_after(before, of.attempts)});
    before = std::max(before, of.failed[i]);
  }
  return errors;
}

struct Steps {
  int success = 1, failure = 1;
};

/// Whole steps in the ratio of the weights: the smallest that come near enough.
Steps whole_steps(double acceptable, double unacceptable) {
  constexpr double near_enough = 0.005;
  constexpr int most = 60;
  const double ratio = std::log(unacceptable / acceptable) / std::log((1 - acceptable) / (1 - unacceptable));
  Steps best;
  double apart = 1e9;
  for (int success = 1; success <= most && apart > near_enough; ++success) {
    const int failure = std::max(1, static_cast<int>(std::lround(success * ratio)));
    const double off = std::abs(failure / (success * ratio) - 1);
    if (off >= apart) continue;
    best = {success, failure};
    apart = off;
  }
  return best;
}

/// The unacceptable share whose weights stand exactly in the ratio of the steps.
double tested_by(const Steps& steps, double acceptable, double near) {
  const double ratio = static_cast<double>(steps.failure) / steps.success;
  const auto off = [&](double p) { return std::log(p / acceptable) - ratio * std::log((1 - acceptable) / (1 - p)); };
  // Above the acceptable share it rises from 0 and falls for good after its top, at p = 1 / (1 + ratio).
  const double top = std::max(acceptable, 1 / (1 + ratio));
  double high = 1 - (1 - near) / 2;
  while (off(high) > 0) high = 1 - (1 - high) / 2;
  std::uintmax_t steps_left = 200;
  const auto [a, b] =
      boost::math::tools::toms748_solve(off, top, high, boost::math::tools::eps_tolerance<double>(50), steps_left);
  return (a + b) / 2;
}

/// The lowest limit with no more than so many wrong signs.
int lowest_limit(Ladder ladder, double rises, const PracticeStandard& standard) {
  const auto bears = [&](int limit) {
    ladder.limit = limit;
    return chance_of_sign(ladder, rises, standard.within) <= standard.false_signals;
  };
  int high = std::max(ladder.up, ladder.down);
  while (!bears(high)) high *= 2;  // a limit that so many attempts cannot reach ends it
  int low = high / 2;
  if (low > 0 && bears(low)) low = 0;
  while (high - low > 1) {
    const int middle = low + (high - low) / 2;
    (bears(middle) ? high : low) = middle;
  }
  return high;
}

AttemptScore score_of(Ladder ladder, const Steps& steps, const PracticeStandard& standard, bool rises_with_failure) {
  const auto rises = [&](double failing) { return rises_with_failure ? failing : 1 - failing; };
  const double wrong = rises_with_failure ? standard.acceptable : standard.unacceptable;
  ladder.limit = lowest_limit(ladder, rises(wrong), standard);
  AttemptScore out;
  out.ladder = ladder;
  out.unacceptable = tested_by(steps, standard.acceptable, standard.unacceptable);
  out.signs_when_acceptable = chance_of_sign(ladder, rises(standard.acceptable), standard.within);
  out.signs_when_unacceptable = chance_of_sign(ladder, rises(standard.unacceptable), standard.within);
  out.attempts_when_acceptable = mean_attempts_to_sign(ladder, rises(standard.acceptable));
  out.attempts_when_unacceptable = mean_attempts_to_sign(ladder, rises(standard.unacceptable));
  return out;
}

Message in_words(const AttemptCourse& course, bool kept_before) {
  if (course.attempts == 0) return say::no_attempts_yet();
  if (!course.look_at.empty()) return say::practice_to_look_at(course.look_at.back(), course.attempts);
  if (course.good_enough_from) return say::practice_shown_good_enough(*course.good_enough_from, course.attempts);
  if (kept_before) return say::practice_kept_up(course.attempts);
  return say::practice_not_shown_yet(course.attempts);
}

AttemptCourse follow(const AttemptsOf& of, const PracticeScores& scores) {
  AttemptCourse out{of.name, of.attempts, static_cast<int>(of.failed.size()), {}, {}, {}, {}};
  bool keeping = of.good_enough;
  int score = 0;
  auto failed = of.failed.begin();
  for (int attempt = 1; attempt <= of.attempts; ++attempt) {
    const bool failure = failed != of.failed.end() && *failed == attempt;
    if (failure) ++failed;
    const Ladder& ladder = keeping ? scores.keeping.ladder : scores.learning.ladder;
    score = failure == keeping ? score + ladder.up : std::max(0, score - ladder.down);
    out.score.push_back(score);
    if (score < ladder.limit) continue;
    if (keeping)
      out.look_at.push_back(attempt);
    else
      out.good_enough_from = attempt;
    keeping = true;
    score = 0;
  }
  out.answer = in_words(out, of.good_enough);
  return out;
}

}  // namespace

double chance_of_sign(const Ladder& ladder, double rises, int attempts) {
  const auto states = static_cast<std::size_t>(ladder.limit);
  const auto up = static_cast<std::size_t>(ladder.up), down = static_cast<std::size_t>(ladder.down);
  std::vector<double> now(states, 0), next(states);
  now[0] = 1;
  double signs = 0;
  std::size_t reached = 1;  // no state at or above it
  for (int i = 0; i < attempts; ++i) {
    std::fill(next.begin(), next.end(), 0.0);
    for (std::size_t s = 0; s < reached; ++s) {
      next[s > down ? s - down : 0] += (1 - rises) * now[s];
      if (s + up < states)
        next[s + up] += rises * now[s];
      else
        signs += rises * now[s];
    }
    reached = std::min(states, reached + up);
    now.swap(next);
  }
  return std::min(1.0, signs);
}

std::optional<double> mean_attempts_to_sign(const Ladder& ladder, double rises) {
  // m(s) = 1 + (1 − rises) m(max(0, s − down)) + rises m(s + up), m = 0 from the limit on: a banded system, solved from
  // the top. What each row still owes to lower states is kept; no pivot is below its chance to move on.
  constexpr double never = 1e9;
  if (!(rises > 0)) return std::nullopt;
  const int n = ladder.limit, down = std::min(ladder.down, n), up = std::min(ladder.up, n);
  const int width = down + up + 1;
  std::vector<double> band(static_cast<std::size_t>(n) * static_cast<std::size_t>(width), 0.0);
  const auto at = [&](int row, int column) -> double& {
    return band[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                static_cast<std::size_t>(column - row + down)];
  };
  std::vector<double> mean(static_cast<std::size_t>(n), 1.0);
  for (int s = 0; s < n; ++s) {
    at(s, s) += 1;
    at(s, std::max(0, s - ladder.down)) -= 1 - rises;
    if (s + ladder.up < n) at(s, s + ladder.up) -= rises;
  }
  for (int s = 0; s < n; ++s) {
    if (!(at(s, s) > 1e-14)) return std::nullopt;
    for (int below = s + 1; below < std::min(n, s + down + 1); ++below) {
      const double factor = at(below, s) / at(s, s);
      if (factor == 0) continue;
      for (int c = s; c < std::min(n, s + up + 1); ++c) at(below, c) -= factor * at(s, c);
      mean[static_cast<std::size_t>(below)] -= factor * mean[static_cast<std::size_t>(s)];
    }
  }
  for (int s = n - 1; s >= 0; --s) {
    double& own = mean[static_cast<std::size_t>(s)];
    for (int c = s + 1; c < std::min(n, s + up + 1); ++c) own -= at(s, c) * mean[static_cast<std::size_t>(c)];
    own /= at(s, s);
  }
  return mean[0] > 0 && mean[0] <= never ? std::optional(mean[0]) : std::nullopt;
}

Checked<PracticeScores> practice_scores(const PracticeStandard& standard) {
  if (auto errors = check(standard, ""); !errors.empty()) return refuse(std::move(errors));
  const Steps steps = whole_steps(standard.acceptable, standard.unacceptable);
  return PracticeScores{score_of({steps.success, steps.failure, 1}, steps, standard, false),
                        score_of({steps.failure, steps.success, 1}, steps, standard, true)};
}

Checked<PracticeCourses> follow_practice(const PracticeInput& input) {
  FieldErrors errors = check(input.standard, "/standard");
  constexpr std::size_t most_people = 1000;
  if (input.people.empty() || input.people.size() > most_people)
    errors.push_back({"/people", std::to_string(input.people.size()),
                      say::number_from_to(shown_number(1), shown_number(static_cast<double>(most_people)))});
  std::int64_t all = 0;
  for (std::size_t i = 0; i < input.people.size() && errors.size() < most_errors; ++i) {
    auto found = check(input.people[i], "/people/" + std::to_string(i));
    errors.insert(errors.end(), found.begin(), found.end());
    all += input.people[i].attempts;
  }
  // The score after each attempt is in the answer.
  if (errors.empty() && all > most_attempts)
    errors.push_back(
        {"/people", std::to_string(all), say::number_from_to(shown_number(0), shown_number(most_attempts))});
  if (!errors.empty()) return refuse(std::move(errors));
  PracticeCourses out;
  out.scores = *practice_scores(input.standard);
  for (const auto& of : input.people) out.courses.push_back(follow(of, out.scores));
  return out;
}

}  // namespace dwell::statistics
