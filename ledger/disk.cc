#include "ledger/disk.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <limits>

namespace dwell::ledger {
namespace {

constexpr mode_t owner_only = 0600, folder_of_owner = 0700, for_others = 077;

std::string reason() { return std::strerror(errno); }

tl::unexpected<FieldErrors> unreadable(const std::string& path) {
  return refuse("/file", path, in_english_only("a file that can be read (" + reason() + ")"));
}
tl::unexpected<FieldErrors> unwritable(const std::string& path) {
  return refuse("/file", path, in_english_only("a file and folder that can be written (" + reason() + ")"));
}

std::string folder_of(const std::string& path) {
  const auto folder = std::filesystem::path(path).parent_path();
  return folder.empty() ? "." : folder.string();
}

/// An open file that closes itself. The mode is set after opening, where the umask has no say.
class File {
 public:
  File(const std::string& path, int flags) : descriptor_(::open(path.c_str(), flags | O_CLOEXEC, owner_only)) {}
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  ~File() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }
  [[nodiscard]] bool is_open() const { return descriptor_ >= 0; }
  [[nodiscard]] int descriptor() const { return descriptor_; }
  [[nodiscard]] bool put(std::string_view bytes) const {
    while (!bytes.empty()) {
      const auto written = ::write(descriptor_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) continue;
      if (written <= 0) return false;
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
  }
  [[nodiscard]] bool sync() const { return ::fsync(descriptor_) == 0; }

 private:
  int descriptor_;
};

/// A new name in a folder lasts only when the folder, too, is on the disk.
bool sync_folder(const std::string& folder) {
  const File opened(folder, O_RDONLY | O_DIRECTORY);
  return opened.is_open() && opened.sync();
}

/// Gives the draft its name unless a file has it already. Some file systems (NFS) cannot rename so; there it is a
/// second name for a moment.
bool name_anew(const char* draft, const char* path) {
  if (::renameat2(AT_FDCWD, draft, AT_FDCWD, path, RENAME_NOREPLACE) == 0) return true;
  return (errno == EINVAL || errno == ENOSYS) && ::link(draft, path) == 0;
}

/// A file under a name of its own beside `path`, whole and on the disk; gone again unless it was given its name.
class Draft {
 public:
  Draft(const std::string& path, std::string_view bytes) : name_(path + ".new-" + std::to_string(::getpid())) {
    ::unlink(name_.c_str());  // of an earlier process with this number, which was stopped here
    const File file(name_, O_WRONLY | O_CREAT | O_EXCL);
    written_ = file.is_open() && ::fchmod(file.descriptor(), owner_only) == 0 && file.put(bytes) && file.sync();
  }
  Draft(const Draft&) = delete;
  Draft& operator=(const Draft&) = delete;
  ~Draft() {
    const int before = errno;
    ::unlink(name_.c_str());
    errno = before;
  }
  [[nodiscard]] bool written() const { return written_; }
  [[nodiscard]] const char* name() const { return name_.c_str(); }

 private:
  std::string name_;
  bool written_ = false;
};

class MachineDisk final : public Disk {
 public:
  Checked<std::optional<FileFacts>> facts(const std::string& path) override {
    struct stat about {};
    if (::stat(path.c_str(), &about) == 0)
      return FileFacts{static_cast<std::uint64_t>(about.st_size), (about.st_mode & for_others) == 0,
                       S_ISDIR(about.st_mode), about.st_nlink,
                       std::to_string(about.st_dev) + ":" + std::to_string(about.st_ino)};
    if (errno == ENOENT) return std::nullopt;
    return unreadable(path);
  }

  Checked<std::string> read(const std::string& path, std::uint64_t offset, std::uint64_t most) override {
    constexpr auto furthest = static_cast<std::uint64_t>(std::numeric_limits<off_t>::max());
    const File file(path, O_RDONLY);
    if (!file.is_open() || offset > furthest ||
        ::lseek(file.descriptor(), static_cast<off_t>(offset), SEEK_SET) == off_t{-1})
      return unreadable(path);
    std::string bytes;
    std::array<char, 65536> piece{};
    while (true) {
      const auto got = ::read(file.descriptor(), piece.data(), piece.size());
      if (got < 0 && errno == EINTR) continue;
      if (got < 0) return unreadable(path);
      if (got == 0) return bytes;
      bytes.append(piece.data(), static_cast<std::size_t>(got));
      if (bytes.size() > most)
        return refuse("/file", path,
                      in_english_only("a file of at most " + std::to_string(most) + " bytes from there"));
    }
  }

  Checked<void> replace(const std::string& path, std::string_view bytes) override {
    const Draft draft(path, bytes);
    if (!draft.written() || ::rename(draft.name(), path.c_str()) != 0 || !sync_folder(folder_of(path)))
      return unwritable(path);
    return {};
  }

  Checked<bool> create(const std::string& path, std::string_view bytes) override {
    const Draft draft(path, bytes);
    if (!draft.written()) return unwritable(path);
    if (name_anew(draft.name(), path.c_str()))
      return sync_folder(folder_of(path)) ? Checked<bool>(true) : unwritable(path);
    if (errno == EEXIST) return false;
    return unwritable(path);
  }

  Checked<void> append(const std::string& path, std::string_view bytes) override {
    // Whoever made the file may have been killed before its name was safe: the folder is synced each time.
    constexpr int to_the_end = O_WRONLY | O_APPEND;
    const auto put = [&](const File& file) { return file.put(bytes) && file.sync() && sync_folder(folder_of(path)); };
    if (const File file(path, to_the_end); file.is_open()) return put(file) ? Checked<void>() : unwritable(path);
    if (errno != ENOENT) return unwritable(path);
    const File file(path, to_the_end | O_CREAT);
    if (!file.is_open() || ::fchmod(file.descriptor(), owner_only) != 0 || !put(file)) return unwritable(path);
    return {};
  }

  Checked<void> cut(const std::string& path, std::uint64_t size) override {
    const File file(path, O_WRONLY);
    if (!file.is_open() || ::ftruncate(file.descriptor(), static_cast<off_t>(size)) != 0 || !file.sync())
      return unwritable(path);
    return {};
  }

  Checked<void> make_folder(const std::string& path) override {
    if (std::filesystem::is_directory(path)) return {};
    const std::string above = folder_of(path);
    if (above != path && !std::filesystem::is_directory(above))
      if (auto made = make_folder(above); !made) return made;
    if (::mkdir(path.c_str(), folder_of_owner) != 0 && errno != EEXIST)
      return refuse("/file", path, in_english_only("a folder that can be made (" + reason() + ")"));
    if (!std::filesystem::is_directory(path))
      return refuse("/file", path, in_english_only("a folder; a file stands in its place"));
    if (::chmod(path.c_str(), folder_of_owner) != 0 || !sync_folder(above)) return unwritable(path);
    return {};
  }

  Checked<void> make_private(const std::string& path) override {
    struct stat about {};
    if (::stat(path.c_str(), &about) != 0) return unreadable(path);
    if ((about.st_mode & for_others) == 0) return {};
    if (::chmod(path.c_str(), about.st_mode & ~for_others & 07777) != 0)
      return refuse("/file", path, in_english_only("a file that only its owner may read (" + reason() + ")"));
    return {};
  }
};

}  // namespace

Disk& machine_disk() {
  static MachineDisk disk;
  return disk;
}

}  // namespace dwell::ledger
