#pragma once
// Is somebody's placing good enough yet, and does it stay so? Attempts one after another move a score that never falls
// below 0 and gives a sign at a limit (Page's scheme).
//
//   learning:  not good enough is assumed; a success raises the score, a failure lowers it; the sign says "good enough"
//   keeping:   good enough is assumed; a failure raises the score, a success lowers it; the sign says "look"
//
// A success weighs ln[(1 − p0)/(1 − p1)], a failure ln(p1/p0), p0 the acceptable share of failed attempts and p1 the
// unacceptable one. Both are taken as whole steps whose ratio is theirs to 0.5 %, so the score walks on whole numbers,
// and how often and how soon it gives a sign is a finite Markov chain, worked out exactly. Source: sources.md#practice
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "message/message.h"
#include "quantity/checked.h"

namespace dwell::statistics {

/// What the score rises with, and its limit: `up` with each such attempt, `down` with each other, never below 0; a sign
/// at `limit` or above, and then it begins anew from 0.
struct Ladder {
  int up = 1, down = 1, limit = 1;
};
BOOST_DESCRIBE_STRUCT(Ladder, (), (up, down, limit))

/// The chance of a sign within so many attempts of which each raises the score with chance `rises` (0 to 1). up, down
/// and limit at least 1. Exact. Cost: limit × attempts.
[[nodiscard]] double chance_of_sign(const Ladder& ladder, double rises, int attempts);
/// Attempts until the first sign, on the average (average run length). Absent beyond 1e9: as good as never. Exact.
/// Cost: limit × up × down.
[[nodiscard]] std::optional<double> mean_attempts_to_sign(const Ladder& ladder, double rises);

/// What counts as good enough. No figure of it has a default: it decides who passes, and is fixed before looking.
struct PracticeStandard {
  double acceptable = 0;     ///< share of failed attempts that is good enough, 0.005 to 0.9
  double unacceptable = 0;   ///< share that is not, larger by 0.02 or more, at most 0.95
  double false_signals = 0;  ///< chance of a wrong sign that is borne within so many attempts, 0.001 to 0.5
  int within = 0;            ///< 10 to 1000
};
BOOST_DESCRIBE_STRUCT(PracticeStandard, (), (acceptable, unacceptable, false_signals, within))

struct AttemptScore {
  Ladder ladder;
  double unacceptable = 0;  ///< the share that the whole steps test exactly, beside the acceptable one
  // Within `within` attempts, of one who is truly …
  double signs_when_acceptable = 0, signs_when_unacceptable = 0;
  std::optional<double> attempts_when_acceptable, attempts_when_unacceptable;  ///< until the first sign, on the average
};
BOOST_DESCRIBE_STRUCT(AttemptScore, (),
                      (ladder, unacceptable, signs_when_acceptable, signs_when_unacceptable, attempts_when_acceptable,
                       attempts_when_unacceptable))

struct PracticeScores {
  AttemptScore learning, keeping;
};
BOOST_DESCRIBE_STRUCT(PracticeScores, (), (learning, keeping))

/// Each limit is the lowest whose wrong signs are no more than the standard bears: "good enough" of one who is
/// unacceptable, "look" of one who is acceptable. Errors: shares out of range or too near each other.
[[nodiscard]] Checked<PracticeScores> practice_scores(const PracticeStandard& standard);

struct AttemptsOf {
  std::string name;
  int attempts = 0;
  std::vector<int> failed;   ///< which of them, from 1, rising
  bool good_enough = false;  ///< was so before: the score begins with keeping
};
BOOST_DESCRIBE_STRUCT(AttemptsOf, (), (name, attempts, failed, good_enough))
constexpr auto names_in(const AttemptsOf*) { return std::tuple(&AttemptsOf::name); }

struct AttemptCourse {
  std::string name;
  int attempts = 0, failed = 0;
  std::vector<int> score;               ///< after each attempt; a sign stands as the score that gave it
  std::optional<int> good_enough_from;  ///< the attempt that showed it; the next are kept watch of
  std::vector<int> look_at;             ///< attempts at which keeping gave its sign; not a proof, a reason to talk
  Message answer;                       ///< in words
};
BOOST_DESCRIBE_STRUCT(AttemptCourse, (), (name, attempts, failed, score, good_enough_from, look_at, answer))

struct PracticeInput {
  PracticeStandard standard;
  std::vector<AttemptsOf> people;
};
BOOST_DESCRIBE_STRUCT(PracticeInput, (), (standard, people))
struct PracticeCourses {
  PracticeScores scores;
  std::vector<AttemptCourse> courses;  ///< in the order given: nobody is ranked
};
BOOST_DESCRIBE_STRUCT(PracticeCourses, (), (scores, courses))

/// Errors: those of practice_scores; nobody, or more than 1,000 people; attempts below 0 or above 100,000, of one
/// or of all together; a failed one that is not among them or does not come after the one before.
[[nodiscard]] Checked<PracticeCourses> follow_practice(const PracticeInput& input);

}  // namespace dwell::statistics
