#pragma once
// For tests that hold on both engines: an empty record for each, in a file or in a database. The database comes from
// DWELL_TEST_POSTGRESQL (tools/with-postgresql makes one for the time of a command); without it that half is skipped
// and says so.
#include <gtest/gtest.h>
#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <cstdlib>
#include <filesystem>
#include <stdexcept>

#include "exchange/library.h"
#include "exchange/said/said.h"
#include "json/codec.h"
#include "ledger/policy_change.h"
#include "ledger/test_notes.h"

namespace dwell::ledger {

namespace fs = std::filesystem;

enum class Engine { sqlite, postgresql };

inline const auto each_engine = testing::Values(Engine::sqlite, Engine::postgresql);
inline std::string engine_name(const testing::TestParamInfo<Engine>& engine) {
  return engine.param == Engine::sqlite ? "Sqlite" : "Postgresql";
}

/// A policy that can be read, put into force by somebody; told apart by its reason.
inline PolicyChange change(const std::string& id, const std::string& who, const std::string& reason) {
  return {id, exchange::default_library().policy, who, reason, std::nullopt};
}

inline Paper paper_of(const PolicyChange& change, Instant at) {
  return {change.id, policy_paper, change.who, at, json::to_text(json::encode(change))};
}

/// An empty record of its own for each test.
class EachEngine : public testing::TestWithParam<Engine>, protected Notes {
 protected:
  void SetUp() override {
    const std::string name = "dwell_test_" + std::to_string(getpid());
    if (GetParam() == Engine::sqlite) {
      folder_ = fs::temp_directory_path() / name;
      fs::remove_all(folder_);
      fs::create_directories(folder_);
      where_ = (folder_ / "ward.sqlite").string();
      return;
    }
    const char* server = std::getenv("DWELL_TEST_POSTGRESQL");
    if (!server) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
    server_ = server;
    schema_ = name;
    at_server("DROP SCHEMA IF EXISTS " + schema_ + " CASCADE");
    at_server("CREATE SCHEMA " + schema_);
    where_ = server_ + "&options=-csearch_path%3D" + schema_;
  }
  void TearDown() override {
    if (!folder_.empty()) fs::remove_all(folder_);
    if (!schema_.empty()) at_server("DROP SCHEMA IF EXISTS " + schema_ + " CASCADE");
  }

  [[nodiscard]] const std::string& where() const { return where_; }
  [[nodiscard]] std::unique_ptr<Ledger> open() const {
    auto opened = open_ledger(where_);
    if (!opened) throw std::runtime_error(said::in_english(opened.error().front().expected));
    return std::move(*opened);
  }

  /// Past the ledger, as somebody would who edits history.
  void sql(const std::string& statement) const {
    soci::session session = GetParam() == Engine::sqlite ? soci::session(soci::sqlite3, "db=\"" + where_ + "\"")
                                                         : soci::session(soci::postgresql, where_);
    session << statement;
  }

  void empty_it() const {
    static_cast<void>(open());
    sql("DELETE FROM event");
  }

 private:
  void at_server(const std::string& statement) const {
    soci::session session(soci::postgresql, server_);
    session << "SET client_min_messages = warning";
    session << statement;
  }

  fs::path folder_;
  std::string where_, server_, schema_;
};

}  // namespace dwell::ledger
