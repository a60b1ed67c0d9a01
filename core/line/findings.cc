#include "line/findings.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <limits>
#include <map>
#include <utility>

#include "say/line.h"

namespace dwell::line {
namespace {

/// Cards that came after policies were put into force: where one lacks them, nobody can open them.
constexpr std::array<std::string_view, 2> newer_cards{no_blood_return_response, infiltrated_attempt_response};

bool can_be_opened(std::string_view card, const policy::Policy& policy) {
  return std::find(newer_cards.begin(), newer_cards.end(), card) == newer_cards.end() ||
         policy.responses.contains(std::string(card));
}

/// More distinct findings than this are drawn together, oldest first; none is dropped.
constexpr std::size_t most_apart = 24;

template <class T>
bool holds(const std::vector<T>& list, const T& one) {
  return std::find(list.begin(), list.end(), one) != list.end();
}

template <class T>
bool holds_all(const std::vector<T>& list, const std::vector<T>& of) {
  return std::all_of(of.begin(), of.end(), [&](const T& one) { return holds(list, one); });
}

template <class T>
void add_each(std::vector<T>& list, const std::vector<T>& more) {
  for (const auto& one : more)
    if (!holds(list, one)) list.push_back(one);
}

bool is_found(const GradeGiven& given) { return given.unmatched || given.grade.value_or(0) > 0; }

/// At least as bad on the same scale. No match may be anything, so that only another one is as bad.
bool as_bad(const GradeGiven& a, const GradeGiven& b) {
  if (a.scale != b.scale) return false;
  return a.unmatched == b.unmatched && a.grade.value_or(0) >= b.grade.value_or(0);
}

bool as_bad(const std::optional<Length>& a, const std::optional<Length>& b) { return !b || (a && *a >= *b); }

/// Whether `a` shows all that `b` does.
bool covers(const FoundMark& a, const FoundMark& b) {
  const bool grades = std::all_of(b.grades.begin(), b.grades.end(), [&](const GradeGiven& of_b) {
    return std::any_of(a.grades.begin(), a.grades.end(), [&](const GradeGiven& of_a) { return as_bad(of_a, of_b); });
  });
  return grades && holds_all(a.signs.present, b.signs.present) && holds_all(a.responses, b.responses) &&
         a.signs.pain_score.value_or(0) >= b.signs.pain_score.value_or(0) &&
         as_bad(a.signs.swelling_extent, b.signs.swelling_extent) && as_bad(a.signs.cord_length, b.signs.cord_length);
}

/// What an entry says of the site, in the form in which findings are compared.
FoundMark said_of_site(const Body& body) {
  FoundMark mark;
  const auto take = [&](const site::Signs& signs, const std::vector<GradeGiven>& grades) {
    mark.signs = signs;
    if (signs.pain_score.value_or(0) > 0 && !holds(signs.present, site::Sign::pain))
      mark.signs.present.push_back(site::Sign::pain);
    std::copy_if(grades.begin(), grades.end(), std::back_inserter(mark.grades), is_found);
  };
  if (const auto* check = std::get_if<SiteChecked>(&body)) take(check->signs, check->grades);
  if (const auto* after = std::get_if<AfterChecked>(&body)) take(after->signs, after->grades);
  if (const auto* removed = std::get_if<Removed>(&body)) take(removed->signs, removed->grades);
  return mark;
}

/// Of the same fact in both: whether what stood in the first stands in the second too.
template <class Fact, class Stands>
bool lost(const Body& now, const Body& was, Stands stands) {
  const auto* before = std::get_if<Fact>(&was);
  const auto* after = std::get_if<Fact>(&now);
  return before && stands(*before) && !(after && stands(*after));
}

bool is_look(const FoundMark& mark) { return !mark.only_answered(); }

/// Nothing at all was found, on whatever scale.
bool found_nothing(const LookAt& look) {
  return look.signs.present.empty() && look.signs.pain_score.value_or(0) == 0 &&
         std::none_of(look.grades.begin(), look.grades.end(), is_found);
}

/// Looked at the same things and does not find them any more. A look that grades nothing has looked at no scale.
bool finds_gone(const LookAt& look, const FoundMark& mark) {
  if (!look.signs.assessed) return false;
  if (found_nothing(look)) return true;
  const bool signs_gone = std::none_of(mark.signs.present.begin(), mark.signs.present.end(),
                                       [&](site::Sign sign) { return holds(look.signs.present, sign); });
  return signs_gone && std::all_of(mark.grades.begin(), mark.grades.end(), [&](const GradeGiven& was) {
           return std::any_of(look.grades.begin(), look.grades.end(),
                              [&](const GradeGiven& now) { return now.scale == was.scale && now.grade == 0; });
         });
}

/// Where an entry lies in the record; one on its way comes behind all that is there.
std::int64_t place_of(const std::optional<std::int64_t>& sequence) {
  return sequence.value_or(std::numeric_limits<std::int64_t>::max());
}
std::optional<std::int64_t> sequence_of(const Event& event) {
  return event.receipt ? std::optional(event.receipt->sequence) : std::nullopt;
}

/// A finding that was charted late is not over by looks that the record had before it: nobody looked for it.
bool knew_of(const LookAt& look, const FoundMark& mark) {
  return place_of(sequence_of(look.event)) >= place_of(mark.sequence);
}

/// What `b` holds is added to `a`: its worst, its first moment and its last.
void draw_together(FoundMark& a, const FoundMark& b) {
  for (const auto& given : b.grades)
    if (std::none_of(a.grades.begin(), a.grades.end(), [&](const GradeGiven& own) { return as_bad(own, given); }))
      a.grades.push_back(given);
  add_each(a.signs.present, b.signs.present);
  a.signs.assessed |= b.signs.assessed;
  a.signs.pain_score = std::max(a.signs.pain_score, b.signs.pain_score);
  a.signs.swelling_extent = std::max(a.signs.swelling_extent, b.signs.swelling_extent);
  a.signs.cord_length = std::max(a.signs.cord_length, b.signs.cord_length);
  add_each(a.responses, b.responses);
  add_each(a.ran, b.ran);
  a.since = std::min(a.since, b.since);
  a.as_now = std::max(a.as_now, b.as_now);
  a.at = std::max(a.at, b.at);
  a.given_at = std::max(a.given_at, b.given_at);
  if (place_of(a.sequence) < place_of(b.sequence)) a.sequence = b.sequence;
  a.gone_at.reset();
}

void keep_few(std::vector<FoundMark>& findings) {
  if (std::count_if(findings.begin(), findings.end(), is_look) <= static_cast<std::ptrdiff_t>(most_apart)) return;
  const auto oldest = std::find_if(findings.begin(), findings.end(), is_look);
  const auto next = std::find_if(oldest + 1, findings.end(), is_look);
  draw_together(*oldest, *next);
  findings.erase(next);
}

/// The same again goes on; worse takes the place of what was less.
void add_found(State& state, FoundMark mark) {
  auto& findings = state.findings;
  for (auto& known : findings)
    if (is_look(known) && covers(known, mark) && covers(mark, known)) {
      known.at = mark.at;
      known.sequence = mark.sequence;
      known.given_at = mark.given_at;
      add_each(known.ran, mark.ran);
      known.gone_at.reset();
      return;
    }
  for (const auto& known : findings) {
    if (!is_look(known) || !covers(mark, known)) continue;
    mark.since = std::min(mark.since, known.since);
    add_each(mark.ran, known.ran);
  }
  std::erase_if(findings, [&](const FoundMark& known) { return is_look(known) && covers(mark, known); });
  findings.push_back(std::move(mark));
  keep_few(findings);
}

/// Marks what the look finds gone; what is confirmed or has had its time is over.
void end_what_is_gone(State& state, const LookAt& look, const policy::Policy& policy) {
  const auto& heals = policy.watch.heals_not_before;
  std::erase_if(state.findings, [&](FoundMark& mark) {
    if (!is_look(mark) || !finds_gone(look, mark) || !knew_of(look, mark)) return false;
    if (heals && look.event.occurred_at - mark.at >= heals->value) return true;
    if (mark.gone_at) return look.event.author != mark.gone_by;
    mark.gone_at = look.event.occurred_at;
    mark.gone_by = look.event.author;
    return false;
  });
}

const policy::Answering* answering_of(std::string_view card, const policy::Policy& policy) {
  const auto found = policy.responses.find(std::string(card));
  return found != policy.responses.end() && found->second.answering ? &*found->second.answering : nullptr;
}

}  // namespace

bool finds_less(const Body& now, const Body& was) {
  const auto no_blood = [](const auto& fact) { return fact.blood_return == false; };
  const auto* attempt = std::get_if<Attempted>(&was);
  return !covers(said_of_site(now), said_of_site(was)) || lost<SiteChecked>(now, was, no_blood) ||
         lost<Flushed>(now, was, no_blood) || lost<Placed>(now, was, no_blood) ||
         lost<Flushed>(now, was, [](const Flushed& fact) { return fact.resistance; }) ||
         lost<Removed>(now, was, [](const Removed& fact) { return fact.tip_whole == false; }) ||
         (attempt && card_of(attempt->outcome) &&
          lost<Attempted>(now, was, [&](const Attempted& fact) { return fact.outcome == attempt->outcome; }));
}

const char* card_of(AttemptOutcome outcome) {
  switch (outcome) {
    case AttemptOutcome::arterial: return "arterial_entry";
    case AttemptOutcome::nerve_pain: return "nerve_pain";
    case AttemptOutcome::haematoma: return "haematoma";
    case AttemptOutcome::infiltrated: return infiltrated_attempt_response.data();
    default: return nullptr;
  }
}

bool says_something(const Responded& response) {
  return !response.done.empty() || !response.called.empty() || !response.note.empty() ||
         (response.acts && !response.acts->empty());
}

bool answered(const State& state, std::string_view card, Instant since, const policy::Policy& policy) {
  const bool openable = can_be_opened(card, policy);
  std::map<std::string_view, std::vector<std::string>> done;
  for (auto mark = state.responses.rbegin(); mark != state.responses.rend() && mark->at >= since; ++mark) {
    const Responded& response = mark->response;
    const auto* answering = answering_of(response.response, policy);
    const bool fits = !openable || response.response == card ||
                      (answering && answering->also_answers && holds(*answering->also_answers, std::string(card)));
    if (!fits || !says_something(response)) continue;
    if (!response.acts || !answering || !answering->acts) return true;
    auto& acts = done[response.response];
    add_each(acts, *response.acts);
    if (std::all_of(answering->acts->begin(), answering->acts->end(),
                    [&](const policy::ResponseAct& act) { return holds(acts, act.name); }))
      return true;
  }
  return false;
}

const GradeGiven* needs_answer(const std::vector<GradeGiven>& grades, const std::vector<site::Scale>& scales) {
  const auto acted_on_from = [&](const std::string& name) {
    static const site::Scale no_more_known;
    const auto scale = std::find_if(scales.begin(), scales.end(), [&](const auto& one) { return one.name == name; });
    return site::acted_on_from(scale == scales.end() ? no_more_known : *scale);
  };
  const GradeGiven* worst = nullptr;
  for (const auto& given : grades) {
    if (given.unmatched && !worst) worst = &given;
    if (given.grade.value_or(0) >= acted_on_from(given.scale) && (!worst || worst->grade.value_or(0) < *given.grade))
      worst = &given;
  }
  return worst;
}

Interval followed_for(const policy::ResponseCard& card) {
  Interval longest{0};
  if (!card.answering || !card.answering->follow_up) return longest;
  for (const auto& follow_up : *card.answering->follow_up) {
    if (follow_up.until) longest = std::max(longest, follow_up.until->value);
    if (follow_up.at)
      for (const Interval moment : follow_up.at->value) longest = std::max(longest, moment);
  }
  return longest;
}

void take_look(State& state, const LookAt& look, std::optional<Instant> given_at, const policy::Policy& policy) {
  const Instant at = look.event.occurred_at;
  if (look.may_end) {
    if (look.signs.assessed) state.last_look_at = at;
    end_what_is_gone(state, look, policy);
  }
  FoundMark mark{look.event.id,
                 std::string(kind_of(look.event.body)),
                 at,
                 at,
                 at,
                 {},
                 false,
                 look.signs,
                 {},
                 {},
                 state.ran_since_sound_check,
                 given_at,
                 {},
                 "",
                 sequence_of(look.event)};
  std::copy_if(look.grades.begin(), look.grades.end(), std::back_inserter(mark.grades), is_found);
  if (look.signs.pain_score.value_or(0) > 0 && !holds(mark.signs.present, site::Sign::pain))
    mark.signs.present.push_back(site::Sign::pain);
  if (!look.response.empty()) mark.responses.emplace_back(look.response);
  if (!mark.only_answered())
    add_found(state, std::move(mark));
  else if (!mark.responses.empty())
    take_found(state, look.event, say::response_card_opened(), mark.responses.front());
}

void take_found(State& state, const Event& event, Message what, std::string response, bool alarm) {
  const Instant at = event.occurred_at;
  for (auto& known : state.findings)
    if (known.only_answered() && known.what == what && known.responses.front() == response && known.alarm == alarm) {
      known.as_now = known.at = at;
      return;
    }
  state.findings.push_back({event.id,
                            std::string(kind_of(event.body)),
                            at,
                            at,
                            at,
                            std::move(what),
                            alarm,
                            {},
                            {},
                            {std::move(response)},
                            {},
                            {},
                            {},
                            "",
                            sequence_of(event)});
}

void take_back_found(State& state, std::string_view response) {
  std::erase_if(state.findings,
                [&](const FoundMark& mark) { return mark.only_answered() && mark.responses.front() == response; });
}

void take_answer(State& state, const policy::Policy& policy) {
  std::erase_if(state.findings, [&](const FoundMark& mark) {
    return mark.only_answered() && answered(state, mark.responses.front(), mark.as_now, policy);
  });
}

bool nothing_stands(const State& state, const policy::Policy& policy) {
  return std::all_of(state.findings.begin(), state.findings.end(), [&](const FoundMark& mark) {
    return mark.gone_at && !needs_answer(mark.grades, policy.scales) && mark.responses.empty();
  });
}

}  // namespace dwell::line
