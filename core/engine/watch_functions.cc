// What a nurse asks in the first minute: the ward, one line, its site. The page fetches these before all others, so
// what stands here, and what it brings with it, is what she waits for; bedside, but rarer, is bedside_functions.cc.
#include "care/due.h"
#include "care/exposure.h"
#include "engine/define.h"
#include "engine/kept_state.h"
#include "growth/weight_question.h"
#include "line/state.h"
#include "say/age.h"
#include "say/engine.h"
#include "site/grade.h"

namespace dwell::engine {
namespace {

struct FoldInput {
  std::vector<line::Event> events;
  std::vector<line::SetAside> set_aside;  ///< entries of the line that could not be read
};
BOOST_DESCRIBE_STRUCT(FoldInput, (), (events, set_aside))

struct RunningInput {
  line::Running running;
  Instant now{};
};
BOOST_DESCRIBE_STRUCT(RunningInput, (), (running, now))

struct DueInput {
  KeptState state;
  Instant now{};
};
BOOST_DESCRIBE_STRUCT(DueInput, (), (state, now))

struct WardInput {
  std::vector<KeptState> states;
  Instant now{};
  std::optional<care::RoundOrder> order;
  std::optional<std::string> nurse;  ///< only the lines of this nurse; empty: those of nobody
};
BOOST_DESCRIBE_STRUCT(WardInput, (), (states, now, order, nurse))

struct AssessInput {
  site::Signs signs;
  site::Exposure exposure;
};
BOOST_DESCRIBE_STRUCT(AssessInput, (), (signs, exposure))

struct WardOutput {
  std::vector<care::LineDue> lines;
  std::vector<care::Visit> visits;
  std::vector<std::string> off_the_list;  ///< lines that are not closed and that the ward lists no longer
};
BOOST_DESCRIBE_STRUCT(WardOutput, (), (lines, visits, off_the_list))

Checked<WardOutput> ward(const WardInput& in, const Library& library) {
  std::vector<line::State> states;
  states.reserve(in.states.size());
  for (const auto& kept : in.states) states.push_back(kept.state);
  WardOutput out;
  out.lines = care::ward_due(states, library.policy, library.infusates, in.now);
  if (in.nurse) out.lines = care::lines_of(out.lines, *in.nurse);
  out.visits = care::visits(out.lines, in.order.value_or(care::RoundOrder::urgency));
  for (const auto& state : states)
    if (state.stage != line::Stage::closed && !care::is_listed(state, library.policy, in.now))
      out.off_the_list.push_back(state.id);
  return out;
}

struct AgeInput {
  line::Patient patient;
  Date today{};
};
BOOST_DESCRIBE_STRUCT(AgeInput, (), (patient, today))

struct AgeOutput {
  Message text;  ///< "84 y", "5 months", "unknown"
  line::AgeBand band = line::AgeBand::unknown;
};
BOOST_DESCRIBE_STRUCT(AgeOutput, (), (text, band))

Checked<AgeOutput> age_of(const AgeInput& in) {
  FieldErrors errors;
  growth::check_birth_date(in.patient.birth_date, in.today, "/patient/birth_date", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  AgeOutput out{say::age_unknown(), line::age_band(in.patient, in.today)};
  if (!in.patient.birth_date) return out;
  const int years = age_in_years(*in.patient.birth_date, in.today);
  out.text =
      years >= 2 ? say::age_in_years(years) : say::age_in_months(age_in_months(*in.patient.birth_date, in.today));
  return out;
}

Checked<line::State> fold(const FoldInput& in, const Library& library) {
  for (std::size_t i = 1; i < in.events.size(); ++i)
    if (in.events[i].line != in.events.front().line)
      return refuse("/events/" + std::to_string(i) + "/line", in.events[i].line, say::same_line_as_first_event());
  return line::fold(in.events, library.policy, in.set_aside);
}

}  // namespace

std::vector<Function> watch_functions() {
  std::vector<Function> all;
  all.push_back(define<&fold>("line.fold", "One line as it stands, from its events in any order."));
  all.push_back(define<&age_of>("line.age", "A patient's age as it is said, and the age band whose rules apply."));
  all.push_back(define("line.running", "The running bag at a moment: given, left, when it is empty.",
                       [](const RunningInput& in, const Library&) -> Checked<line::RunningState> {
                         return line::running_state(in.running, in.now);
                       }));
  all.push_back(define("care.due", "What falls due on one line, when, why and by whose rule.",
                       [](const DueInput& in, const Library& library) -> Checked<std::vector<care::DueItem>> {
                         return care::due_items(in.state.state, library.policy, library.infusates, in.now);
                       }));
  all.push_back(define(
      "care.exposure", "What a line exposes its site to: harm class, rate, and since when it was last seen sound.",
      [](const DueInput& in, const Library& library) -> Checked<site::Exposure> {
        return care::exposure_of(in.state.state, library.infusates, library.policy.infusate.harm_by_solute, in.now);
      }));
  all.push_back(define<&ward>("care.ward", "The whole ward in order of urgency, and the visits that follow from it."));
  all.push_back(define("site.assess", "From ticked signs to the grade on each scale in force, and the first response.",
                       [](const AssessInput& in, const Library& library) {
                         return site::assess(in.signs, in.exposure, library.policy);
                       }));
  return all;
}

}  // namespace dwell::engine
