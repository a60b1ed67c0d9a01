#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <unordered_map>
#include <utility>

#include "cli/commands.h"
#include "cli/table.h"
#include "exchange/csv/lines_csv.h"
#include "quantity/display.h"
#include "say/command.h"
#include "say/common.h"
#include "say/document.h"
#include "say/line.h"

namespace dwell::cli {
namespace {

std::string days(const std::optional<double>& minutes) {
  if (!minutes) return said_here(say::not_reached());
  auto shown = shown_number(*minutes / 1440);
  shown.parts.front().unit = "d";
  return said_here(say::quantity(std::move(shown)));
}

Message first_attempt(const std::optional<statistics::Share>& f) {
  if (!f) return say::not_recorded();
  return say::percent_with_band(shown_number(f->share * 100), shown_number(f->low * 100), shown_number(f->high * 100));
}

void print_learn(const statistics::LearnResult& result) {
  Table table({said_here(say::group_heading()), said_here(say::lines_heading()), said_here(say::failures_heading()),
               said_here(say::rate_heading()), said_here(say::half_failed_heading()),
               said_here(say::first_attempt_heading())});
  for (const auto& g : result.groups) {
    const auto& r = g.failure_rate;
    table.add({said_here(g.group), std::to_string(g.lines), std::to_string(g.failures),
               said_here(say::number_with_band(shown_number(r.rate), shown_number(r.low), shown_number(r.high))),
               days(g.survival.median), said_here(first_attempt(g.first_attempt_success))});
  }
  table.print(std::cout);
  std::cout << '\n' << say::why_lines_ended() << '\n';
  for (const auto& g : result.groups) {
    std::vector<Message> reasons;
    for (const auto& [reason, count] : g.reasons)
      reasons.push_back(say::reason_so_often(say::removal_reason(reason), count));
    std::cout << "  " << say::reasons_of_group(g.group, std::move(reasons)) << '\n';
  }
  if (result.log_rank)
    std::cout << '\n'
              << say::do_the_groups_differ(shown_number(result.log_rank->chi_square),
                                           result.log_rank->degrees_of_freedom, shown_number(result.log_rank->p_value))
              << '\n';
  std::cout << say::still_in(result.still_in) << '\n';
  for (const auto& f : result.findings)
    std::cout << say::severity_in_capitals(Severity::information) << ": " << f.text << '\n';
}

/// Of millions of rows, only what the sums need.
std::vector<statistics::LineRow> read_rows(const std::string& file, statistics::GroupBy by) {
  using statistics::GroupBy;
  std::ifstream in(file, std::ios::binary);
  if (!in || std::filesystem::is_directory(file))
    throw BadInput{{{"", file, in_english_only("a file that can be read")}}};
  std::vector<statistics::LineRow> rows;
  constexpr std::size_t most_errors = 20;
  std::unordered_map<std::string, std::size_t> row_of;  // a line counts once
  FieldErrors twice;
  need(csv::read_lines(in, [&](statistics::LineRow row) {
    const auto [before, is_new] = row_of.emplace(std::move(row.id), rows.size() + 1);
    if (!is_new && twice.size() < most_errors)
      twice.push_back({"row " + std::to_string(rows.size() + 1) + ", column id", before->first,
                       in_english_only("each line once; it stands in row " + std::to_string(before->second) + " too")});
    row.id = {};
    if (by != GroupBy::unit) row.unit = {};
    if (by != GroupBy::region) row.region = {};
    if (by != GroupBy::inserter) row.inserter = {};
    rows.push_back(std::move(row));
  }));
  if (!twice.empty()) throw BadInput{twice};
  return rows;
}

}  // namespace

void add_learn(CLI::App& app, Session& session, Exit&) {
  struct Options {
    std::string file, by = "none", cut;
  };
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("learn", "How long lines last and why they fail, from a CSV file");
  command->add_option("file", options->file, "CSV: id,unit,placed_at,ended_at,reason,gauge,region,inserter,attempts")
      ->required();
  command->add_option("--by", options->by, "none, gauge, region, unit or inserter");
  command->add_option("--cut", options->cut, "Moment of the data cut (default: now), such as 2026-11-25T08:00:00Z");
  command->callback([=, &session] {
    statistics::LearnInput input;
    input.cut = options->cut.empty() ? now() : need(parse_instant(options->cut));
    const auto by = json::Codec<statistics::GroupBy>::from_name(options->by);
    if (!by) throw BadInput{{{"/by", options->by, in_english_only("none, gauge, region, unit or inserter")}}};
    input.group_by = *by;
    input.rows = read_rows(options->file, *by);
    const auto result = need(statistics::learn(std::move(input)));
    if (session.json)
      print_json(json::encode(result));
    else
      print_learn(result);
  });
}

}  // namespace dwell::cli
