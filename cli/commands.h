#pragma once
// One function a verb: it adds its options to the command line and, when chosen, does its work.
#include <CLI/CLI.hpp>

#include "cli/session.h"

namespace dwell::cli {

void add_plan(CLI::App& app, Session& session, Exit& exit);
void add_flow(CLI::App& app, Session& session, Exit& exit);
void add_infuse(CLI::App& app, Session& session, Exit& exit);
void add_place(CLI::App& app, Session& session, Exit& exit);
void add_watch(CLI::App& app, Session& session, Exit& exit);
void add_remove(CLI::App& app, Session& session, Exit& exit);
void add_use(CLI::App& app, Session& session, Exit& exit);
void add_need(CLI::App& app, Session& session, Exit& exit);       ///< need, leave
void add_documents(CLI::App& app, Session& session, Exit& exit);  ///< note and label
void add_learn(CLI::App& app, Session& session, Exit& exit);
void add_serve(CLI::App& app, Session& session, Exit& exit);
void add_verify(CLI::App& app, Session& session, Exit& exit);
void add_copies(CLI::App& app, Session& session, Exit& exit);
void add_record(CLI::App& app, Session& session, Exit& exit);  ///< rebuild, hold, release, retention
void add_engine(CLI::App& app, Session& session, Exit& exit);
void add_policy(CLI::App& app, Session& session, Exit& exit);
void add_doctor(CLI::App& app, Session& session, Exit& exit);
void add_manual(CLI::App& app, Session& session, Exit& exit);
void add_licences(CLI::App& app, Session& session, Exit& exit);
void add_audit(CLI::App& app, Session& session, Exit& exit);

}  // namespace dwell::cli
