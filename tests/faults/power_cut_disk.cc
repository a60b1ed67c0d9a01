#include "tests/faults/power_cut_disk.h"

#include <algorithm>
#include <cstring>
#include <new>
#include <set>
#include <stdexcept>
#include <utility>

namespace dwell::faults {
namespace {

/// Locks of the write-ahead log's index: a bit for each of its slots.
constexpr int slots = SQLITE_SHM_NLOCK;
unsigned slot_bits(int first, int count) { return ((1u << count) - 1u) << first; }

void put(std::string& content, std::size_t at, std::string_view bytes) {
  if (content.size() < at + bytes.size()) content.resize(at + bytes.size());
  content.replace(at, bytes.size(), bytes);
}

}  // namespace

/// What SQLite holds of an open file. Made in memory of SQLite's own.
struct PowerCutDisk::Handle {
  sqlite3_file file{};
  PowerCutDisk* disk = nullptr;
  InodePointer inode;
  std::string name;  ///< empty: a file that nobody else sees and that ends with its handle
  int lock = SQLITE_LOCK_NONE;
  unsigned shared_slots = 0, exclusive_slots = 0;
  bool uses_index = false, syncs_folder = false;
};

struct PowerCutDisk::Methods {
  static Handle& of(sqlite3_file* file) { return *reinterpret_cast<Handle*>(file); }
  static PowerCutDisk& of(sqlite3_vfs* vfs) { return *static_cast<PowerCutDisk*>(vfs->pAppData); }

  static int open(sqlite3_vfs* vfs, sqlite3_filename name, sqlite3_file* file, int flags, int* flags_out) {
    PowerCutDisk& disk = of(vfs);
    const std::lock_guard lock(disk.mutex_);
    file->pMethods = nullptr;
    if (disk.silent()) return SQLITE_IOERR;
    InodePointer inode = name ? disk.find(name) : std::make_shared<Inode>();
    if (!inode) {
      if (!(flags & SQLITE_OPEN_CREATE)) return SQLITE_CANTOPEN;
      if (disk.full_) return SQLITE_CANTOPEN;
      inode = disk.make(name);
      if (disk.strikes()) return SQLITE_IOERR;
    }
    auto* handle = new (file) Handle;
    handle->file.pMethods = methods();
    handle->disk = &disk;
    handle->inode = inode;
    if (name) handle->name = name;
    // SQLite's layer for Unix syncs the folder with the first sync of such a file (os_unix.c, UNIXFILE_DIRSYNC).
    constexpr int journals = SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_SUPER_JOURNAL | SQLITE_OPEN_WAL;
    handle->syncs_folder = (flags & SQLITE_OPEN_CREATE) && (flags & journals);
    inode->open.push_back(handle);
    if (flags_out) *flags_out = flags;
    return SQLITE_OK;
  }

  static int close(sqlite3_file* file) {
    Handle& handle = of(file);
    {
      const std::lock_guard lock(handle.disk->mutex_);
      std::erase(handle.inode->open, &handle);
    }
    handle.~Handle();
    return SQLITE_OK;
  }

  static int read(sqlite3_file* file, void* into, int amount, sqlite3_int64 offset) {
    const Handle& handle = of(file);
    const std::lock_guard lock(handle.disk->mutex_);
    if (handle.disk->silent()) return SQLITE_IOERR_READ;
    const auto& content = handle.inode->current;
    const auto from = std::min(static_cast<std::size_t>(offset), content.size());
    const auto wanted = static_cast<std::size_t>(amount);
    const auto found = std::min(wanted, content.size() - from);
    std::memcpy(into, content.data() + from, found);
    std::memset(static_cast<char*>(into) + found, 0, wanted - found);
    return found == wanted ? SQLITE_OK : SQLITE_IOERR_SHORT_READ;
  }

  static int write(sqlite3_file* file, const void* bytes, int amount, sqlite3_int64 offset) {
    const Handle& handle = of(file);
    PowerCutDisk& disk = *handle.disk;
    const std::lock_guard lock(disk.mutex_);
    if (disk.silent()) return SQLITE_IOERR_WRITE;
    const auto at = static_cast<std::size_t>(offset), size = static_cast<std::size_t>(amount);
    if (disk.full_ && at + size > handle.inode->current.size()) return SQLITE_FULL;
    disk.change(*handle.inode, {at, std::string(static_cast<const char*>(bytes), size)});
    return disk.strikes() ? SQLITE_IOERR_WRITE : SQLITE_OK;
  }

  static int truncate(sqlite3_file* file, sqlite3_int64 size) {
    const Handle& handle = of(file);
    PowerCutDisk& disk = *handle.disk;
    const std::lock_guard lock(disk.mutex_);
    if (disk.silent()) return SQLITE_IOERR_TRUNCATE;
    disk.change(*handle.inode, {static_cast<std::size_t>(size), "", true});
    return disk.strikes() ? SQLITE_IOERR_TRUNCATE : SQLITE_OK;
  }

  static int sync(sqlite3_file* file, int) {
    Handle& handle = of(file);
    PowerCutDisk& disk = *handle.disk;
    const std::lock_guard lock(disk.mutex_);
    if (disk.silent() || disk.strikes()) return SQLITE_IOERR_FSYNC;
    disk.settle(*handle.inode);
    if (std::exchange(handle.syncs_folder, false)) {
      if (disk.strikes()) return SQLITE_IOERR_DIR_FSYNC;
      disk.settle_names();
    }
    return SQLITE_OK;
  }

  static int size_of(sqlite3_file* file, sqlite3_int64* size) {
    const Handle& handle = of(file);
    const std::lock_guard lock(handle.disk->mutex_);
    if (handle.disk->silent()) return SQLITE_IOERR_FSTAT;
    *size = static_cast<sqlite3_int64>(handle.inode->current.size());
    return SQLITE_OK;
  }

  /// The highest lock of any other handle of the same file.
  static int others_lock(const Handle& handle) {
    int highest = SQLITE_LOCK_NONE;
    for (const Handle* other : handle.inode->open)
      if (other != &handle) highest = std::max(highest, other->lock);
    return highest;
  }

  static int lock(sqlite3_file* file, int wanted) {
    Handle& handle = of(file);
    const std::lock_guard guard(handle.disk->mutex_);
    if (handle.disk->silent()) return SQLITE_IOERR_LOCK;
    if (handle.lock >= wanted) return SQLITE_OK;
    const int others = others_lock(handle);
    if (wanted == SQLITE_LOCK_SHARED && others >= SQLITE_LOCK_PENDING) return SQLITE_BUSY;
    if (wanted == SQLITE_LOCK_RESERVED && others >= SQLITE_LOCK_RESERVED) return SQLITE_BUSY;
    if (wanted == SQLITE_LOCK_EXCLUSIVE) {
      if (others >= SQLITE_LOCK_RESERVED) return SQLITE_BUSY;
      handle.lock = SQLITE_LOCK_PENDING;  // nobody new comes in; those who read go out
      if (others >= SQLITE_LOCK_SHARED) return SQLITE_BUSY;
    }
    handle.lock = wanted;
    return SQLITE_OK;
  }

  static int unlock(sqlite3_file* file, int wanted) {
    Handle& handle = of(file);
    const std::lock_guard guard(handle.disk->mutex_);
    handle.lock = std::min(handle.lock, wanted);
    return SQLITE_OK;
  }

  static int is_reserved(sqlite3_file* file, int* reserved) {
    const Handle& handle = of(file);
    const std::lock_guard guard(handle.disk->mutex_);
    *reserved = std::max(handle.lock, others_lock(handle)) >= SQLITE_LOCK_RESERVED ? 1 : 0;
    return SQLITE_OK;
  }

  static int map_index(sqlite3_file* file, int region, int size, int extend, void volatile** into) {
    Handle& handle = of(file);
    const std::lock_guard guard(handle.disk->mutex_);
    if (handle.disk->silent()) return SQLITE_IOERR_SHMMAP;
    handle.uses_index = true;
    auto& regions = handle.inode->shared;
    while (extend && regions.size() <= static_cast<std::size_t>(region))
      regions.push_back(std::make_unique<std::vector<char>>(static_cast<std::size_t>(size)));
    const bool there = regions.size() > static_cast<std::size_t>(region);
    *into = there ? regions[static_cast<std::size_t>(region)]->data() : nullptr;
    return SQLITE_OK;
  }

  static int lock_index(sqlite3_file* file, int first, int count, int flags) {
    Handle& handle = of(file);
    const std::lock_guard guard(handle.disk->mutex_);
    const unsigned bits = slot_bits(first, count);
    static_assert(slots <= 16);
    if (flags & SQLITE_SHM_UNLOCK) {
      handle.shared_slots &= ~bits, handle.exclusive_slots &= ~bits;
      return SQLITE_OK;
    }
    if (handle.disk->silent()) return SQLITE_IOERR_SHMLOCK;
    const bool exclusive = flags & SQLITE_SHM_EXCLUSIVE;
    for (const Handle* other : handle.inode->open)
      if (other != &handle && ((other->exclusive_slots | (exclusive ? other->shared_slots : 0u)) & bits))
        return SQLITE_BUSY;
    (exclusive ? handle.exclusive_slots : handle.shared_slots) |= bits;
    return SQLITE_OK;
  }

  static void barrier(sqlite3_file* file) { const std::lock_guard guard(of(file).disk->mutex_); }

  /// The index belongs to those who use it: with the last of them it goes, and the next makes it from the log.
  static int unmap_index(sqlite3_file* file, int) {
    Handle& handle = of(file);
    const std::lock_guard guard(handle.disk->mutex_);
    handle.uses_index = false;
    handle.shared_slots = handle.exclusive_slots = 0;
    const auto& open = handle.inode->open;
    if (std::none_of(open.begin(), open.end(), [](const Handle* one) { return one->uses_index; }))
      handle.inode->shared.clear();
    return SQLITE_OK;
  }

  static int remove(sqlite3_vfs* vfs, const char* name, int sync_folder) {
    PowerCutDisk& disk = of(vfs);
    const std::lock_guard lock(disk.mutex_);
    if (disk.silent()) return SQLITE_IOERR_DELETE;
    if (!disk.find(name)) return SQLITE_IOERR_DELETE_NOENT;
    disk.set_name(name, nullptr);
    if (disk.strikes()) return SQLITE_IOERR_DELETE;
    if (!sync_folder) return SQLITE_OK;
    if (disk.strikes()) return SQLITE_IOERR_DIR_FSYNC;
    disk.settle_names();
    return SQLITE_OK;
  }

  static int access(sqlite3_vfs* vfs, const char* name, int flags, int* answer) {
    const PowerCutDisk& disk = of(vfs);
    const std::lock_guard lock(disk.mutex_);
    if (disk.silent()) return SQLITE_IOERR_ACCESS;
    const auto found = disk.find(name);
    // As on Unix: an empty file is as good as none.
    *answer = found && (flags != SQLITE_ACCESS_EXISTS || !found->current.empty()) ? 1 : 0;
    return SQLITE_OK;
  }

  static int full_name(sqlite3_vfs*, const char* name, int size, char* into) {
    sqlite3_snprintf(size, into, "%s", name);
    return SQLITE_OK;
  }

  /// From the seed, so that a run can be had again.
  static int randomness(sqlite3_vfs* vfs, int size, char* into) {
    PowerCutDisk& disk = of(vfs);
    const std::lock_guard lock(disk.mutex_);
    for (int i = 0; i < size; ++i) into[i] = static_cast<char>(disk.random_());
    return size;
  }

  static int sleep(sqlite3_vfs*, int microseconds) { return microseconds; }

  static int time(sqlite3_vfs*, sqlite3_int64* milliseconds) {
    constexpr sqlite3_int64 some_day = 212'630'000'000'000;  // Julian milliseconds, in 2025
    *milliseconds = some_day;
    return SQLITE_OK;
  }

  static const sqlite3_io_methods* methods() {
    static const sqlite3_io_methods table = [] {
      sqlite3_io_methods m{};
      m.iVersion = 2;
      m.xClose = close;
      m.xRead = read;
      m.xWrite = write;
      m.xTruncate = truncate;
      m.xSync = sync;
      m.xFileSize = size_of;
      m.xLock = lock;
      m.xUnlock = unlock;
      m.xCheckReservedLock = is_reserved;
      m.xFileControl = [](sqlite3_file*, int, void*) { return SQLITE_NOTFOUND; };
      m.xSectorSize = [](sqlite3_file* file) { return static_cast<int>(of(file).disk->habits_.sector); };
      m.xDeviceCharacteristics = [](sqlite3_file* file) {
        return of(file).disk->habits_.powersafe_overwrite ? SQLITE_IOCAP_POWERSAFE_OVERWRITE : 0;
      };
      m.xShmMap = map_index;
      m.xShmLock = lock_index;
      m.xShmBarrier = barrier;
      m.xShmUnmap = unmap_index;
      return m;
    }();
    return &table;
  }
};

PowerCutDisk::PowerCutDisk(std::uint64_t seed, Habits habits)
    : random_(seed),
      habits_(habits),
      vfs_name_("power cut " + std::to_string(seed)),
      before_(sqlite3_vfs_find(nullptr)) {
  constexpr int longest_name = 512;
  vfs_.iVersion = 2;
  vfs_.szOsFile = sizeof(Handle);
  vfs_.mxPathname = longest_name;
  vfs_.zName = vfs_name_.c_str();
  vfs_.pAppData = this;
  vfs_.xOpen = Methods::open;
  vfs_.xDelete = Methods::remove;
  vfs_.xAccess = Methods::access;
  vfs_.xFullPathname = Methods::full_name;
  vfs_.xRandomness = Methods::randomness;
  vfs_.xSleep = Methods::sleep;
  vfs_.xCurrentTimeInt64 = Methods::time;
  if (sqlite3_vfs_register(&vfs_, 1) != SQLITE_OK) throw std::runtime_error("the test's disk cannot be registered");
  sqlite3_randomness(0, nullptr);  // SQLite's own chance begins anew, from this disk's
}

PowerCutDisk::~PowerCutDisk() {
  sqlite3_vfs_register(before_, 1);
  sqlite3_vfs_unregister(&vfs_);
}

void PowerCutDisk::cut_after(int operations) {
  const std::lock_guard lock(mutex_);
  left_ = operations;
}

void PowerCutDisk::cut_now() {
  const std::lock_guard lock(mutex_);
  if (!dark_) go_dark();
}

void PowerCutDisk::kill_now() {
  const std::lock_guard lock(mutex_);
  dark_ = true;
}

void PowerCutDisk::stay_on() {
  const std::lock_guard lock(mutex_);
  left_ = -1;
}

bool PowerCutDisk::is_dark() const {
  const std::lock_guard lock(mutex_);
  return dark_;
}

void PowerCutDisk::set_away(bool away) {
  const std::lock_guard lock(mutex_);
  away_ = away;
}

void PowerCutDisk::set_full(bool full) {
  const std::lock_guard lock(mutex_);
  full_ = full;
}

PowerCutDisk::Counts PowerCutDisk::counts() const {
  const std::lock_guard lock(mutex_);
  return counts_;
}

void PowerCutDisk::restart() {
  const std::lock_guard lock(mutex_);
  for (const auto& [name, inode] : names_)
    if (!inode->open.empty()) throw std::logic_error(name + " is still open");
  for (const auto& [name, inode] : names_) inode->shared.clear();
  left_ = -1;
  dark_ = false;
}

bool PowerCutDisk::exists(const std::string& name) {
  const std::lock_guard lock(mutex_);
  return find(name) != nullptr;
}

std::string PowerCutDisk::read(const std::string& name) {
  const std::lock_guard lock(mutex_);
  const auto found = find(name);
  return found && !silent() ? found->current : "";
}

bool PowerCutDisk::write_at(const std::string& name, std::size_t offset, const std::string& bytes) {
  const std::lock_guard lock(mutex_);
  if (silent()) return false;
  InodePointer inode = find(name);
  if (full_ && (!inode || offset + bytes.size() > inode->current.size())) return false;
  if (!inode) {
    inode = make(name);
    if (strikes()) return false;
  }
  inode->is_plain = inode->is_plain || !bytes.empty();  // an empty one may become a database
  change(*inode, {offset, bytes});
  return !strikes();
}

bool PowerCutDisk::cut_short(const std::string& name, std::size_t size) {
  const std::lock_guard lock(mutex_);
  const auto inode = find(name);
  if (silent() || !inode) return false;
  change(*inode, {size, "", true});
  return !strikes();
}

bool PowerCutDisk::sync(const std::string& name) {
  const std::lock_guard lock(mutex_);
  const auto inode = find(name);
  if (silent() || !inode || strikes()) return false;
  settle(*inode);
  return true;
}

bool PowerCutDisk::rename(const std::string& from, const std::string& to) {
  const std::lock_guard lock(mutex_);
  const auto inode = find(from);
  if (silent() || !inode) return false;
  set_name(to, inode);
  set_name(from, nullptr);
  return !strikes();
}

bool PowerCutDisk::remove(const std::string& name) {
  const std::lock_guard lock(mutex_);
  if (silent() || !find(name)) return false;
  set_name(name, nullptr);
  return !strikes();
}

bool PowerCutDisk::sync_folder() {
  const std::lock_guard lock(mutex_);
  if (silent() || strikes()) return false;
  settle_names();
  return true;
}

PowerCutDisk::InodePointer PowerCutDisk::find(const std::string& name) const {
  const auto found = names_.find(name);
  return found == names_.end() ? nullptr : found->second;
}

PowerCutDisk::InodePointer PowerCutDisk::make(const std::string& name) {
  const auto inode = std::make_shared<Inode>();
  set_name(name, inode);
  return inode;
}

void PowerCutDisk::set_name(const std::string& name, InodePointer inode) {
  if (inode)
    names_[name] = inode;
  else
    names_.erase(name);
  pending_names_.push_back({name, std::move(inode)});
}

bool PowerCutDisk::strikes() {
  ++counts_.changes;
  if (left_ < 0 || left_-- > 0) return false;
  go_dark();
  return true;
}

void PowerCutDisk::apply(std::string& content, const Change& change) {
  if (change.is_size)
    content.resize(change.at);
  else
    put(content, change.at, change.bytes);
}

void PowerCutDisk::change(Inode& inode, Change change) {
  apply(inode.current, change);
  inode.pending.push_back(std::move(change));
}

void PowerCutDisk::settle(Inode& inode) {
  ++counts_.syncs;
  if (habits_.forgets_syncs) return;
  for (const auto& change : inode.pending) apply(inode.durable, change);
  inode.pending.clear();
}

void PowerCutDisk::settle_names() {
  ++counts_.syncs;
  if (habits_.forgets_syncs) return;
  durable_names_ = names_;
  pending_names_.clear();
}

std::size_t PowerCutDisk::below(std::size_t limit) { return static_cast<std::size_t>(random_() % limit); }

void PowerCutDisk::go_dark() {
  dark_ = true;
  ++counts_.cuts;
  // Each name means, after the cut, what it meant at some moment since it was last settled.
  std::map<std::string, std::vector<InodePointer>> meanings;
  for (auto& [name, inode] : pending_names_) {
    auto& all = meanings[name];
    if (all.empty()) {
      const auto settled = durable_names_.find(name);
      all.push_back(settled == durable_names_.end() ? nullptr : settled->second);
    }
    all.push_back(inode);
  }
  for (const auto& [name, all] : meanings) {
    const auto& meaning = all[below(all.size())];
    if (meaning != all.back()) ++counts_.names_lost;
    if (meaning)
      durable_names_[name] = meaning;
    else
      durable_names_.erase(name);
  }
  pending_names_.clear();
  names_ = durable_names_;
  std::set<Inode*> decided;  // after a rename that is half durable, two names may mean one file
  for (const auto& [name, inode] : names_) {
    if (!decided.insert(inode.get()).second) continue;
    inode->durable = survivor(*inode);
    inode->current = inode->durable;
    inode->pending.clear();
  }
}

/// What a file holds after the cut. Sector by sector: as it was at some moment since the last sync, or, for the sector
/// that was being written, the beginning of one moment and the end of another, or spoiled.
std::string PowerCutDisk::survivor(const Inode& inode) {
  if (inode.pending.empty()) return inode.durable;
  constexpr std::size_t ways = 4;
  const std::size_t way = below(ways);
  if (way == 0) return inode.durable;
  if (way == 1) return inode.current;

  std::string base = inode.durable;
  std::vector<std::size_t> sizes{inode.durable.size()};
  std::map<std::size_t, std::vector<std::string>> moments;
  std::string content = inode.durable;
  const auto sector = habits_.sector;
  const auto of_sector = [&](std::size_t number) {
    std::string bytes = number * sector < content.size() ? content.substr(number * sector, sector) : std::string();
    bytes.resize(sector);
    return bytes;
  };
  for (const auto& change : inode.pending) {
    if (change.is_size) {
      // Done or not done, whole: nothing of what was cut off comes back.
      if (one_in(2)) continue;
      apply(content, change);
      moments.erase(moments.lower_bound(change.at / sector), moments.end());
      sizes = {content.size()};
      base.resize(content.size());
      continue;
    }
    const std::size_t first = change.at / sector, end = change.at + change.bytes.size();
    for (std::size_t number = first; number * sector < end; ++number) {
      auto& all = moments[number];
      if (all.empty()) all.push_back(of_sector(number));
    }
    apply(content, change);
    for (std::size_t number = first; number * sector < end; ++number) moments[number].push_back(of_sector(number));
    sizes.push_back(content.size());
  }

  std::string survived = std::move(base);
  survived.resize(*std::max_element(sizes.begin(), sizes.end()));
  constexpr std::size_t torn_in = 6, spoiled_in = 10;
  for (const auto& [number, all] : moments) {
    const std::size_t chosen = below(all.size());
    std::string bytes = all[chosen];
    if (chosen + 1 < all.size()) ++counts_.sectors_lost;
    if (chosen + 1 < all.size() && one_in(torn_in)) {
      ++counts_.sectors_torn;
      // From one end to the other, nobody knows from which.
      const std::size_t written = below(sector), from = one_in(2) ? 0 : sector - written;
      bytes.replace(from, written, all[chosen + 1], from, written);
    }
    put(survived, number * sector, bytes);
    if (one_in(spoiled_in)) spoil(survived, number, inode);
  }
  survived.resize(sizes[below(sizes.size())]);
  return survived;
}

/// What was being written when the power went reads as anything: with powersafe overwrite only the bytes of the write.
void PowerCutDisk::spoil(std::string& content, std::size_t sector, const Inode& inode) {
  std::size_t from = sector * habits_.sector, to = from + habits_.sector;
  if (habits_.powersafe_overwrite || inode.is_plain) {
    const auto meets = [&](const Change& one) {
      return !one.is_size && one.at < to && one.at + one.bytes.size() > from;
    };
    const auto write = std::find_if(inode.pending.begin(), inode.pending.end(), meets);
    if (write == inode.pending.end()) return;
    from = std::max(from, write->at);
    to = std::min(to, write->at + write->bytes.size());
  }
  ++counts_.sectors_spoiled;
  for (std::size_t i = from; i < to && i < content.size(); ++i) content[i] = static_cast<char>(random_());
}

}  // namespace dwell::faults
