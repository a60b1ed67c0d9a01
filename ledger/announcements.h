#pragma once
// Several servers on one database: who adds entries says so (NOTIFY), and the others hear it (LISTEN) at once instead
// of asking each second. What is said in a break of the connection is not heard; so whoever listens also still looks.
#include <memory>
#include <string>

#include "quantity/checked.h"

namespace dwell::ledger {

class Announcements {
 public:
  /// Opens a connection of its own to the database of open_postgresql and listens.
  [[nodiscard]] static Checked<std::unique_ptr<Announcements>> listen(const std::string& address);
  ~Announcements();

  /// Becomes readable when something was said, or when the connection is lost.
  [[nodiscard]] int descriptor() const;

  enum class Heard { nothing, entries, lost };
  /// Takes in what is there, without waiting.
  [[nodiscard]] Heard take();

 private:
  struct Impl;
  explicit Announcements(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace dwell::ledger
