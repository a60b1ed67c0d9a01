#include <iostream>

#include "care/due.h"
#include "care/exposure.h"
#include "care/time_to_harm.h"
#include "cli/commands.h"
#include "cli/line_options.h"
#include "cli/table.h"
#include "quantity/display.h"
#include "say/command.h"
#include "site/grade.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string line, signs, swelling, cord, author, note;
  int pain = -1;
};

std::vector<line::State> open_states(const Session& session, const engine::Library& ward) {
  auto states = all_states(session, ward);
  std::erase_if(states, [](const line::State& state) { return state.stage == line::Stage::closed; });
  return states;
}

void print_ward(const Session& session, const engine::Library& ward) {
  const auto at = now();
  const auto due = care::ward_due(open_states(session, ward), ward.policy, ward.infusates, at);
  if (session.json) return print_json(json::encode(due));
  if (due.empty()) {
    std::cout << say::no_open_line_here() << '\n';
    return;
  }
  const auto here = on_the_ward(session, at);
  Table table({said_here(say::bed_column_heading()), said_here(say::patient_heading()), said_here(say::site_heading()),
               said_here(say::next_heading()), said_here(say::when_heading()), said_here(say::why_heading()),
               said_here(say::line_heading())});
  for (const auto& line : due) {
    if (line.items.empty()) {
      table.add({line.bed, line.patient, said_here(line.site), said_here(say::nothing_is_due()), "", "", line.line});
      continue;
    }
    const auto& item = line.items.front();
    const auto when = item.state == care::DueState::overdue ? say::overdue_by(item.due_at, -between(at, item.due_at))
                      : item.state == care::DueState::due   ? say::due_now_at(item.due_at)
                                                            : say::due_later_at(item.due_at);
    table.add({line.bed, line.patient, said_here(line.site), said_here(item.title), said::said(when, here),
               said::said(item.why, here), line.line});
  }
  table.print(std::cout);
  for (const auto& line : due) {
    if (line.findings.empty()) continue;
    std::cout << '\n' << say::bed_and_site(line.bed, line.site) << '\n';
    print_findings(std::cout, line.findings);
  }
}

void print_assessment(const site::Assessment& a) {
  for (const auto& g : a.grades) {
    std::cout << (g.unmatched ? say::no_grade_fits(g.title)
                  : g.grade   ? say::grade_with_meaning(g.title, *g.grade, g.meaning)
                              : say::scale_not_assessed(g.title))
              << "  " << say::mark_in_brackets(g.source.mark) << '\n';
  }
  if (a.worst_leaked_volume) std::cout << say::may_have_leaked(*a.worst_leaked_volume) << '\n';
  print_findings(std::cout, a.findings);
  if (!a.card) return;
  std::cout << '\n'
            << (a.removal_advised ? say::card_title_removal_advised(a.card->title) : say::card_title(a.card->title))
            << '\n';
  for (const auto& step : a.card->steps)
    std::cout << "  - " << step.text << "  " << say::mark_in_brackets(step.source.mark) << '\n';
  for (const auto& caution : a.card->cautions) std::cout << "  " << say::caution_in_capitals(caution) << '\n';
  if (!a.card->call.empty()) std::cout << "  " << say::call_so(a.card->call) << '\n';
}

/// What was found, and what would be under the skin by the next look.
void print_site(const site::Assessment& assessment, const std::optional<care::TimeToHarm>& ahead) {
  print_assessment(assessment);
  if (ahead) print_findings(std::cout, ahead->findings);
}

void check_site(const Options& o, const Session& session, const engine::Library& ward, Exit& exit) {
  if (o.author.empty()) throw BadInput{{{"/by", "", in_english_only("who looked at the site (--by)")}}};
  if (o.signs.empty())
    throw BadInput{{{"/signs", "", in_english_only("what was seen (--signs none, or --signs redness,pain)")}}};
  const auto state = line_state(session, ward, o.line);
  line::SiteChecked check;
  check.signs = need(read_signs(o.signs, o.pain, o.swelling, o.cord, policy::decimal_sign(ward.policy)));
  const auto assessment = need(site::assess(
      check.signs, care::exposure_of(state, ward.infusates, ward.policy.infusate.harm_by_solute, now()), ward.policy));
  check.grades = grades_given(assessment);
  check.response = assessment.response.value_or("");
  check.note = o.note;
  record(session, {event(o.line, check, o.author, now())});
  if (session.json)
    print_json(json::encode(assessment));
  else
    print_site(assessment, care::time_to_harm(state, ward.policy, ward.infusates, now()));
  // Whatever opens a card or asks for more is no quiet site.
  if (assessment.removal_advised || assessment.ask || assessment.card || asks_for_more(assessment.findings))
    exit = Exit::answer_is_no;
}

/// What was seen must lie on a line: without one, nothing of it would be kept.
void refuse_findings_without_line(const Options& o) {
  const bool seen = o.pain >= 0;
  for (const auto* given : {&o.signs, &o.swelling, &o.cord, &o.author, &o.note})
    if (seen || !given->empty())
      throw BadInput{
          {{"/line", "",
            in_english_only("the line at which this was seen; `dwell watch` lists them. Nothing was recorded")}}};
}

}  // namespace

void add_watch(CLI::App& app, Session& session, Exit& exit) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("watch", "What is due on the ward; with a line, record a site check");
  command->add_option("line", options->line, "Id of the line; leave out for the whole ward");
  command->add_option("--signs", options->signs, "none, or signs: redness,pain,swelling,…");
  command->add_option("--pain", options->pain, "Pain, 0 to 10")->check(CLI::Range(0, 10));
  command->add_option("--swelling", options->swelling, "Longest diameter of the swelling, such as \"3 cm\"");
  command->add_option("--cord", options->cord, "Length of the cord felt");
  command->add_option("--by", options->author, "Who looked");
  command->add_option("--note", options->note, "Anything else");
  command->callback([=, &session, &exit] {
    if (options->line.empty()) refuse_findings_without_line(*options);
    const auto ward = library(session);
    if (options->line.empty())
      print_ward(session, ward);
    else
      check_site(*options, session, ward, exit);
  });
}

}  // namespace dwell::cli
