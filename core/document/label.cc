#include "care/due.h"
#include "document/note.h"
#include "line/history_text.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/document.h"
#include "say/line.h"
#include "text/code_points.h"
#include "text/own_words.h"

namespace dwell::document {
namespace {

/// "Rosa Ode" and "R. Ode" give RO; one word is taken as the initials that it is.
Message initials_of(const std::string& person) {
  if (person.empty()) return say::initials_not_recorded();
  if (person.find(' ') == person.npos) return say::as_written(person);
  std::string initials;
  bool at_start = true;
  text::each_code_point(person, [&](char32_t c, std::string_view letter) {
    if (at_start && c != U' ') initials += letter;
    at_start = c == U' ';
  });
  return say::as_written(initials);
}

}  // namespace

Checked<Label> compose_label(const line::State& state, const policy::Policy& policy, const LocalTime& local) {
  if (!state.placement) return refuse("/placement", "", say::line_that_was_placed());
  const auto& [at, author, placed] = *state.placement;
  Label label;
  label.date = say::paper_date_and_time(local.day(at), local.time(at));
  label.catheter = say::label_catheter(line::describe(placed.gauge), shown(placed.length));
  label.initials = initials_of(text::unmarked(placed.inserter.empty() ? author : placed.inserter));
  label.emergency = placed.asepsis == line::Asepsis::not_assured;
  const auto change = care::dressing_due_at(state, policy);
  access::Site site = placed.site;
  site.vein = text::one_line(site.vein);
  label.site = access::said_of(site);
  label.next_change = change ? say::moment_of(*change) : say::change_not_known();
  label.code = std::string(label_code_prefix) + state.id;
  label.placed_at = at;
  const auto in_one_line = label.emergency ? say::emergency_label_in_one_line : say::label_in_one_line;
  label.text = in_one_line(at, label.catheter, label.site, label.next_change, label.initials);
  return label;
}

}  // namespace dwell::document
