#include <algorithm>
#include <iostream>
#include <utility>

#include "cli/commands.h"
#include "cli/table.h"
#include "device/plan.h"
#include "exchange/library.h"
#include "quantity/display.h"
#include "say/command.h"
#include "say/common.h"

namespace dwell::cli {
namespace {

std::vector<Finding> not_said_before(const std::vector<Finding>& findings, const std::vector<Finding>& before) {
  std::vector<Finding> fresh;
  for (const auto& finding : findings)
    if (std::find(before.begin(), before.end(), finding) == before.end()) fresh.push_back(finding);
  return fresh;
}

void print_plan(const device::Plan& plan, bool workings) {
  std::vector<Message> rate{plan.order.rate.rate_text};
  if (plan.order.rate.drops_per_minute) rate.push_back(say::whole_drops_a_minute(*plan.order.rate.drops_per_minute));
  std::cout << plan.summary << "\n\n"
            << say::order_line(std::move(rate), plan.order.rate.duration) << "  "
            << say::verdict_in_brackets(plan.order.verdict) << '\n';
  print_findings(std::cout, plan.order.findings);
  print_looks(std::cout, plan.order.looks);
  std::cout << '\n'
            << say::into_a_vein(plan.suitability.route) << "  " << say::verdict_in_brackets(plan.suitability.verdict)
            << '\n';
  print_findings(std::cout, not_said_before(plan.suitability.findings, plan.order.findings));
  print_looks(std::cout, plan.suitability.looks);
  print_findings(std::cout, plan.findings);

  std::cout << '\n' << (plan.first_is_choice ? say::options_best_first() : say::options_not_advised()) << '\n';
  Table table({"", said_here(say::catheter_heading()), said_here(say::vein_heading()),
               said_here(say::fills_vein_heading()), said_here(say::in_vein_heading()),
               said_here(say::open_flow_heading()), said_here(say::score_heading())});
  int place = 0;
  for (const auto& o : plan.options)
    table.add({std::to_string(++place), o.catheter, o.vein, said_here(o.margins[0].value),
               said_here(o.margins[1].value), said_here(say::quantity(shown(o.open_flow))),
               said_here(say::quantity(shown_number(o.score, 2)))});
  table.print(std::cout);
  if (plan.further_options) std::cout << say::further_options(plan.further_options) << '\n';
  place = 0;
  for (const auto& o : plan.options) {
    std::cout << '\n' << ++place << ". " << o.catheter << ", " << access::said_of(o.site) << '\n';
    for (const auto& reason : o.reasons) std::cout << "  - " << reason << '\n';
    print_findings(std::cout, o.cautions);
    if (workings)
      for (const auto& m : o.margins) print_workings(std::cout, {m.working});
  }
  std::cout << '\n' << say::options_that_are_out() << '\n';
  for (const auto& x : plan.exclusions) {
    std::cout << "  " << x.vein << ": ";
    for (std::size_t i = 0; i < x.catheters.size(); ++i) std::cout << (i ? ", " : "") << x.catheters[i];
    std::cout << (x.catheters.empty() ? "" : ": ") << say::would_need(x.reason, x.change) << '\n';
  }
  if (workings) print_workings(std::cout, plan.order.workings);
  std::cout << '\n' << say::advice_only() << '\n';
}

/// Begins the line in the ledger: opened, ordered, assessed.
std::string open_line(const Session& session, const device::Case& nursing_case, const std::string& bed,
                      const std::string& author) {
  const Instant at = now();
  const std::string line = fresh_id(at);
  line::Opened opened{nursing_case.patient, {"", "", bed}};
  record(session, {event(line, opened, author, at), event(line, line::Ordered{nursing_case.order}, author, at),
                   event(line, line::Assessed{nursing_case.veins}, author, at)});
  return line;
}

}  // namespace

void add_plan(CLI::App& app, Session& session, Exit& exit) {
  struct Options {
    std::string file, bed, author;
    bool open = false, workings = false;
  };
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("plan", "Which catheter in which vein for an order (CASE.toml)");
  command->add_option("case", options->file, "Case file; see examples/")->required();
  command->add_flag("--workings", options->workings, "Show formula, inputs and source of each number");
  auto* open = command->add_flag("--open", options->open, "Also begin the line in the ledger and print its id");
  command->add_option("--bed", options->bed, "Bed, with --open")->needs(open);
  command->add_option("--by", options->author, "Who is charting, with --open")->needs(open);
  command->callback([=, &session, &exit] {
    const auto ward = library(session, options->open);
    auto nursing_case =
        need(exchange::load_case(read_file(options->file), options->file, now(), policy::decimal_sign(ward.policy)));
    const auto plan = need(device::plan(nursing_case, ward.catheters, ward.infusates, ward.policy));
    if (session.json)
      print_json(json::encode(plan));
    else
      print_plan(plan, options->workings);
    if (options->open) {
      if (options->author.empty()) throw BadInput{{{"/by", "", in_english_only("who is charting (--by)")}}};
      const auto line = open_line(session, nursing_case, options->bed, options->author);
      std::cout << '\n' << say::line_begun(line) << '\n';
    }
    // What was not fully checked is no yes.
    const bool suits = plan.suitability.route == infusate::Route::short_peripheral;
    if (!plan.first_is_choice || !suits || verdict::holds_back(plan.verdict)) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
