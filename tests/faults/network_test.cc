// The network to the database, cut in the middle of the work. The writer goes on by itself; nothing that was
// acknowledged is lost. (A database that ends for good while its standby takes over: history_test.cc.)
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <array>
#include <boost/asio.hpp>
#include <condition_variable>
#include <csignal>
#include <cstdlib>
#include <future>
#include <memory>
#include <mutex>
#include <thread>

#include "tests/faults/kept_entries.h"

namespace dwell {
namespace {

namespace asio = boost::asio;
using namespace faults;
using tcp = asio::ip::tcp;
using local = asio::local::stream_protocol;

/// A piece of network: takes connections on the loopback and hands them on to the database's socket; can be cut.
class Cable {
 public:
  explicit Cable(const std::string& socket) : socket_(socket) {
    port_ = acceptor_.local_endpoint().port();
    take();
    runner_ = std::thread([this] { io_.run(); });
  }
  ~Cable() {
    io_.stop();
    runner_.join();
  }
  [[nodiscard]] unsigned short port() const { return port_; }
  void cut() {
    do_in_its_thread([this] {
      whole_ = false;
      for (const auto& pair : pairs_)
        if (const auto held = pair.lock()) held->close();
      pairs_.clear();
    });
  }
  void mend() {
    do_in_its_thread([this] { whole_ = true; });
  }

 private:
  struct Pair {
    Pair(tcp::socket from, local::socket to) : client(std::move(from)), database(std::move(to)) {}
    void close() {
      boost::system::error_code ignored;
      client.close(ignored);
      database.close(ignored);
    }
    tcp::socket client;
    local::socket database;
    std::array<char, 8192> up{}, down{};
  };

  template <class Work>
  void do_in_its_thread(Work work) {
    std::promise<void> done;
    asio::post(io_, [&] {
      work();
      done.set_value();
    });
    done.get_future().wait();
  }

  void take() {
    acceptor_.async_accept([this](boost::system::error_code failure, tcp::socket client) {
      if (!failure && whole_) {
        local::socket database(io_);
        boost::system::error_code unreachable;
        database.connect(local::endpoint(socket_), unreachable);
        if (!unreachable) {
          const auto pair = std::make_shared<Pair>(std::move(client), std::move(database));
          pairs_.push_back(pair);
          hand_on(pair, pair->client, pair->database, pair->up);
          hand_on(pair, pair->database, pair->client, pair->down);
        }
      }
      take();
    });
  }

  template <class From, class To>
  static void hand_on(const std::shared_ptr<Pair>& pair, From& from, To& to, std::array<char, 8192>& bytes) {
    from.async_read_some(asio::buffer(bytes),
                         [pair, &from, &to, &bytes](boost::system::error_code failure, std::size_t n) {
                           if (failure) return pair->close();
                           asio::async_write(to, asio::buffer(bytes.data(), n),
                                             [pair, &from, &to, &bytes](boost::system::error_code broken, std::size_t) {
                                               if (broken) return pair->close();
                                               hand_on(pair, from, to, bytes);
                                             });
                         });
  }

  std::string socket_;
  asio::io_context io_;
  tcp::acceptor acceptor_{io_, tcp::endpoint(asio::ip::address_v4::loopback(), 0)};
  unsigned short port_ = 0;
  bool whole_ = true;
  std::vector<std::weak_ptr<Pair>> pairs_;
  std::thread runner_;
};

/// A writer in a process of its own, and what it was acknowledged.
class Writer {
 public:
  Writer(const std::string& where, std::uint64_t seed) {
    int ends[2];
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    child_ = fork();
    if (child_ == 0) append_until_killed(where, ends[1], seed);
    close(ends[1]);
    reader_ = std::thread([this, from = ends[0]] {
      char id[36];
      while (read(from, id, sizeof id) == static_cast<ssize_t>(sizeof id)) {
        const std::lock_guard lock(mutex_);
        ids_.emplace_back(id, sizeof id);
        more_.notify_all();
      }
      close(from);
    });
  }
  /// Until that many more were acknowledged; false when that never comes.
  [[nodiscard]] bool goes_on(std::size_t more) {
    constexpr std::chrono::minutes much_too_long{2};
    std::unique_lock lock(mutex_);
    const std::size_t wanted = ids_.size() + more;
    return more_.wait_for(lock, much_too_long, [&] { return ids_.size() >= wanted; });
  }
  std::set<std::string> end() {
    EXPECT_EQ(waitpid(child_, nullptr, WNOHANG), 0) << "the writer ended by itself";
    kill(child_, SIGKILL);
    waitpid(child_, nullptr, 0);
    reader_.join();
    return {ids_.begin(), ids_.end()};
  }

 private:
  pid_t child_ = -1;
  std::thread reader_;
  std::mutex mutex_;
  std::condition_variable more_;
  std::vector<std::string> ids_;  ///< guarded by mutex_
};

void wait_for(int milliseconds) { std::this_thread::sleep_for(std::chrono::milliseconds(milliseconds)); }

TEST(NetworkCut, BetweenServerAndDatabaseLosesNothingAcknowledged) {
  const char* server = std::getenv("DWELL_TEST_POSTGRESQL");
  if (!server) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
  const std::string address = server;
  const std::string folder = address.substr(address.find("host=") + 5);
  const std::string schema = "dwell_cut_" + std::to_string(getpid());
  ASSERT_EQ(std::system(("psql -q '" + address + "' -c 'CREATE SCHEMA " + schema + "'").c_str()), 0);
  const std::string options = "options=-csearch_path%3D" + schema;
  constexpr int cuts = 6;
  std::set<std::string> acknowledged;
  {
    Cable cable(folder + "/.s.PGSQL.5432");
    Writer writer("postgresql://dwell@127.0.0.1:" + std::to_string(cable.port()) + "/postgres?" + options, 5);
    constexpr std::size_t some = 10;
    for (int i = 0; i < cuts; ++i) {
      ASSERT_TRUE(writer.goes_on(some)) << i;
      cable.cut();
      wait_for(150);
      cable.mend();
    }
    ASSERT_TRUE(writer.goes_on(some));
    acknowledged = writer.end();
  }
  expect_nothing_lost(address + "&" + options, acknowledged, std::to_string(cuts) + " cuts of the network");
  EXPECT_GT(acknowledged.size(), static_cast<std::size_t>(cuts)) << "it goes on by itself";
}

TEST(NetworkCut, IsSaidInOneSentenceAndReadingSaysItToo) {
  const char* server = std::getenv("DWELL_TEST_POSTGRESQL");
  if (!server) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
  const std::string address = server;
  Cable cable(address.substr(address.find("host=") + 5) + "/.s.PGSQL.5432");
  const std::string schema = "dwell_said_" + std::to_string(getpid());
  ASSERT_EQ(std::system(("psql -q '" + address + "' -c 'CREATE SCHEMA " + schema + "'").c_str()), 0);
  auto opened = ledger::open_postgresql("postgresql://dwell@127.0.0.1:" + std::to_string(cable.port()) +
                                        "/postgres?options=-csearch_path%3D" + schema);
  ASSERT_TRUE(opened);
  demo::IdSource ids(9);
  const auto events = notes(ids, 1);
  cable.cut();
  const auto said = refusal_of(**opened, events);
  EXPECT_NE(said.find("must be sent again"), std::string::npos) << said;
  EXPECT_THROW((*opened)->last_sequence(), ledger::Unreachable);
  cable.mend();
  ASSERT_TRUE((*opened)->append(events, moment()));
  EXPECT_EQ((*opened)->last_sequence(), 1);
}

}  // namespace
}  // namespace dwell
