#include <unistd.h>

#include <iostream>

#include "cli/commands.h"
#include "ledger/copy.h"

namespace dwell::cli {
namespace {

/// Copies and then proves the copy.
void copy(ledger::Ledger& from, const std::string& to_where) {
  const auto to = need(ledger::open_ledger(to_where));
  const bool terminal = isatty(STDERR_FILENO) == 1;
  const auto told = [&](ledger::VerifyProgress p) {
    if (terminal) std::cerr << "\r" << p.checked << " of " << p.total << std::flush;
  };
  const auto entries = need(ledger::copy_chain(from, *to, told));
  const auto photos = need(ledger::copy_photos(from, *to));
  const auto proven = to->verify(told);
  if (terminal) std::cerr << "\r";
  if (proven.first_bad)
    throw BadInput{{{"/to", "entry " + std::to_string(*proven.first_bad), "a copy that is whole: " + proven.reason}}};
  std::cout << "Copied and proven: " << entries << " entries, head " << proven.head << ", in "
            << ledger::shown(to_where) << '\n';
  if (photos > 0) std::cout << photos << (photos == 1 ? " picture" : " pictures") << " copied with it\n";
}

}  // namespace

void add_copies(CLI::App& app, Session& session, Exit&) {
  auto where = std::make_shared<std::string>();
  auto* backup = app.add_subcommand("backup", "Copy the ledger into a file while it is in use; again to continue");
  backup->add_option("file", *where, "SQLite file to make or continue")->required();
  backup->callback([=, &session] { copy(*ledger(session), *where); });

  auto* restore = app.add_subcommand("restore", "Fill this empty ledger from a backup, and prove it");
  restore->add_option("file", *where, "The backup")->required();
  restore->callback([=, &session] { copy(*need(ledger::open_ledger(*where)), ledger_path(session)); });

  auto* move = app.add_subcommand("move", "Copy the ledger into a database, chain and all; the old one stays as it is");
  move->add_option("to", *where, "postgresql://user@host/database")->required();
  move->callback([=, &session] {
    if (!ledger::is_postgresql(*where))
      throw BadInput{{{"/to", ledger::shown(*where), "the address of a database: postgresql://user@host/database"}}};
    copy(*ledger(session), *where);
  });
}

}  // namespace dwell::cli
