// Whether a line is needed, and what became of it when the patient left.
#include <iostream>

#include "cli/commands.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string line, author;
  std::string how, to, why, told, looks_after;                                    // leave
  std::string ground, what_for, next_use, in_case_by, asked, prescriber, reason;  // need
};

void take_one_of(auto checked, const char* path, auto& out, FieldErrors& errors) {
  if (checked)
    out = *checked;
  else
    for (const auto& e : checked.error()) errors.push_back({e.path.empty() ? path : e.path, e.found, e.expected});
}

void chart(const Options& o, const Session& session, line::Body body, FieldErrors errors) {
  if (o.author.empty()) errors.push_back({"/by", "", in_english_only("who charts it (--by)")});
  if (!errors.empty()) throw BadInput{errors};
  static_cast<void>(line_state(session, library(session), o.line));  // a line that is not there is named first
  record(session, {event(o.line, std::move(body), o.author, now())});
  std::cout << "Charted.\n";
}

void leave(const Options& o, const Session& session) {
  FieldErrors errors;
  if (o.how.empty()) return chart(o, session, line::LeftWithLine{o.why, o.told, o.looks_after}, std::move(errors));
  line::Departed departed{line::Departure::unknown, o.to};
  take_one_of(json::decode<line::Departure>(json::Value(o.how)), "/how", departed.how, errors);
  chart(o, session, departed, std::move(errors));
}

void need_of(const Options& o, const Session& session) {
  FieldErrors errors;
  if (!o.reason.empty()) {
    line::NotPlaced not_placed{line::NotPlacedReason::other, o.what_for};
    take_one_of(json::decode<line::NotPlacedReason>(json::Value(o.reason)), "/not-placed", not_placed.reason, errors);
    return chart(o, session, not_placed, std::move(errors));
  }
  line::NeedReviewed need;
  take_one_of(json::decode<line::NeedGround>(json::Value(o.ground)), "/ground", need.ground, errors);
  if (!o.asked.empty()) take_one_of(json::decode<line::AskedFor>(json::Value(o.asked)), "/ask-for", need.asked, errors);
  if (!o.next_use.empty()) take_one_of(parse_instant(o.next_use), "/next-use", need.next_use, errors);
  need.what_for = o.what_for;
  need.in_case_by = o.in_case_by;
  need.prescriber = o.prescriber;
  chart(o, session, need, std::move(errors));
}

}  // namespace

void add_need(CLI::App& app, Session& session, Exit&) {
  auto left = std::make_shared<Options>();
  auto* leaving = app.add_subcommand("leave", "The patient has left (--how), or left with the line in on purpose");
  leaving->add_option("line", left->line, "Id of the line")->required();
  auto* how = leaving->add_option("--how", left->how,
                                  "discharged, transferred, left_unannounced, died or bed_emptied: an open line is an "
                                  "alarm from then on");
  leaving->add_option("--to", left->to, "Where to")->needs(how);
  auto* why = leaving->add_option("--why", left->why, "Why the line stays in")->excludes(how);
  leaving->add_option("--told", left->told, "Who was told that it is in")->excludes(how);
  leaving->add_option("--looks-after", left->looks_after, "Who looks after it from now on")->excludes(how);
  leaving->add_option("--by", left->author, "Who charts it");
  leaving->callback([=, &session] {
    if (left->how.empty() && why->empty())
      throw BadInput{{{"/how", "", in_english_only("how the patient left (--how), or why the line stays in (--why)")}}};
    leave(*left, session);
  });

  auto asked = std::make_shared<Options>();
  auto* needing = app.add_subcommand("need", "Whether the line is needed, and until when; or why none was placed");
  needing->add_option("line", asked->line, "Id of the line")->required();
  auto* not_placed = needing->add_option("--not-placed", asked->reason,
                                         "another_route, usable_line_in, not_needed, refused, no_vein or other");
  auto* ground = needing->add_option("--ground", asked->ground,
                                     "no_other_form, cannot_swallow_or_absorb, within_minutes, volume, contrast, "
                                     "blood, in_case or none");
  ground->excludes(not_placed);
  needing->add_option("--for", asked->what_for, "What for; with --not-placed, more about why");
  needing->add_option("--next-use", asked->next_use, "When it is to be used next; left out: no use is planned")
      ->needs(ground);
  needing->add_option("--in-case-by", asked->in_case_by, "Who wants it in case")->needs(ground);
  needing->add_option("--ask-for", asked->asked, "What the prescriber was asked for: another_route or removal")
      ->needs(ground);
  needing->add_option("--prescriber", asked->prescriber, "Who was asked")->needs(ground);
  needing->add_option("--by", asked->author, "Who charts it");
  needing->callback([=, &session] {
    if (asked->ground.empty() && asked->reason.empty())
      throw BadInput{{{"/ground", "", in_english_only("why it must be a vein (--ground), or --not-placed")}}};
    need_of(*asked, session);
  });
}

}  // namespace dwell::cli
