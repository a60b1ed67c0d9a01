#include <iostream>

#include "care/exposure.h"
#include "cli/commands.h"
#include "cli/line_options.h"
#include "procedure/steps.h"
#include "quantity/display.h"
#include "say/command.h"
#include "site/grade.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string line, reason, ground, length, tip, pressed, bleeding, signs, swelling, cord, author, tolerance, teaching;
  int pain = -1;
};

line::Removed read_removed(const Options& o, DecimalSign sign) {
  FieldErrors errors;
  line::Removed removed;
  const auto take = [&](auto checked, const char* path, auto& out) {
    if (checked)
      out = *checked;
    else
      for (const auto& e : checked.error()) errors.push_back({e.path.empty() ? path : e.path, e.found, e.expected});
  };
  take(json::decode<line::RemovalReason>(json::Value(o.reason)), "/reason", removed.reason);
  if (o.ground.empty()) errors.push_back({"/ground", "", in_english_only("the order, or why it comes out (--ground)")});
  if (!o.length.empty()) take(parse<Length>(o.length, sign), "/length-found", removed.length_found);
  take(read_yes_no(o.tip, "tip-whole"), "/tip-whole", removed.tip_whole);
  if (!o.pressed.empty()) take(parse_interval(o.pressed, sign), "/pressed", removed.pressed_for);
  take(read_yes_no(o.bleeding, "bleeding-stopped"), "/bleeding-stopped", removed.bleeding_stopped);
  take(read_signs(o.signs, o.pain, o.swelling, o.cord, sign), "/signs", removed.signs);
  if (o.author.empty()) errors.push_back({"/by", "", in_english_only("who removed it (--by)")});
  if (!errors.empty()) throw BadInput{errors};
  removed.ground = o.ground;
  removed.remover = o.author;
  removed.tolerance = o.tolerance;
  removed.teaching = o.teaching;
  return removed;
}

/// A catheter comes out once. A second removal would be of another catheter, or of a line named by mistake.
void refuse_second_removal(const line::State& state, const Session& session) {
  if (!state.removal) return;
  const auto when = local_time(session, now()).show(state.removal->at);
  throw BadInput{{{"/line", state.id + ", removed " + when + " by " + state.removal->author,
                   in_english_only("a line that is still in; nothing was recorded")}}};
}

}  // namespace

void add_remove(CLI::App& app, Session& session, Exit& exit) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("remove", "Record a removal; the catheter's length is checked");
  command->add_option("line", options->line, "Id of the line")->required();
  command->add_option("--reason", options->reason, "therapy_complete, phlebitis, infiltration, occlusion, …")
      ->required();
  command->add_option("--ground", options->ground, "The order, or why the nurse took it out");
  command->add_option("--length-found", options->length, "Length of the catheter as found, such as \"25 mm\"");
  command->add_option("--tip-whole", options->tip, "yes or no");
  command->add_option("--pressed", options->pressed, "How long it was pressed, such as \"3 min\"");
  command->add_option("--bleeding-stopped", options->bleeding, "yes or no");
  command->add_option("--signs", options->signs, "none, or signs seen at the site");
  command->add_option("--pain", options->pain, "Pain, 0 to 10")->check(CLI::Range(0, 10));
  command->add_option("--swelling", options->swelling, "Longest diameter of the swelling");
  command->add_option("--cord", options->cord, "Length of the cord felt");
  command->add_option("--by", options->author, "Who removed it");
  command->add_option("--tolerance", options->tolerance, "How the patient bore it");
  command->add_option("--teaching", options->teaching, "What the patient was told");
  command->callback([=, &session, &exit] {
    const auto ward = library(session);
    const auto state = line_state(session, ward, options->line);
    refuse_second_removal(state, session);
    auto removed = read_removed(*options, policy::decimal_sign(ward.policy));
    const auto assessment = need(site::assess(
        removed.signs, care::exposure_of(state, ward.infusates, ward.policy.infusate.harm_by_solute, now()),
        ward.policy));
    removed.grades = grades_given(assessment);
    record(session, {event(options->line, removed, options->author, now())});
    const auto placed = state.placement ? std::optional<Length>(state.placement->placed.length) : std::nullopt;
    const auto check = need(procedure::check_catheter(placed, removed.length_found, removed.tip_whole, ward.policy));
    if (session.json) {
      print_json(json::encode(check));
    } else {
      std::cout << (check.alarm ? say::alarm_catheter_not_whole() : say::removed_so()) << '\n';
      print_findings(std::cout, check.findings);
      if (check.card)
        for (const auto& step : check.card->steps) std::cout << "  - " << step.text << '\n';
      for (const auto& d : line_state(session, ward, options->line).deviations)
        std::cout << say::deviation_found(d.text) << '\n';
    }
    if (check.alarm || asks_for_more(check.findings)) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
