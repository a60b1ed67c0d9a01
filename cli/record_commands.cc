// Keeping the record over years: its cache made again, and what must be kept longer than others.
#include <unistd.h>

#include <iostream>

#include "cli/commands.h"
#include "cli/table.h"
#include "ledger/projection.h"
#include "quantity/display.h"

namespace dwell::cli {
namespace {

void rebuild(const Session& session) {
  const auto ward = library(session);
  const bool terminal = isatty(STDERR_FILENO) == 1;
  const auto made =
      need(ledger::rebuild(*ledger(session), ward.policy, ward.infusates, now(), [&](ledger::VerifyProgress progress) {
        if (terminal) std::cerr << "\r" << progress.checked << " of " << progress.total << " lines" << std::flush;
      }));
  if (terminal) std::cerr << "\r";
  if (session.json)
    print_json(json::Object{{"entries", made.sequence}, {"lines", made.lines}, {"open", made.open}});
  else
    std::cout << "Made again from " << made.sequence << " entries: " << made.lines << " lines, " << made.open
              << " of them open.\n";
}

struct Keep {
  std::string line, reason, author;
};

/// A hold is an entry like any other: it says who asked for it, and cannot be taken back in silence.
void hold(const Session& session, const Keep& asked, bool release) {
  if (asked.author.empty()) throw BadInput{{{"/by", "", in_english_only("who decides it (--by)")}}};
  const auto state = line_state(session, library(session), asked.line);
  if (release && !state.held_because)
    throw BadInput{{{"/line", asked.line, in_english_only("a line whose record is held; this one is not")}}};
  const line::Body body =
      release ? line::Body(line::RetentionReleased{asked.reason}) : line::Body(line::RetentionHeld{asked.reason});
  record(session, {event(asked.line, body, asked.author, now())});
  std::cout << (release ? "The hold has ended.\n" : "Held.\n");
}

/// Only names them: nothing is ever erased by this program, because the chain would no longer prove itself.
void past_keeping(const Session& session) {
  const auto ward = library(session);
  const auto& keep = ward.policy.record.keep_closed;
  Table table({"Line", "Removed", "Held"});
  json::Array out;
  for (const auto& state : all_states(session, ward)) {
    if (state.stage != line::Stage::closed || !state.removal || state.removal->at + keep.value > now()) continue;
    const std::string held = state.held_because.value_or("");
    table.add({state.id, show(utc_date(state.removal->at)), held});
    out.push_back(json::Object{{"line", state.id}, {"removed", iso(state.removal->at)}, {"held", held}});
  }
  if (session.json) return print_json(out);
  std::cout << "Closed for longer than " << show(keep.value) << " [" << json::name_of(keep.mark) << ": " << keep.source
            << "]\n";
  if (out.empty())
    std::cout << "No line.\n";
  else
    table.print(std::cout);
}

}  // namespace

void add_record(CLI::App& app, Session& session, Exit&) {
  app.add_subcommand("rebuild", "Make the cache of lines again from the record's entries")->callback([&session] {
    rebuild(session);
  });

  for (const bool release : {false, true}) {
    auto asked = std::make_shared<Keep>();
    auto* command =
        app.add_subcommand(release ? "release" : "hold", release ? "End the hold on the record of a line"
                                                                 : "Keep the record of a line beyond its time");
    command->add_option("line", asked->line, "Id of the line")->required();
    command->add_option("--reason", asked->reason, "Why")->required();
    command->add_option("--by", asked->author, "Who decides it");
    command->callback([=, &session] { hold(session, *asked, release); });
  }

  app.add_subcommand("retention", "Lines closed for longer than the policy keeps them, and which are held")
      ->callback([&session] { past_keeping(session); });
}

}  // namespace dwell::cli
