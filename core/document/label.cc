#include "care/due.h"
#include "document/note.h"
#include "quantity/display.h"
#include "text/code_points.h"
#include "text/own_words.h"
#include "text/text_rule.h"

namespace dwell::document {
namespace {

/// "Rosa Ode" and "R. Ode" give RO; one word is taken as the initials that it is.
std::string initials_of(const std::string& person) {
  if (person.find(' ') == person.npos) return person.empty() ? "initials not recorded" : person;
  std::string initials;
  bool at_start = true;
  text::each_code_point(person, [&](char32_t c, std::string_view letter) {
    if (at_start && c != U' ') initials += letter;
    at_start = c == U' ';
  });
  return initials;
}

}  // namespace

Checked<Label> compose_label(const line::State& state, const policy::Policy& policy, const LocalTime& local) {
  if (!state.placement) return refuse("/placement", "nothing", "a line that has been placed");
  const auto& [at, author, placed] = *state.placement;
  const std::string moment = local.show(at);
  const auto time_at = moment.rfind(' ');
  Label label;
  label.date = moment.substr(0, time_at);
  label.time = moment.substr(time_at + 1);
  label.catheter = show(placed.gauge) + " · " + show(placed.length);
  label.initials = initials_of(text::unmarked(placed.inserter.empty() ? author : placed.inserter));
  label.emergency = placed.asepsis == line::Asepsis::not_assured;
  const auto change = care::dressing_due_at(state, policy);
  label.site = text::one_line(access::describe(placed.site));
  label.next_change = change ? local.show(*change) : "not known";
  label.code = std::string(label_code_prefix) + state.id;
  label.placed_at = at;
  label.text = moment + " · " + label.catheter + " · " + label.site + " · dressing due " + label.next_change + " · " +
               label.initials + (label.emergency ? " · EMERGENCY" : "");
  return label;
}

}  // namespace dwell::document
