#include <unistd.h>

#include <iostream>
#include <optional>

#include "accounts/copy.h"
#include "cli/commands.h"
#include "ledger/copy.h"

namespace dwell::cli {
namespace {

bool is_file(const std::string& where) { return !ledger::is_postgresql(where); }

/// Two paths, links or names of one file. Asked before either is opened.
void refuse_itself(const std::string& from, const std::string& to) {
  if (!is_file(from) || !is_file(to)) return;
  const auto here = need(ledger::machine_disk().facts(from)), there = need(ledger::machine_disk().facts(to));
  if (here && there && here->identity == there->identity)
    throw BadInput{{{"/to", to, in_english_only("another file than the record itself (" + from + ")")}}};
}

/// A record, and the accounts beside it where it has some.
struct CopiedAll {
  ledger::Copied record;
  std::optional<accounts::CopiedAccounts> accounts;
  [[nodiscard]] bool is_proven() const { return record.is_proven() && (!accounts || accounts->is_proven()); }
};

json::Value json_of(const CopiedAll& copied, const std::string& to) {
  const auto& proof = copied.record.proof;
  json::Object all{{"entries", proof.entries},
                   {"head", proof.head},
                   {"pictures_copied", copied.record.pictures},
                   {"lost_pictures", json::encode(proof.lost_pictures)},
                   {"proven", copied.is_proven()},
                   {"to", ledger::shown(to)}};
  if (copied.accounts)
    all["accounts"] = json::Object{{"people", copied.accounts->people},
                                   {"audit_rows", copied.accounts->audit.rows},
                                   {"audit_head", copied.accounts->audit.head},
                                   {"audit_broken", copied.accounts->audit.broken}};
  return all;
}

void print_accounts(const accounts::CopiedAccounts& copied) {
  const auto& audit = copied.audit;
  std::cout << "Accounts: " << copied.people << (copied.people == 1 ? " person" : " people")
            << "; audit: " << audit.rows << (audit.rows == 1 ? " row" : " rows") << ", head " << audit.head << '\n';
  if (audit.broken != 0)
    std::cout << "BROKEN at row " << audit.broken << " of the audit: it does not follow the one before.\n";
}

void print(const Session& session, const CopiedAll& all, const std::string& to) {
  const auto& copied = all.record;
  const auto& proof = copied.proof;
  if (session.json) return print_json(json_of(all, to));
  std::cout << (all.is_proven() ? "Copied and proven: " : "Copied, but not all was there: ") << proof.entries
            << " entries, head " << proof.head << ", in " << ledger::shown(to) << '\n';
  if (copied.pictures > 0)
    std::cout << copied.pictures << (copied.pictures == 1 ? " picture" : " pictures") << " copied with it\n";
  for (const auto& hash : proof.lost_pictures) std::cout << "LOST: the picture " << hash << ", gone or changed\n";
  if (all.accounts) print_accounts(*all.accounts);
}

/// Whoever looks at a patient is written down beside the record, so a copy without the accounts would be half of it.
std::optional<accounts::CopiedAccounts> copy_accounts(const std::string& from, const std::string& to, bool untouched) {
  if (!accounts::Store::exists(from)) return std::nullopt;
  const auto source = need(untouched ? accounts::Store::open_untouched(from) : accounts::Store::open(from));
  return need(accounts::copy_accounts(source, need(accounts::Store::open(to))));
}

struct Source {
  ledger::Ledger& record;
  const std::string& where;
  bool untouched = false;
};

/// The one who fills a file holds it, so that nobody serves what is half there.
Exit copy(const Session& session, const Source& from, const std::string& to, bool take_unfinished) {
  std::optional<ledger::ServeLock> lock;
  if (is_file(to)) lock = need(ledger::ServeLock::take(to));
  auto target = need(ledger::open_ledger(to, ledger::Access::made));
  tell(session, target, to);
  const bool terminal = isatty(STDERR_FILENO) == 1;
  const auto told = [&](ledger::VerifyProgress p) {
    if (terminal) std::cerr << "\r" << p.checked << " of " << p.total << std::flush;
  };
  const auto copied = need(ledger::copy_record(from.record, *target.ledger, told, take_unfinished));
  if (terminal) std::cerr << "\r";
  if (copied.proof.first_bad)
    throw BadInput{{{"/to", "entry " + std::to_string(*copied.proof.first_bad),
                     in_english_only("a copy that is whole: " + copied.proof.reason)}}};
  const CopiedAll all{copied, copy_accounts(from.where, to, from.untouched)};
  print(session, all, to);
  return all.is_proven() ? Exit::fine : Exit::answer_is_no;
}

Exit backup(const Session& session, const std::string& to) {
  const std::string where = ledger_path(session);
  refuse_itself(where, to);
  const auto from = ledger(session);
  return copy(session, {*from, where}, to, false);
}

/// A backup is left as it is, on a medium that cannot be written as well; only an older one has to be brought forward.
Exit restore(const Session& session, const std::string& backup, bool take_unfinished) {
  const std::string to = ledger_path(session);
  refuse_itself(backup, to);
  if (is_file(backup) && ledger::is_served(backup))
    throw BadInput{{{"/from", backup,
                     in_english_only("a backup; a Dwell serves this record: `dwell backup` copies it while it does")}}};
  auto from = ledger::open_ledger(backup, ledger::Access::untouched);
  const bool untouched = from.has_value();
  if (!untouched) from = ledger::open_ledger(backup, ledger::Access::existing);
  const auto opened = need(std::move(from));
  return copy(session, {*opened.ledger, backup, untouched}, to, take_unfinished);
}

Exit move(const Session& session, const std::string& to) {
  if (is_file(to))
    throw BadInput{{{"/to", to, in_english_only("the address of a database: postgresql://user@host/database")}}};
  const std::string where = ledger_path(session);
  const auto from = ledger(session);
  return copy(session, {*from, where}, to, false);
}

}  // namespace

void add_copies(CLI::App& app, Session& session, Exit& exit) {
  auto where = std::make_shared<std::string>();
  auto* backup_command =
      app.add_subcommand("backup", "Copy the ledger into a file while it is in use; again to continue");
  backup_command->add_option("file", *where, "SQLite file to make or continue")->required();
  backup_command->callback([=, &session, &exit] { exit = backup(session, *where); });

  auto unfinished = std::make_shared<bool>(false);
  auto* restore_command = app.add_subcommand("restore", "Fill this empty ledger from a backup, and prove it");
  restore_command->add_option("file", *where, "The backup")->required();
  restore_command->add_flag("--unfinished", *unfinished, "Take an interrupted backup as far as it goes");
  restore_command->callback([=, &session, &exit] { exit = restore(session, *where, *unfinished); });

  auto* move_command =
      app.add_subcommand("move", "Copy the ledger into a database, chain and all; the old one stays as it is");
  move_command->add_option("to", *where, "postgresql://user@host/database")->required();
  move_command->callback([=, &session, &exit] { exit = move(session, *where); });
}

}  // namespace dwell::cli
