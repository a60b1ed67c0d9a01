#pragma once
// Practice: the policy's own steps on an invented patient, watched by somebody who ticks what is done. The order of the
// ticks is the order in which things were done; which of them were out of order is worked out, not judged.
#include <string>
#include <tuple>
#include <vector>

#include "procedure/steps.h"

namespace dwell::procedure {

enum class Skill { placing, removing, receiving, checking };
BOOST_DESCRIBE_ENUM(Skill, placing, removing, receiving, checking)

/// What the learner is told, and the steps for this patient by the policy.
struct PracticeCase {
  int number = 0;
  Message told;  ///< the handover in a sentence or two
  line::Patient patient;
  std::vector<Step> steps;
};
BOOST_DESCRIBE_STRUCT(PracticeCase, (), (number, told, patient, steps))

/// Which skills a case is for; the others it does not tell.
struct CaseSkills {
  int number = 0;
  std::vector<Skill> skills;
};
BOOST_DESCRIBE_STRUCT(CaseSkills, (), (number, skills))
[[nodiscard]] std::vector<CaseSkills> practice_cases();

/// 0 to how_many_cases() - 1.
[[nodiscard]] int how_many_cases();

struct CaseInput {
  Skill skill = Skill::placing;
  int number = 0;
  Date today;  ///< the patients keep their ages
};
BOOST_DESCRIBE_STRUCT(CaseInput, (), (skill, number, today))

/// Errors: a number that names no case, a skill that the case is not for, and a ward that keeps no antiseptic for this
/// patient: a case that teaches harm is no case.
[[nodiscard]] Checked<PracticeCase> practice_case(const CaseInput& input, const policy::Policy& policy);

struct StepTick {
  std::string step;  ///< id of a step
  Instant at{};
};
BOOST_DESCRIBE_STRUCT(StepTick, (), (step, at))
constexpr auto names_in(const StepTick*) { return std::tuple(&StepTick::step); }

struct ClockRun {
  std::string step;
  Interval ran{};
};
BOOST_DESCRIBE_STRUCT(ClockRun, (), (step, ran))
constexpr auto names_in(const ClockRun*) { return std::tuple(&ClockRun::step); }

/// One run as the observer saw it.
struct PracticeRun {
  std::string id;  ///< as an entry's id; makes a resend harmless
  Skill skill = Skill::placing;
  int number = 0;  ///< of the case
  std::string learner, observer;
  Instant begun_at{}, ended_at{};
  std::vector<StepTick> done;           ///< in the order in which they were done
  std::vector<std::string> not_needed;  ///< steps that this patient did not ask for, in the observer's eyes
  std::vector<ClockRun> clocks;
  std::string note;
};
BOOST_DESCRIBE_STRUCT(PracticeRun, (),
                      (id, skill, number, learner, observer, begun_at, ended_at, done, not_needed, clocks, note))
constexpr auto names_in(const PracticeRun*) {
  return std::tuple(&PracticeRun::id, &PracticeRun::learner, &PracticeRun::observer, &PracticeRun::not_needed);
}

enum class Seen { done, out_of_order, missed, not_needed };
BOOST_DESCRIBE_ENUM(Seen, done, out_of_order, missed, not_needed)

struct StepScore {
  std::string step;
  Message title;
  Seen seen = Seen::missed;
  bool must = false;                         ///< the policy lets nobody miss it
  std::optional<bool> clock_kept;            ///< absent: no clock, or not timed
  std::optional<Interval> clock_ran, limit;  ///< of the clock
  bool must_not = false;                     ///< here it is the fault: who does it does not pass
};
BOOST_DESCRIBE_STRUCT(StepScore, (), (step, title, seen, must, clock_kept, clock_ran, limit, must_not))

struct PracticeScore {
  std::vector<StepScore> steps;  ///< in the policy's order
  int asked_for = 0;             ///< steps that counted
  int in_order = 0, out_of_order = 0, missed = 0, clocks_broken = 0;
  double share = 0;  ///< in_order / asked_for
  bool passed = false;
  std::vector<Message> again;         ///< what to practise, the weightiest first
  Source source;                      ///< of the share that passes
  std::optional<Instant> good_until;  ///< when passed
};
BOOST_DESCRIBE_STRUCT(PracticeScore, (),
                      (steps, asked_for, in_order, out_of_order, missed, clocks_broken, share, passed, again, source,
                       good_until))

/// A run and what it came to, as the record keeps them.
struct Practised {
  PracticeRun run;
  PracticeScore score;
};
BOOST_DESCRIBE_STRUCT(Practised, (), (run, score))

/// What is wrong with the words of a run that comes in, its id and names by the rules of text/text_rule.h. Runs that
/// were kept earlier are read as they are.
[[nodiscard]] FieldErrors check_words(const PracticeRun& run);

/// Out of order are the fewest steps whose removal leaves the rest in the policy's order: what is outside a longest
/// rising run of the ticks (Fredman 1975, value from memory). Passed: no step that nobody may miss was missed, out of
/// order or short of its clock, and the share in order reaches the policy's. A must-step's clock that nobody timed
/// counts as not kept: unknown is not safe. Some cases end before the last step (a no, a vesicant's leak, an artery):
/// they have must-steps of their own, steps whose doing is the fault, and what is neither is not asked for. Errors:
/// steps that this procedure has not, ticked twice or back in time, a must-step called not needed, nobody's name, a
/// learner who observes themself.
[[nodiscard]] Checked<PracticeScore> score(const PracticeRun& run, const policy::Policy& policy);

}  // namespace dwell::procedure
