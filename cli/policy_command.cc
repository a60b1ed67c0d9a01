#include <iostream>

#include "cli/commands.h"
#include "exchange/library.h"

namespace dwell::cli {

void add_policy(CLI::App& app, Session& session, Exit&) {
  auto* command = app.add_subcommand("policy", "The ward's policy");
  command->require_subcommand(1);
  auto folder = std::make_shared<std::string>();
  auto* check = command->add_subcommand("check", "Check a policy folder; refuses with file, line and reason");
  check->add_option("folder", *folder, "Folder with policy.toml, catheters.toml and infusates.toml")->required();
  check->callback([=] {
    const auto ward = need(exchange::load_library(*folder));
    std::cout << "Good: " << ward.policy.name << ", version " << ward.policy.version << "; " << ward.catheters.size()
              << " catheters, " << ward.infusates.size() << " infusates, " << ward.policy.scales.size() << " scales.\n";
  });
  auto* show = command->add_subcommand("show", "The policy in force, with the source and mark of each figure");
  show->callback([&session] { print_json(json::encode(library(session).policy)); });
  auto* whole = command->add_subcommand("library", "Policy and catalogues in one, as the engine takes them");
  whole->callback([&session] { print_json(json::encode(library(session))); });
}

}  // namespace dwell::cli
