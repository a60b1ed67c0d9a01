#include <iostream>

#include "cli/commands.h"
#include "ledger/build_identity.h"

int main(int argc, char** argv) {
  using namespace dwell::cli;
  CLI::App app{
      "Dwell: one peripheral IV line from the order to the healed skin.\n"
      "Advice for licensed clinicians; the order and local policy govern."};
  app.name("dwell");
  app.require_subcommand(1);
  app.fallthrough();
  app.set_version_flag("--version", [] { return dwell::ledger::shown(dwell::ledger::build_identity()); });
  Session session;
  Exit exit = Exit::fine;
  app.add_option("--ledger", session.ledger_path,
                 "Ledger: a file (default: in your own data folder) or postgresql://…");
  app.add_option("--library", session.library_path, "Folder with policy.toml, catheters.toml and infusates.toml");
  app.add_option("--time-zone", session.time_zone, "Time zone of the ward, such as Europe/Dublin");
  app.add_option("--language", reader().language, "Language in which to answer: " + dwell::said::languages_listed())
      ->check([](const std::string& key) {
        return dwell::said::is_language(key) ? "" : "one of " + dwell::said::languages_listed();
      });
  app.add_flag("--json", session.json, "Answer in JSON");
  for (const auto add : {add_plan,   add_flow,      add_infuse, add_place,  add_watch,    add_remove, add_use,
                         add_need,   add_documents, add_learn,  add_serve,  add_verify,   add_copies, add_record,
                         add_engine, add_policy,    add_audit,  add_doctor, add_licences, add_manual})
    add(app, session, exit);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp& e) {
    return app.exit(e);
  } catch (const CLI::CallForAllHelp& e) {
    return app.exit(e);
  } catch (const CLI::CallForVersion& e) {
    return app.exit(e);
  } catch (const CLI::ParseError& e) {
    std::cerr << "dwell: " << e.what() << " (see dwell --help)\n";
    return static_cast<int>(Exit::bad_input);
  } catch (const dwell::ledger::Unreachable& e) {
    std::cerr << "dwell: " << e.what() << '\n';
    return static_cast<int>(Exit::bad_input);
  } catch (const BadInput& e) {
    if (session.json)
      print_json(dwell::json::Object{{"ok", false}, {"errors", dwell::json::encode(e.errors)}});
    else
      print_errors(std::cerr, e.errors);
    return static_cast<int>(Exit::bad_input);
  } catch (const std::exception& e) {
    std::cerr << "dwell: " << e.what() << '\n';
    return static_cast<int>(Exit::bad_input);
  }
  return static_cast<int>(exit);
}
