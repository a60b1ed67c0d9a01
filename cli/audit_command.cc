// The book of who looked at which patient: printed, and its chain proven.
#include "accounts/audit.h"

#include <algorithm>
#include <iostream>
#include <map>

#include "accounts/accounts.h"
#include "cli/commands.h"

namespace dwell::cli {
namespace {

struct Asked {
  std::string who, line, since;
};

/// Accounts by the name that was asked for; the book itself holds their ids.
std::map<std::string, std::string> names_of(const std::shared_ptr<accounts::Store>& store) {
  std::map<std::string, std::string> names;
  for (const auto& person : accounts::Accounts(store, accounts::rules_to_read()).people())
    names[person.id] = person.name;
  return names;
}

void audit(const Session& session, const Asked& asked, Exit& exit) {
  const std::string path = ledger_path(session);
  if (!accounts::Store::exists(path))
    throw BadInput{{{"/ledger", ledger::shown(path),
                     in_english_only("a record with accounts; without them nobody signs in, and "
                                     "there is no audit")}}};
  const auto since = asked.since.empty() ? Checked<Instant>(Instant{}) : parse_instant(asked.since);
  if (!since) throw BadInput{{{"/since", asked.since, in_english_only("a moment such as 2026-11-25T07:00:00Z")}}};
  const auto store = need(accounts::Store::open(path));
  const auto names = names_of(store);
  json::Array out;
  const auto verdict = accounts::Audit(store).walk([&](const accounts::AuditRow& row) {
    const auto name = names.find(row.who);
    const std::string who = row.who.empty() ? "nobody known" : name == names.end() ? row.who : name->second;
    const bool of_line =
        asked.line.empty() || std::find(row.lines.begin(), row.lines.end(), asked.line) != row.lines.end();
    if (row.at < *since || !of_line || (!asked.who.empty() && asked.who != who && asked.who != row.who)) return;
    if (session.json) {
      out.push_back(json::encode(row));
      return;
    }
    std::cout << row.sequence << "  " << iso(row.at) << "  " << who << (row.role.empty() ? "" : " (" + row.role + ")")
              << "  " << row.act << "  " << row.status << '\n';
    for (const auto& line : row.lines) std::cout << "      " << line << '\n';
  });
  exit = verdict.broken == 0 ? Exit::fine : Exit::answer_is_no;
  if (session.json) {
    print_json(json::Object{
        {"rows", std::move(out)}, {"count", verdict.rows}, {"head", verdict.head}, {"broken", verdict.broken}});
    return;
  }
  if (verdict.broken == 0)
    std::cout << "The audit's chain is whole: " << verdict.rows << " rows, head " << verdict.head << '\n';
  else
    std::cout << "BROKEN at row " << verdict.broken << ": it does not follow the one before.\n";
}

}  // namespace

void add_audit(CLI::App& app, Session& session, Exit& exit) {
  auto asked = std::make_shared<Asked>();
  auto* command = app.add_subcommand("audit", "Who looked at which patient and who charted, and whether all is there");
  command->add_option("--who", asked->who, "Only of this person");
  command->add_option("--line", asked->line, "Only of this line");
  command->add_option("--since", asked->since, "Only since this moment");
  command->callback([=, &session, &exit] { audit(session, *asked, exit); });
}

}  // namespace dwell::cli
