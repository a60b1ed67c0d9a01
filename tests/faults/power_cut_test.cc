// The power goes in the middle of the work: while entries are written, while SQLite carries its log into the file,
// during a backup, a restore, the making of the cache. After each cut the machine starts again on what its disk really
// held.
//
// DWELL_SEED=n runs the one machine of that seed; DWELL_POWER_CUTS=n wants that many cuts.
#include "exchange/said/said.h"
#include "tests/faults/power_cut_disk.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <mutex>
#include <thread>

#include "exchange/library.h"
#include "ledger/chain.h"
#include "ledger/copy.h"
#include "ledger/heads.h"
#include "ledger/open.h"
#include "ledger/projection.h"
#include "tests/faults/kept_entries.h"
#include "tests/faults/power_cut_files.h"

namespace dwell {
namespace {

using namespace faults;

const std::string record = "ward.sqlite", copy = "copy.sqlite", restored = "restored.sqlite", heads_file = "ward.heads",
                  key_file = "ward.key";

/// What is said to each of SQLite's connections when it is opened, the ledger's own among them: small pages and an
/// early checkpoint bring more moments to cut at.
class EachConnection {
 public:
  struct Manner {
    int page_size = 4096, checkpoint_after = 1000;
    bool never_syncs = false;  ///< synchronous=OFF, whatever the ledger says
  };
  explicit EachConnection(Manner manner) {
    said() = manner;
    sqlite3_auto_extension(reinterpret_cast<void (*)()>(opened));
  }
  ~EachConnection() { sqlite3_cancel_auto_extension(reinterpret_cast<void (*)()>(opened)); }
  EachConnection(const EachConnection&) = delete;
  EachConnection& operator=(const EachConnection&) = delete;

 private:
  static Manner& said() {
    static Manner manner;
    return manner;
  }
  static int opened(sqlite3* connection, char**, const sqlite3_api_routines*) {
    sqlite3_wal_autocheckpoint(connection, said().checkpoint_after);
    const std::string page = "PRAGMA page_size=" + std::to_string(said().page_size);
    sqlite3_exec(connection, page.c_str(), nullptr, nullptr, nullptr);
    if (!said().never_syncs) return SQLITE_OK;
    sqlite3_exec(connection, "PRAGMA synchronous=OFF", nullptr, nullptr, nullptr);
    return sqlite3_set_authorizer(
        connection,
        [](void*, int action, const char* name, const char*, const char*, const char*) {
          const bool syncs = action == SQLITE_PRAGMA && std::string_view(name) == "synchronous";
          return syncs ? SQLITE_IGNORE : SQLITE_OK;
        },
        nullptr);
  }
};

/// A connection beside the ledger's, for what the ledger does not do by itself.
class Beside {
 public:
  explicit Beside(const std::string& name) {
    sqlite3_open_v2(name.c_str(), &connection_, SQLITE_OPEN_READWRITE, nullptr);
  }
  ~Beside() { sqlite3_close(connection_); }
  Beside(const Beside&) = delete;
  Beside& operator=(const Beside&) = delete;
  /// The first column of the first row; SQLite's message when there is none.
  [[nodiscard]] std::string ask(const char* question) const {
    sqlite3_stmt* statement = nullptr;
    std::string answer;
    if (sqlite3_prepare_v2(connection_, question, -1, &statement, nullptr) == SQLITE_OK &&
        sqlite3_step(statement) == SQLITE_ROW)
      answer = reinterpret_cast<const char*>(sqlite3_column_text(statement, 0));
    else
      answer = sqlite3_errmsg(connection_);
    sqlite3_finalize(statement);
    return answer;
  }

 private:
  sqlite3* connection_ = nullptr;
};

/// One machine with one disk, through many cuts of its power.
class Machine {
 public:
  struct Fault {
    std::uint64_t seed = 0;
    int round = 0;
    std::string what;
  };
  struct Done {
    int cuts = 0, appended = 0, acknowledged = 0, checkpoints = 0, rebuilt = 0, copies = 0, restores = 0, heads = 0,
        pictures = 0, papers = 0;
  };

  Machine(std::uint64_t seed, PowerCutDisk::Habits habits)
      : seed_(seed), random_(seed), ids_(seed), disk_(seed, habits) {
    for (auto& line : lines_) line = ids_.next(moment());
  }

  enum class Work { one_after_another, many_at_once };
  /// The first fault, or nothing.
  std::optional<Fault> live(int rounds, Work kind, Done& done) {
    for (int round = 0; round < rounds; ++round) {
      constexpr std::size_t longest = 150;
      disk_.cut_after(static_cast<int>(below(longest)));
      if (kind == Work::many_at_once)
        work_together(done);
      else
        work(done);
      if (!disk_.is_dark()) disk_.cut_now();
      disk_.restart();
      ++done.cuts;
      look();
      if (!fault_.empty()) return Fault{seed_, round, fault_};
    }
    return std::nullopt;
  }

  [[nodiscard]] const PowerCutDisk& disk() const { return disk_; }

 private:
  std::size_t below(std::size_t limit) { return static_cast<std::size_t>(random_() % limit); }
  void say(const std::string& what) {
    if (fault_.empty()) fault_ = what;
  }

  /// The ledger of a file, or none because the power went.
  std::shared_ptr<ledger::Ledger> open(const std::string& name) {
    auto opened = ledger::open_sqlite(name, ledger::Access::made, files_);
    if (opened) return std::move(opened->ledger);
    if (!disk_.is_dark()) say(name + " does not open: " + said::in_english(opened.error().front().expected));
    return nullptr;
  }

  void work(Done& done) {
    const auto ledger = open(record);
    for (int act = 0; ledger && act < 40 && !disk_.is_dark() && fault_.empty(); ++act) {
      try {
        do_something(*ledger, done);
      } catch (const ledger::Unreachable& e) {
        if (!disk_.is_dark()) say(std::string("not reached, with the power on: ") + e.what());
      }
    }
  }

  /// Many writers at once, who are committed together.
  void work_together(Done& done) {
    const auto ledger = open(record);
    if (!ledger) return;
    constexpr std::size_t writers = 6, each = 5;
    const std::size_t from = sent_.size();
    for (std::size_t i = 0; i < writers * each; ++i) sent_.push_back({event()});
    std::mutex noting;
    const auto write = [&](std::size_t writer) {
      for (std::size_t i = from + writer * each; i < from + (writer + 1) * each; ++i) try {
          if (!ledger->append(sent_[i], moment())) continue;
          const std::lock_guard lock(noting);
          ++done.acknowledged;
          acknowledged_.insert(sent_[i].front().id);
        } catch (const ledger::Unreachable& e) {
          const std::lock_guard lock(noting);
          if (!disk_.is_dark()) say(std::string("not reached, with the power on: ") + e.what());
          return;
        }
    };
    std::vector<std::thread> at_work;
    for (std::size_t writer = 0; writer < writers; ++writer) at_work.emplace_back(write, writer);
    for (auto& one : at_work) one.join();
  }

  void do_something(ledger::Ledger& ledger, Done& done) {
    constexpr std::size_t of = 26;
    switch (below(of)) {
      case 0: return checkpoint(done);
      case 1: return rebuild(ledger, done);
      case 2: return back_up(ledger, done);
      case 3: return restore(done);
      case 4: return keep_picture(ledger, done);
      case 5: return keep_paper(ledger, done);
      case 6: return send_again(ledger);
      case 7:
      case 8: return sign(ledger, done);
      default: return append(ledger, done);
    }
  }

  line::Event event() {
    line::Event made;
    made.id = ids_.next(moment());
    made.line = lines_[below(lines_.size())];
    made.occurred_at = made.recorded_at = moment();
    made.author = "M. Koller";
    made.device = "tablet";
    const std::string bed = std::to_string(1 + below(20));
    if (below(4) == 0)
      made.body = line::Moved{{"", "North", bed}};
    else
      made.body = line::Noted{std::string(1 + below(300), 'a')};
    return made;
  }

  /// Whether an act of the record was done. It may only fail when the power went.
  template <class T>
  bool was_done(const Checked<T>& result) {
    if (!result && !disk_.is_dark())
      say("refused, with the power on: " + said::in_english(result.error().front().expected));
    return result.has_value();
  }

  void append(ledger::Ledger& ledger, Done& done) {
    std::vector<line::Event> batch(1 + (below(3) == 0 ? below(8) : 0));
    for (auto& one : batch) one = event();
    sent_.push_back(batch);
    ++done.appended;
    if (!was_done(ledger.append(batch, moment()))) return;
    done.acknowledged += static_cast<int>(batch.size());
    for (const auto& one : batch) acknowledged_.insert(one.id);
  }

  void send_again(ledger::Ledger& ledger) {
    if (sent_.empty()) return;
    const auto& batch = sent_[below(sent_.size())];
    if (!was_done(ledger.append(batch, moment()))) return;
    for (const auto& one : batch) acknowledged_.insert(one.id);
  }

  void checkpoint(Done& done) {
    ++done.checkpoints;
    static_cast<void>(Beside(record).ask(below(2) == 0 ? "PRAGMA wal_checkpoint(TRUNCATE)" : "PRAGMA wal_checkpoint"));
  }

  void rebuild(ledger::Ledger& ledger, Done& done) {
    const auto& library = exchange::default_library();
    if (was_done(ledger::rebuild(ledger, library.policy, library.infusates, moment(), [](ledger::VerifyProgress) {})))
      ++done.rebuilt;
  }

  /// As the server does each minute, with a key that is made when there is none yet.
  void sign(ledger::Ledger& ledger, Done& done) {
    const auto key = ledger::SigningKey::load_or_make(key_file, files_);
    if (!was_done(key)) return;
    if (!was_done(ledger::sign_now(ledger, *key, heads_file, moment(), files_)) || disk_.is_dark()) return;
    ++done.heads;
    signed_up_to_ = ledger.last_sequence();
    if (public_key_.empty()) public_key_ = key->public_key();
    if (public_key_ != key->public_key()) say("the key became another");
  }

  void keep_picture(ledger::Ledger& ledger, Done& done) {
    ledger::Photo picture{"", "image/jpeg", std::string(50 + below(2000), static_cast<char>('a' + below(26)))};
    picture.hash = ledger::blake2b_256(picture.bytes);
    if (!was_done(ledger.keep_photo(picture))) return;
    ++done.pictures;
    pictures_.insert(picture.hash);
  }

  void keep_paper(ledger::Ledger& ledger, Done& done) {
    const ledger::Paper paper{ids_.next(moment()), ledger::practice_paper, "M. Koller", moment(), R"({"score":1})"};
    papers_sent_.insert(paper.id);
    if (!was_done(ledger.keep_paper(paper, std::nullopt, moment()))) return;
    ++done.papers;
    acknowledged_.insert(paper.id);
  }

  /// Whether all of `from` is now in `to`, and was looked at there.
  bool copied(ledger::Ledger& from, ledger::Ledger& to, const std::string& name) {
    attempted_[name].insert(from.last_sequence());
    const auto result = ledger::copy_record(from, to, [](ledger::VerifyProgress) {});
    return was_done(result) && result->is_proven();
  }

  void back_up(ledger::Ledger& ledger, Done& done) {
    const auto to = open(copy);
    if (!to || !copied(ledger, *to, copy)) return;
    ++done.copies;
    if (disk_.is_dark()) return;
    proven_copy_ = to->last_sequence();
  }

  void restore(Done& done) {
    if (!disk_.exists(copy)) return;
    const auto from = open(copy), to = open(restored);
    // What is unfinished is no backup: nobody takes it for one.
    if (!from || !to || ledger::is_unfinished_copy(*from) || from->last_sequence() == 0 ||
        !copied(*from, *to, restored))
      return;
    ++done.restores;
    if (disk_.is_dark()) return;
    proven_restored_ = to->last_sequence();
  }

  // ---- after the power is back ----

  void look() {
    std::vector<std::string> all;
    if (const auto ledger = look_at_chain(record, acknowledged_, all)) {
      look_beside(*ledger);
      look_at_cache(*ledger);
      look_at_heads(*ledger);
    }
    for (const auto& [name, proven] : {std::pair{copy, proven_copy_}, std::pair{restored, proven_restored_}}) {
      if (!fault_.empty()) return;
      if (!disk_.exists(name)) {
        if (proven > 0) say(name + " was copied and proven, and is gone");
        continue;
      }
      std::vector<std::string> some;
      const auto ledger = look_at_chain(name, {}, some);
      // Begun and not ended: it says so of itself, however whole it looks.
      if (ledger && !ledger::is_unfinished_copy(*ledger) && std::ssize(some) != proven &&
          !attempted_[name].contains(std::ssize(some)))
        say(name + " was never finished, and does not say so");
      if (some.size() > all.size() || !std::equal(some.begin(), some.end(), all.begin()))
        say(name + " is not the beginning of the record");
      if (std::ssize(some) < proven) say(name + " lacks what was copied and proven");
    }
  }

  /// The ledger when all is well with it, and the ids that it holds.
  std::shared_ptr<ledger::Ledger> look_at_chain(const std::string& name, const std::set<std::string>& acknowledged,
                                                std::vector<std::string>& ids) {
    const auto ledger = open(name);
    if (!ledger) return nullptr;
    if (const auto said = Beside(name).ask("PRAGMA integrity_check"); said != "ok") say(name + ": " + said);
    const auto verified = ledger->verify([](ledger::VerifyProgress) {});
    if (verified.first_bad) say(name + ", entry " + std::to_string(*verified.first_bad) + ": " + verified.reason);
    if (!fault_.empty()) return nullptr;
    constexpr std::size_t to_the_end = 100'000;
    for (const auto& entry : ledger->stored_after(0, to_the_end)) ids.push_back(entry.id);
    if (verified.entries != std::ssize(ids)) say(name + " was not verified to its end");
    const std::set<std::string> kept(ids.begin(), ids.end());
    if (kept.size() != ids.size()) say(name + " holds an entry twice");
    for (const auto& id : acknowledged)
      if (!kept.contains(id)) say(name + " lost an acknowledged entry, " + id);
    auto ours = static_cast<std::size_t>(
        std::count_if(ids.begin(), ids.end(), [&](const auto& id) { return papers_sent_.contains(id); }));
    for (const auto& batch : sent_) {
      const auto in = [&](const auto& one) { return kept.contains(one.id); };
      const auto there = std::count_if(batch.begin(), batch.end(), in);
      if (name == record && there != 0 && there != std::ssize(batch))
        say(name + " holds half of what was sent together");
      ours += static_cast<std::size_t>(there);
    }
    if (kept.size() > ours) say(name + " holds what nobody sent");
    return fault_.empty() ? ledger : nullptr;
  }

  void look_beside(ledger::Ledger& ledger) {
    for (const auto& hash : pictures_) {
      const auto picture = ledger.photo(hash);
      if (!picture || ledger::blake2b_256(picture->bytes) != hash) return say("an acknowledged picture is lost");
    }
  }

  /// What the cache says is what the entries say, and nothing but what was kept.
  void look_at_cache(ledger::Ledger& ledger) {
    const auto& library = exchange::default_library();
    const auto cache =
        ledger::check_cache(ledger, library.policy, library.infusates, moment(), [](ledger::VerifyProgress) {});
    if (cache.mark.sequence > ledger.last_sequence()) say("the cache reaches beyond the record");
    if (!cache.mark.made_with.empty() && !cache.as_kept) say("the cache is not what was kept");
    if (!cache.wrong.empty()) say("the cache is wrong about " + cache.wrong.front());
    if (!cache.set_aside.empty()) say("an entry cannot be read: " + cache.set_aside.front().reason);
  }

  /// All that was signed is there and fits the record; a torn line is a torn line, and no head.
  void look_at_heads(ledger::Ledger& ledger) {
    const auto kept = ledger::read_heads(heads_file, files_);
    if (!kept) return say("the heads cannot be read: " + said::in_english(kept.error().front().expected));
    if (!kept->changed.empty())
      say("a cut left what looks like a change by hand: " + kept->changed.front().found + " after " +
          std::to_string(kept->heads.size()) + " heads: " + said::in_english(kept->changed.front().expected));
    const auto last = kept->heads.empty() ? 0 : kept->heads.back().sequence;
    if (last < signed_up_to_) say("a signed head is lost");
    std::map<std::int64_t, std::string> known;
    for (const auto& head : kept->heads) known.emplace(head.sequence, head.hash);
    if (const auto verified = ledger.verify([](ledger::VerifyProgress) {}, known); verified.first_bad)
      say("the heads do not fit the record: " + verified.reason);
  }

  std::uint64_t seed_;
  std::mt19937_64 random_;
  demo::IdSource ids_;
  PowerCutDisk disk_;
  PowerCutFiles files_{disk_};
  std::array<std::string, 4> lines_;
  std::vector<std::vector<line::Event>> sent_;
  std::set<std::string> acknowledged_, papers_sent_, pictures_;
  std::int64_t proven_copy_ = 0, proven_restored_ = 0, signed_up_to_ = 0;
  std::map<std::string, std::set<std::int64_t>> attempted_;  ///< how many entries a copy was to hold, each time
  std::string public_key_;
  std::string fault_;
};

int wanted(const char* variable, int usual) {
  const char* said = std::getenv(variable);
  return said ? std::atoi(said) : usual;
}

/// Sector and page sizes, and whether a cut spoils what lies beside a write, go by the seed.
PowerCutDisk::Habits habits_of(std::uint64_t seed) {
  constexpr std::size_t small = 512, large = 4096;
  return {seed % 3 == 0 ? large : small, seed % 2 == 0, false};
}

EachConnection::Manner manner_of(std::uint64_t seed) {
  constexpr std::array small_pages{512, 1024, 4096};
  constexpr int large_page = 4096;
  // Pages are at least as large as sectors, as SQLite chooses them by itself.
  return {seed % 3 == 0 ? large_page : small_pages[seed / 3 % small_pages.size()], 2 + static_cast<int>(seed % 7),
          false};
}

/// Machines one after another until there were that many cuts.
void cut_and_look(int cuts, Machine::Work kind) {
  constexpr int cuts_each = 20;
  const std::uint64_t only = static_cast<std::uint64_t>(wanted("DWELL_SEED", 0));
  const int machines = only ? 1 : cuts / cuts_each;
  Machine::Done done;
  PowerCutDisk::Counts disk;
  for (int i = 0; i < machines; ++i) {
    const std::uint64_t seed = only ? only : static_cast<std::uint64_t>(i) + 1;
    const EachConnection each(manner_of(seed));
    Machine machine(seed, habits_of(seed));
    if (const auto fault = machine.live(cuts_each, kind, done))
      ADD_FAILURE() << fault->what << "\n  (cut " << fault->round
                    << " of the machine; again with DWELL_SEED=" << fault->seed << ")";
    const auto counts = machine.disk().counts();
    disk.changes += counts.changes, disk.syncs += counts.syncs, disk.sectors_lost += counts.sectors_lost;
    disk.sectors_torn += counts.sectors_torn, disk.sectors_spoiled += counts.sectors_spoiled;
    disk.names_lost += counts.names_lost;
  }
  std::cout << done.cuts << " power cuts: " << done.acknowledged << " entries acknowledged, all there; on the way "
            << done.checkpoints << " checkpoints, " << done.rebuilt << " caches made, " << done.copies
            << " backups and " << done.restores << " restores proven, " << done.heads << " heads signed, "
            << done.pictures << " pictures, " << done.papers << " papers; " << disk.sectors_lost << " sectors lost, "
            << disk.sectors_torn << " torn, " << disk.sectors_spoiled << " spoiled, " << disk.names_lost
            << " names lost\n";
}

TEST(PowerCut, AtAnyMomentLosesNothingAcknowledged) {
  constexpr int usual = 2'000;
  cut_and_look(wanted("DWELL_POWER_CUTS", usual), Machine::Work::one_after_another);
}

// Who is committed with whom is for the threads to settle: here a seed gives the same disk, and not the same run.
TEST(PowerCut, DuringTheCommonCommitOfManyLosesNothingAcknowledged) {
  constexpr int part = 10, usual = 2'000;
  cut_and_look(wanted("DWELL_POWER_CUTS", usual) / part, Machine::Work::many_at_once);
}

/// How many of some machines lose something, when nothing is really synced.
int machines_that_lose(bool forgetful_disk) {
  int lost = 0;
  Machine::Done done;
  constexpr std::uint64_t machines = 20;
  for (std::uint64_t seed = 1; seed <= machines; ++seed) {
    auto manner = manner_of(seed);
    auto habits = habits_of(seed);
    (forgetful_disk ? habits.forgets_syncs : manner.never_syncs) = true;
    const EachConnection each(manner);
    Machine machine(seed, habits);
    constexpr int cuts_each = 10;
    if (machine.live(cuts_each, Machine::Work::one_after_another, done)) ++lost;
  }
  return lost;
}

// That the two above can fail: the same machines, when a layer breaks its word.
TEST(PowerCut, ADiskThatForgetsItsSyncsIsFoundOut) { EXPECT_GT(machines_that_lose(true), 15); }
TEST(PowerCut, ALedgerThatDoesNotSyncIsFoundOut) { EXPECT_GT(machines_that_lose(false), 15); }

}  // namespace
}  // namespace dwell
