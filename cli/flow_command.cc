#include <iostream>

#include "cli/commands.h"
#include "cli/table.h"
#include "engine/engine.h"
#include "flow/open_line.h"
#include "quantity/shown_in.h"
#include "say/command.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string catheter, declared, length, infusate, set, set_flow, vein, height, cuff, ordered;
  std::vector<std::string> counts;
  bool by_drops = false, bench = false, workings = false;
};

void put(json::Object& input, const char* name, const std::string& text) {
  if (!text.empty()) input[name] = text;
}

/// "44 mL/min" as the line stands, or "44 mL/min at 150 cm".
json::Object count_of(const std::string& text, bool by_drops) {
  constexpr std::string_view at = " at ";
  json::Object count;
  const auto split = text.find(at);
  count["flow"] = text.substr(0, split);
  if (split != std::string::npos) count["bag_height"] = text.substr(split + at.size());
  if (by_drops) count["by_drops"] = true;
  return count;
}

json::Object input_of(const Options& o) {
  json::Object input;
  put(input, "catheter", o.catheter);
  put(input, "declared_flow", o.declared);
  put(input, "catheter_length", o.length);
  put(input, "infusate", o.infusate);
  put(input, "set", o.set);
  put(input, "set_flow", o.set_flow);
  put(input, "vein", o.vein);
  put(input, "bag_height", o.height);
  put(input, "cuff", o.cuff);
  put(input, "ordered", o.ordered);
  if (o.bench) input["in_vein"] = false;
  json::Array counts;
  for (const auto& count : o.counts) counts.emplace_back(count_of(count, o.by_drops));
  input["counts"] = std::move(counts);
  return input;
}

message::Quantity by_the_minute(Flow flow) { return shown_in(flow, millilitre / minute, "mL/min"); }

void print(const flow::OpenLineAnswer& answer, bool workings) {
  const auto& usual = answer.before;
  std::cout << say::open_line_as_usual(by_the_minute(usual.middle), by_the_minute(usual.low), by_the_minute(usual.high))
            << '\n';
  if (const auto& band = answer.after) {
    std::cout << say::open_line_by_count(by_the_minute(band->middle), by_the_minute(band->low),
                                         by_the_minute(band->high))
              << '\n';
    if (answer.counted_to_expected) std::cout << say::counted_of_usual(*answer.counted_to_expected) << '\n';
    Table table({"", said_here(say::usual_with_certainty()), said_here(say::by_count_with_certainty())});
    for (const auto& row : answer.beliefs)
      table.add({said_here(row.what), said_here(row.before), said_here(row.after)});
    table.print(std::cout);
  }
  print_findings(std::cout, answer.findings);
  if (workings) print_workings(std::cout, answer.workings);
}

}  // namespace

void add_flow(CLI::App& app, Session& session, Exit& exit) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("flow", "What the open line gives, as is usual and as a count of it shows");
  command->add_option("--catheter", options->catheter, "Of the catalogue: \"20 gauge 32 mm\"");
  command->add_option("--declared", options->declared, "Flow on the catheter's pack: \"61 mL/min\"");
  command->add_option("--length", options->length, "Catheter length, with --declared");
  command->add_option("--infusate", options->infusate, "Of the ward's list; absent: saline-like");
  command->add_option("--set", options->set, "ward or wide (blood, theatre, trauma)");
  command->add_option("--set-flow", options->set_flow, "Flow of the set alone, end open, bag 1 m above it");
  command->add_option("--vein", options->vein, "Inner diameter of the vein: \"2.5 mm\"");
  command->add_option("--height", options->height, "Surface in the bag above the site: \"90 cm\"");
  command->add_option("--cuff", options->cuff, "Gauge of a pressure sleeve: \"300 mm[Hg]\"");
  command->add_option("--count", options->counts,
                      "Open-line count: \"44 mL/min\" or \"44 mL/min at 150 cm\"; again for more");
  command->add_flag("--by-drops", options->by_drops, "The counts are of drops, not of a measured volume");
  command->add_flag("--bench", options->bench, "Not in a vein");
  command->add_option("--ordered", options->ordered, "Ordered rate, to compare with");
  command->add_flag("--workings", options->workings, "Show formula, inputs and source");
  command->callback([=, &session, &exit] {
    const auto called = need(engine::call("flow.open_line", input_of(*options), library(session)));
    const auto answer = need(json::decode<flow::OpenLineAnswer>(called));
    if (session.json)
      print_json(called);
    else
      print(answer, options->workings);
    if (asks_for_more(answer.findings)) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
