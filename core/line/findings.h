#pragma once
// What was found at a line and stands. Nothing that is merely charted later takes a finding away: not a look that was
// none, not a tap on "all normal", not an answer to something else.
#include <string_view>

#include "line/state.h"

namespace dwell::line {

/// Whether anything was done, said or noted at all.
[[nodiscard]] bool says_something(const Responded& response);

/// Whether what was charted since a moment answers a card: it is that card, or one that also answers it, and each act
/// that it asks for was done, at once or bit by bit. Entries from before acts were asked for answer when they say
/// something; where the policy has no such card, nobody can open it, and whatever was charted answers.
[[nodiscard]] bool answered(const State& state, std::string_view card, Instant since, const policy::Policy& policy);

/// The worst grade that is acted on, by its scale or as scales do where the policy has it no more; else one without a
/// match; nothing when there is neither.
[[nodiscard]] const GradeGiven* needs_answer(const std::vector<GradeGiven>& grades,
                                             const std::vector<site::Scale>& scales);

/// How long a charted card asks for looks.
[[nodiscard]] Interval followed_for(const policy::ResponseCard& card);

/// Whether an entry found something that asks for an act, and what takes its place does not say as much.
[[nodiscard]] bool finds_less(const Body& now, const Body& was);

/// The response card for an attempt that hurts after the needle is out; null for the others.
[[nodiscard]] const char* card_of(AttemptOutcome outcome);

/// One look at the site, whatever entry it came with.
struct LookAt {
  const Event& event;
  const site::Signs& signs;
  const std::vector<GradeGiven>& grades;
  std::string_view response;
  bool may_end = true;  ///< false: another site, it may be, or what was seen before is said to be there still
};

/// Takes a look in. What it finds stands; it is one finding with what was seen before when it is the same or worse.
/// What it looked at and no longer finds is over when tissue could heal since, or when another person already found it
/// gone; else it stays, as gone but not confirmed. `given_at` is when something last went in.
void take_look(State& state, const LookAt& look, std::optional<Instant> given_at, const policy::Policy& policy);

/// Takes in something found that is no look at the site: only an answer ends it.
void take_found(State& state, const Event& event, Message what, std::string response, bool alarm = false);

/// Ends what was found of a thing that was looked at again and is as it should be: by the card that it asked for.
void take_back_found(State& state, std::string_view response);

/// Ends what only an answer can end, after a response was charted.
void take_answer(State& state, const policy::Policy& policy);

/// Whether the site may be given up: nothing stands but what was looked at again and is gone without ever having been
/// acted on.
[[nodiscard]] bool nothing_stands(const State& state, const policy::Policy& policy);

}  // namespace dwell::line
