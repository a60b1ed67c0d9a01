// Procedures step by step, practice of them on an invented patient, and the ward's policy looked at as a whole.
#include <algorithm>
#include <iterator>
#include <map>
#include <set>

#include "care/due.h"
#include "engine/define.h"
#include "engine/kept_state.h"
#include "line/clauses.h"
#include "policy/difference.h"
#include "procedure/flush_volume.h"
#include "procedure/practice.h"
#include "procedure/steps.h"
#include "procedure/using.h"

namespace dwell::engine {
namespace {

struct FailedInput {
  line::AttemptOutcome outcome = line::AttemptOutcome::no_flashback;
};
BOOST_DESCRIBE_STRUCT(FailedInput, (), (outcome))

struct NothingAsked {};
BOOST_DESCRIBE_STRUCT(NothingAsked, (), ())

struct PolicyInput {
  policy::Policy policy;
};
BOOST_DESCRIBE_STRUCT(PolicyInput, (), (policy))

struct PolicyOutput {
  std::vector<policy::Difference> differences;  ///< from the policy in force
};
BOOST_DESCRIBE_STRUCT(PolicyOutput, (), (differences))

struct EffectInput {
  policy::Policy policy;
  std::vector<KeptState> states;
  Instant now{};
};
BOOST_DESCRIBE_STRUCT(EffectInput, (), (policy, states, now))

/// One thing that would fall due at another moment, or no longer, or that did not before.
struct Effect {
  std::string line;
  std::string bed;
  std::string patient;
  Message title;  ///< "Check the site"
  std::optional<Instant> before, after;
};
BOOST_DESCRIBE_STRUCT(Effect, (), (line, bed, patient, title, before, after))

struct EffectOutput {
  int lines = 0;  ///< that were looked at
  std::vector<Effect> effects;
};
BOOST_DESCRIBE_STRUCT(EffectOutput, (), (lines, effects))

/// When something falls due, by the key of its title.
using Moments = std::multiset<std::pair<std::string, Instant>>;
using Titles = std::map<std::string, Message>;

Moments moments_of(const line::State& state, const policy::Policy& policy, const Library& library, Instant now,
                   Titles& titles) {
  Moments moments;
  for (const auto& item : care::due_items(state, policy, library.infusates, now)) {
    auto key = line::key_of(item.title);
    titles.emplace(key, item.title);
    moments.emplace(std::move(key), item.due_at);
  }
  return moments;
}

void add_effects(const line::State& state, const Moments& before, const Moments& after, const Titles& titles,
                 std::vector<Effect>& effects) {
  const auto only = [](const Moments& some, const Moments& others) {
    std::vector<std::pair<std::string, Instant>> left;
    std::set_difference(some.begin(), some.end(), others.begin(), others.end(), std::back_inserter(left));
    return left;
  };
  auto now_due = only(after, before);
  const auto add = [&](const std::string& title, std::optional<Instant> was, std::optional<Instant> is) {
    effects.push_back(
        {state.id, state.place.bed, state.patient.family + ", " + state.patient.given, titles.at(title), was, is});
  };
  for (const auto& gone : only(before, after)) {
    const auto& [title, was] = gone;
    const auto moved =
        std::find_if(now_due.begin(), now_due.end(), [&](const auto& one) { return one.first == gone.first; });
    add(title, was, moved == now_due.end() ? std::nullopt : std::optional(moved->second));
    if (moved != now_due.end()) now_due.erase(moved);
  }
  for (const auto& [title, is] : now_due) add(title, std::nullopt, is);
}

Checked<EffectOutput> effect(const EffectInput& in, const Library& library) {
  if (auto errors = policy::check(in.policy); !errors.empty()) return refuse(std::move(errors));
  EffectOutput out;
  for (const auto& [state] : in.states) {
    if (state.stage == line::Stage::closed) continue;
    ++out.lines;
    Titles titles;
    const auto before = moments_of(state, library.policy, library, in.now, titles);
    const auto after = moments_of(state, in.policy, library, in.now, titles);
    add_effects(state, before, after, titles, out.effects);
  }
  return out;
}

}  // namespace

std::vector<Function> procedure_functions() {
  std::vector<Function> all;
  all.push_back(define<&procedure::placing_steps>("procedure.placing",
                                                  "The steps of placing a line, with clocks and what each captures."));
  all.push_back(define("procedure.failed_attempt", "What a failed attempt asks for, and where the next one begins.",
                       [](const FailedInput& in, const Library& library) -> Checked<procedure::FailedAttempt> {
                         return procedure::after_failed_attempt(in.outcome, library.policy);
                       }));
  all.push_back(define<&procedure::removing_steps>(
      "procedure.removing", "The steps of taking a line out, with the pressure clock for this patient."));
  all.push_back(define("procedure.transfer",
                       "The steps of moving a patient with a line that runs: enough for the way, hand over, trace.",
                       [](const NothingAsked&, const Library& library) -> Checked<std::vector<procedure::Step>> {
                         return procedure::transfer_steps(library.policy);
                       }));
  all.push_back(define<&procedure::receiving_steps>("procedure.receiving",
                                                    "The steps of taking over a line that was started elsewhere."));
  all.push_back(define<&procedure::using_steps>(
      "procedure.using", "The steps of a dose, a push, a flush, a sample or a disconnection through a line."));
  all.push_back(define<&procedure::flush_volume>(
      "procedure.flush_volume", "How much clears a line: at least twice what catheter, hub and add-ons hold."));
  all.push_back(define<&procedure::checking_steps>("procedure.checking", "The steps of a look at the site."));
  all.push_back(define("practice.cases", "The invented patients by number, and the skills that each is for.",
                       [](const NothingAsked&, const Library&) -> Checked<std::vector<procedure::CaseSkills>> {
                         return procedure::practice_cases();
                       }));
  all.push_back(define<&procedure::practice_case>("practice.case",
                                                  "An invented patient to practise on, with the policy's steps."));
  all.push_back(
      define<&procedure::score>("practice.score", "What the observer saw, scored against the policy's steps."));
  all.push_back(define("policy.compare", "A policy checked as a whole, and where it differs from the one in force.",
                       [](const PolicyInput& in, const Library& library) -> Checked<PolicyOutput> {
                         if (auto errors = policy::check(in.policy); !errors.empty()) return refuse(std::move(errors));
                         return PolicyOutput{policy::differences(in.policy, library.policy)};
                       }));
  all.push_back(
      define<&effect>("policy.effect", "What a policy would move on the ward: what falls due, before and after."));
  return all;
}

}  // namespace dwell::engine
