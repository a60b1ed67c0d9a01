#pragma once
// The files beside the database on a disk that loses power: the same steps, in the same order, as the machine's own
// disk takes them (ledger/disk.cc), so that what heads, key and copies make of it can be cut at each.
#include <string>

#include "ledger/disk.h"
#include "tests/faults/power_cut_disk.h"

namespace dwell::faults {

class PowerCutFiles final : public ledger::Disk {
 public:
  explicit PowerCutFiles(PowerCutDisk& disk) : disk_(disk) {}

  Checked<std::optional<ledger::FileFacts>> facts(const std::string& path) override {
    if (disk_.is_dark()) return refused(path);
    if (!disk_.exists(path)) return std::optional<ledger::FileFacts>();
    return std::optional(ledger::FileFacts{disk_.read(path).size(), true, false, 1, path});
  }

  Checked<std::string> read(const std::string& path, std::uint64_t offset, std::uint64_t most) override {
    if (disk_.is_dark() || !disk_.exists(path)) return refused(path);
    const std::string all = disk_.read(path);
    const std::string rest = offset < all.size() ? all.substr(offset) : "";
    if (rest.size() > most) return refused(path);
    return rest;
  }

  Checked<void> replace(const std::string& path, std::string_view bytes) override {
    const std::string draft = path + ".new";
    if (!write_draft(draft, bytes) || !disk_.rename(draft, path) || !disk_.sync_folder()) return refused(path);
    return {};
  }

  Checked<bool> create(const std::string& path, std::string_view bytes) override {
    const std::string draft = path + ".new";
    if (!write_draft(draft, bytes)) return refused(path);
    const bool there = disk_.exists(path);
    const bool done = there ? disk_.remove(draft) : disk_.rename(draft, path) && disk_.sync_folder();
    return done ? Checked<bool>(!there) : refused(path);
  }

  Checked<void> append(const std::string& path, std::string_view bytes) override {
    const bool is_new = !disk_.exists(path);
    if (!disk_.write_at(path, disk_.read(path).size(), std::string(bytes)) || !disk_.sync(path)) return refused(path);
    if (is_new && !disk_.sync_folder()) return refused(path);
    return {};
  }

  Checked<void> cut(const std::string& path, std::uint64_t size) override {
    return disk_.cut_short(path, size) && disk_.sync(path) ? Checked<void>() : refused(path);
  }

  Checked<void> make_folder(const std::string&) override { return {}; }
  Checked<void> make_private(const std::string&) override { return {}; }

 private:
  static tl::unexpected<FieldErrors> refused(const std::string& path) {
    return refuse("/file", path, in_english_only("a file and folder that can be written"));
  }
  bool write_draft(const std::string& draft, std::string_view bytes) {
    if (disk_.exists(draft) && !disk_.remove(draft)) return false;
    return disk_.write_at(draft, 0, std::string(bytes)) && disk_.sync(draft);
  }

  PowerCutDisk& disk_;
};

}  // namespace dwell::faults
