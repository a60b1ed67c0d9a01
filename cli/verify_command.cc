#include <unistd.h>

#include <iostream>

#include "cli/commands.h"

namespace dwell::cli {

void add_verify(CLI::App& app, Session& session, Exit& exit) {
  auto* command = app.add_subcommand("verify", "Prove the record's chain, or name the first bad entry");
  command->callback([&session, &exit] {
    const bool terminal = isatty(STDERR_FILENO) == 1;
    const auto result = ledger(session)->verify([&](ledger::VerifyProgress p) {
      if (terminal) std::cerr << "\r" << p.checked << " of " << p.total << std::flush;
    });
    if (terminal) std::cerr << "\r";
    if (session.json) {
      json::Object out{{"entries", result.entries}, {"head", result.head}, {"whole", !result.first_bad.has_value()}};
      if (result.first_bad) out.emplace("first_bad", *result.first_bad), out.emplace("reason", result.reason);
      print_json(out);
    } else if (result.first_bad) {
      std::cout << "BROKEN at entry " << *result.first_bad << ": " << result.reason << '\n';
    } else {
      std::cout << "Whole: " << result.entries << " entries, head " << result.head << '\n';
    }
    if (result.first_bad) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
