#include <algorithm>
#include <iostream>
#include <utility>

#include "cli/commands.h"
#include "cli/table.h"
#include "device/plan.h"
#include "exchange/library.h"
#include "quantity/display.h"

namespace dwell::cli {
namespace {

std::vector<Finding> not_said_before(const std::vector<Finding>& findings, const std::vector<Finding>& before) {
  std::vector<Finding> fresh;
  for (const auto& finding : findings)
    if (std::find(before.begin(), before.end(), finding) == before.end()) fresh.push_back(finding);
  return fresh;
}

void print_plan(const device::Plan& plan, bool workings) {
  std::cout << plan.summary << "\n\nOrder: " << plan.order.rate.rate_text;
  if (plan.order.rate.drops_per_minute) std::cout << ", " << *plan.order.rate.drops_per_minute << " drops/min";
  std::cout << ", runs " << show(plan.order.rate.duration) << "  [" << json::name_of(plan.order.verdict) << "]\n";
  print_findings(std::cout, plan.order.findings);
  print_looks(std::cout, plan.order.looks);
  std::cout << "\nInto a vein: " << json::name_of(plan.suitability.route) << "  ["
            << json::name_of(plan.suitability.verdict) << "]\n";
  print_findings(std::cout, not_said_before(plan.suitability.findings, plan.order.findings));
  print_looks(std::cout, plan.suitability.looks);
  print_findings(std::cout, plan.findings);

  std::cout << (plan.first_is_choice ? "\nOptions, best first\n" : "\nOptions, none of them advised\n");
  Table table({"", "catheter", "vein", "fills vein", "in vein", "open flow", "score"});
  int place = 0;
  for (const auto& o : plan.options)
    table.add({std::to_string(++place), o.catheter, o.vein, said_here(o.margins[0].value),
               said_here(o.margins[1].value), show(o.open_flow), show_number(o.score, 2)});
  table.print(std::cout);
  if (plan.further_options) std::cout << "and " << plan.further_options << " more that fit but rank below these\n";
  place = 0;
  for (const auto& o : plan.options) {
    std::cout << '\n' << ++place << ". " << o.catheter << ", " << access::describe(o.site) << '\n';
    for (const auto& reason : o.reasons) std::cout << "  - " << reason << '\n';
    print_findings(std::cout, o.cautions);
    if (workings)
      for (const auto& m : o.margins) print_workings(std::cout, {m.working});
  }
  std::cout << "\nOut\n";
  for (const auto& x : plan.exclusions) {
    std::cout << "  " << x.vein << ": ";
    for (std::size_t i = 0; i < x.catheters.size(); ++i) std::cout << (i ? ", " : "") << x.catheters[i];
    std::cout << (x.catheters.empty() ? "" : ": ") << x.reason;
    std::cout << " Would need: " << x.change << '.';
    std::cout << '\n';
  }
  if (workings) print_workings(std::cout, plan.order.workings);
  std::cout << "\nAdvice only: the order, local policy and your own assessment govern.\n";
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
      std::cout << "\nLine " << line << " begun.\n";
    }
    // What was not fully checked is no yes.
    const bool suits = plan.suitability.route == infusate::Route::short_peripheral;
    if (!plan.first_is_choice || !suits || verdict::holds_back(plan.verdict)) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
