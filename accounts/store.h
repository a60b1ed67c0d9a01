#pragma once
// Where accounts, sessions and the audit lie: beside the record and apart from it, in a file of their own
// (RECORD.accounts) or in a schema of their own of the same database (dwell_accounts).
#include <soci/soci.h>

#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "ledger/ledger.h"

namespace dwell::accounts {

class Store {
 public:
  /// Makes it when there is none. Its file is its owner's alone.
  [[nodiscard]] static Checked<std::shared_ptr<Store>> open(const std::string& record);
  /// Those that are there, which nobody uses: nothing is written, neither in the file nor beside it.
  [[nodiscard]] static Checked<std::shared_ptr<Store>> open_untouched(const std::string& record);
  /// Are there accounts for this record? Makes nothing.
  [[nodiscard]] static bool exists(const std::string& record);

  /// `work` in one transaction, alone among those who write, of this server or another. Given up when it throws; what
  /// goes wrong in the engine is ledger::Unreachable.
  template <class Work>
  auto writing(const Work& work) {
    return used([&] {
      begin_writing();
      try {
        auto result = work(*sql_);
        *sql_ << "COMMIT";
        return result;
      } catch (...) {
        give_up();
        throw;
      }
    });
  }
  template <class Work>
  auto reading(const Work& work) {
    return used([&] { return work(*sql_); });
  }

 private:
  Store(std::string record, bool untouched) : record_(std::move(record)), untouched_(untouched) {}
  /// Refuses what a newer Dwell has made.
  [[nodiscard]] Checked<void> recognise();
  void connect();
  void make_tables();
  void begin_writing();
  void give_up() noexcept;
  [[nodiscard]] ledger::Unreachable told(const soci::soci_error& error);

  template <class Use>
  auto used(const Use& use) {
    const std::lock_guard lock(mutex_);
    try {
      if (!sql_) connect();
      return use();
    } catch (const soci::soci_error& e) {
      throw told(e);
    }
  }

  std::string record_;
  bool untouched_;
  std::mutex mutex_;
  std::unique_ptr<soci::session> sql_;  ///< empty: to be connected again
};

}  // namespace dwell::accounts
