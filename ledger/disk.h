#pragma once
// The files that are not the database: signed heads, the key that signs them, what is kept beside a copy, papers that a
// nurse prints. One small seam, so that a test can cut the power at any moment. Whatever the umask, what Dwell makes is
// its owner's alone (files 0600, folders 0700): a record of patients must not depend on how a shell was set up.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "quantity/checked.h"

namespace dwell::ledger {

/// What is known of a file without reading it.
struct FileFacts {
  std::uint64_t size = 0;
  bool is_private = false;  ///< nobody but its owner can read or write it
  bool is_folder = false;
  std::uint64_t names = 1;  ///< hard links
  std::string identity;     ///< of the file itself, whatever the name that leads to it
};

/// Every refusal is at "/file", names the path and says what the disk answered. What has returned well lasts through a
/// power cut.
class Disk {
 public:
  virtual ~Disk() = default;
  /// Nothing when there is no such file. Follows symbolic links.
  [[nodiscard]] virtual Checked<std::optional<FileFacts>> facts(const std::string& path) = 0;
  /// From `offset` to the end; refuses a file that is missing, a folder, and more than `most` bytes.
  [[nodiscard]] virtual Checked<std::string> read(const std::string& path, std::uint64_t offset,
                                                  std::uint64_t most) = 0;
  /// All or nothing: after a power cut there is the old content or the new.
  [[nodiscard]] virtual Checked<void> replace(const std::string& path, std::string_view bytes) = 0;
  /// All or nothing, and only where there is no such file yet; false when there is one, which is left.
  [[nodiscard]] virtual Checked<bool> create(const std::string& path, std::string_view bytes) = 0;
  /// Adds to the end of the file, which is made when it is not there. After a power cut a beginning of `bytes` may be
  /// there.
  [[nodiscard]] virtual Checked<void> append(const std::string& path, std::string_view bytes) = 0;
  /// Leaves the first `size` bytes.
  [[nodiscard]] virtual Checked<void> cut(const std::string& path, std::uint64_t size) = 0;
  /// Makes the folder and those above it that are missing.
  [[nodiscard]] virtual Checked<void> make_folder(const std::string& path) = 0;
  /// Takes from everybody but the owner what a looser file or folder lets them do. Refuses another owner's file.
  [[nodiscard]] virtual Checked<void> make_private(const std::string& path) = 0;
};

/// The machine's own.
[[nodiscard]] Disk& machine_disk();

}  // namespace dwell::ledger
