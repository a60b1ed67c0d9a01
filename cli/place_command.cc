#include <iostream>

#include "cli/commands.h"
#include "cli/line_options.h"
#include "cli/steps_printed.h"
#include "line/history_text.h"
#include "line/state.h"
#include "procedure/steps.h"
#include "quantity/display.h"
#include "say/command.h"
#include "supply/pack_code.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string line, site, length, author, antiseptic, dried, blood_return, flush, dressing = "film", reason, tolerance,
                                                                                  teaching;
  int gauge = 0;
  std::vector<std::string> supplies, failed_attempts;
  bool emergency = false, steps = false;
};

/// "flush=(01)…(17)…(10)…": what it is, then its pack code.
void check_supplies(const Options& o, Date today, const std::string& line, std::vector<line::Event>& events) {
  FieldErrors errors;
  for (std::size_t i = 0; i < o.supplies.size(); ++i) {
    const auto& text = o.supplies[i];
    const std::string path = "/supply/" + std::to_string(i);
    const auto equals = text.find('=');
    if (equals == std::string::npos) {
      errors.push_back({path, text, in_english_only("what it is and its code: flush=(01)…(17)…(10)…")});
      continue;
    }
    supply::SupplyInput input;
    input.what = text.substr(0, equals);
    input.code = text.substr(equals + 1);
    input.today = today;
    const auto checked = supply::check_supply(input);
    if (!checked) {
      for (const auto& e : checked.error()) errors.push_back({path + e.path, e.found, e.expected});
    } else if (!checked->usable && o.reason.empty()) {
      errors.push_back({path, input.what,
                        in_english_only(said_here(checked->text) + "; or give --reason if it was used all the same")});
    } else {
      line::SupplyUsed used{input.what, checked->pack.gtin, checked->pack.lot, checked->pack.expiry, {}};
      if (!checked->usable) used.reason = o.reason;
      events.push_back(event(line, used, o.author, now()));
    }
  }
  if (!errors.empty()) throw BadInput{errors};
}

line::Placed read_placed(const Options& o, DecimalSign sign) {
  FieldErrors errors;
  line::Placed placed;
  const auto take = [&](auto checked, const char* path, auto& out) {
    if (checked)
      out = *checked;
    else
      for (const auto& e : checked.error()) errors.push_back({e.path.empty() ? path : e.path, e.found, e.expected});
  };
  take(read_site(o.site), "/site", placed.site);
  take(json::decode<Gauge>(json::Value(o.gauge)), "/gauge", placed.gauge);
  take(parse<Length>(o.length, sign), "/length", placed.length);
  take(read_yes_no(o.blood_return, "blood-return"), "/blood-return", placed.blood_return);
  if (!o.dried.empty()) take(parse_interval(o.dried, sign), "/dried", placed.dried_for);
  if (!o.flush.empty()) take(parse<Volume>(o.flush, sign), "/flush", placed.flushed);
  take(json::decode<line::Dressing>(json::Value(o.dressing)), "/dressing", placed.dressing);
  if (!errors.empty()) throw BadInput{errors};
  placed.inserter = o.author;
  placed.antiseptic = o.antiseptic;
  placed.asepsis = o.emergency ? line::Asepsis::not_assured : line::Asepsis::aseptic;
  placed.tolerance = o.tolerance;
  placed.teaching = o.teaching;
  return placed;
}

}  // namespace

void add_place(CLI::App& app, Session& session, Exit& exit) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("place", "Record a placement; --steps shows how it is done here");
  auto* line = command->add_option("line", options->line, "Id of the line")->required();
  auto* steps = command->add_flag("--steps", options->steps, "Show the steps with their clocks, record nothing");
  command->add_option("--site", options->site, "\"left forearm_middle cephalic\"");
  command->add_option("--gauge", options->gauge, "Gauge of the catheter");
  command->add_option("--length", options->length, "Length of the catheter, such as \"25 mm\"");
  command->add_option("--by", options->author, "Who placed it");
  command->add_option("--antiseptic", options->antiseptic, "What the skin was cleaned with");
  command->add_option("--dried", options->dried, "How long it dried, such as \"35 s\"");
  command->add_option("--blood-return", options->blood_return, "yes or no");
  command->add_option("--flush", options->flush, "Volume flushed, such as \"5 mL\"");
  command->add_option("--dressing", options->dressing, "film or gauze");
  command->add_option("--supply", options->supplies, "what=pack code; an expired supply is refused");
  command->add_option("--failed-attempt", options->failed_attempts, "Outcome of each attempt before: no_flashback, …");
  command->add_option("--reason", options->reason, "Why policy was not followed");
  command->add_option("--tolerance", options->tolerance, "How the patient bore it");
  command->add_option("--teaching", options->teaching, "What the patient was told");
  command->add_flag("--emergency", options->emergency, "Asepsis could not be assured");
  // With --steps nothing is recorded, so nothing to record is taken.
  const auto is_recorded = [&](const CLI::Option* o) {
    return o != line && o != steps && o != command->get_help_ptr();
  };
  for (auto* recorded : command->get_options(is_recorded)) steps->excludes(recorded);
  command->callback([=, &session, &exit] {
    const auto ward = library(session);
    const auto state = line_state(session, ward, options->line);
    if (options->steps) {
      const auto steps = need(procedure::placing_steps({state.patient, "", {}, utc_date(now())}, ward.policy));
      return session.json ? print_json(json::encode(steps)) : print_steps(steps);
    }
    if (options->author.empty()) throw BadInput{{{"/by", "", in_english_only("who placed it (--by)")}}};
    std::vector<line::Event> events;
    const auto placed = read_placed(*options, policy::decimal_sign(ward.policy));
    check_supplies(*options, utc_date(now() + local_time(session, now()).offset(now())), options->line, events);
    for (const auto& outcome : options->failed_attempts)
      events.push_back(event(options->line,
                             line::Attempted{placed.site, placed.gauge, options->author,
                                             need(json::decode<line::AttemptOutcome>(json::Value(outcome))), ""},
                             options->author, now()));
    events.push_back(event(options->line, placed, options->author, now()));
    if (!options->reason.empty()) events.back().deviation_reason = options->reason;
    record(session, events);
    const auto after = line_state(session, ward, options->line);
    if (session.json) return print_json(json::encode(after));
    std::cout << say::placed_so(line::describe(placed.gauge), placed.length, access::said_of(placed.site)) << '\n';
    for (const auto& d : after.deviations)
      std::cout << (d.reason ? say::deviation_found_because(d.text, *d.reason) : say::deviation_found(d.text)) << '\n';
    if (!after.contradictions.empty()) exit = Exit::answer_is_no;
    for (const auto& c : after.contradictions) std::cout << say::to_resolve(c) << '\n';
  });
}

}  // namespace dwell::cli
