#pragma once
// A whole ward in one thread: devices with their outboxes, a network, two servers on one record, its disk and every
// clock, moved step by step by a seed. At any step something goes wrong. When all of it has been mended and everything
// has come through, the ward must agree with itself. A run that fails can be had again from its seed.
//
// Servers are the real Routes, Charting and Watch on the real ledger on SQLite; its disk is PowerCutDisk. A device is a
// model of the page's outbox by its contract: an entry is forgotten only when the server names it as written or already
// there, refused only when the server names it with what is wrong; everything else waits. See web/src/record/outbox.ts.
#include <array>
#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "demo/story.h"
#include "server/charting.h"
#include "server/routes.h"
#include "server/watch.h"
#include "tests/faults/history.h"
#include "tests/faults/kept_entries.h"
#include "tests/faults/power_cut_disk.h"
#include "tests/faults/power_cut_files.h"

namespace dwell::faults {

class Simulation {
 public:
  struct Done {
    std::int64_t steps = 0, entries = 0, kept = 0, refused = 0, refused_and_there = 0, policies = 0, messages = 0,
                 lost = 0, doubled = 0, answers_without_a_hearer = 0, kills = 0, cuts = 0, full_disks = 0,
                 times_away = 0, clock_jumps = 0, agreements = 0, operations = 0;
  };
  struct Fault {
    std::uint64_t seed = 0;
    std::int64_t step = 0;
    std::string what;
  };

  /// With a disk that forgets its syncs it must find something.
  explicit Simulation(std::uint64_t seed, bool forgetful_disk = false);
  ~Simulation();
  Simulation(const Simulation&) = delete;
  Simulation& operator=(const Simulation&) = delete;

  /// That many steps, with everything mended and compared now and then and at the end. The first fault, or nothing.
  [[nodiscard]] std::optional<Fault> run(std::int64_t steps, Done& done);

 private:
  enum class Status { waiting, kept, refused };
  struct Charted {
    line::Event event;
    json::Value encoded;
    Status status = Status::waiting;
  };
  struct Device {
    std::map<std::string, Charted> outbox;  ///< by id, which rises with time; what was kept stays here for the check
    std::vector<std::string> lines;         ///< that it opened
    Interval clock_off{};
    std::int64_t ticket = 0;  ///< of the question that is under way; 0: none
    Instant asked_at{};
    std::vector<std::string> asked_for;
    std::map<std::string, std::int64_t> first_sent;  ///< moment of the history, by id
  };
  struct Message {
    std::size_t device = 0, server = 0;
    std::int64_t ticket = 0;
    Instant arrives{};
    std::optional<server::Request> question;  ///< else an answer
    server::Reply answer;
  };
  struct Server {
    server::Options options;
    std::unique_ptr<server::Watch> watch;
    std::unique_ptr<server::Charting> charting;
    server::Gate gate{nullptr, nullptr};  // nobody signs in
    std::unique_ptr<server::Measures> measures = std::make_unique<server::Measures>();
    std::unique_ptr<server::Routes> routes;
    Interval clock_off{};
    /// Committed, and not yet answered: a server that dies here leaves its device in doubt.
    struct Unanswered {
      Message question;
      server::Reply reply;
    };
    std::deque<Unanswered> unanswered;
    [[nodiscard]] bool up() const { return routes != nullptr; }
  };

  [[nodiscard]] std::size_t below(std::size_t limit) { return static_cast<std::size_t>(random_() % limit); }
  void say(const std::string& what);

  void step();
  void chart();
  [[nodiscard]] line::Body something_happened();
  void ask(Device& device, std::size_t number);
  void change_policy();
  void read_record();
  void send(Message message);
  void deliver_something();
  void deliver(Message message);
  void arrive_at_server(const Message& message);
  void arrive_at_device(const Message& message);
  void answer_one(Server& server);
  void reply_to(const Message& question, server::Reply reply);
  [[nodiscard]] static server::Reply answered(const Server& server, const server::Request& question);
  [[nodiscard]] std::shared_ptr<ledger::Ledger> open();
  void settle(Device& device, const std::string& id, Status status);
  void look_around(Server& server);
  void start(Server& server);
  void end(Server& server);
  void go_wrong();
  void be_careful_with_power();

  void mend();
  void bring_all_through();
  void compare();
  void compare_entries();
  void compare_board(Server& server);

  std::uint64_t seed_;
  std::mt19937_64 random_;
  demo::IdSource ids_;
  PowerCutDisk disk_;
  PowerCutFiles files_{disk_};
  Instant now_;
  std::int64_t step_ = 0, tickets_ = 0;
  std::array<Device, 4> devices_;
  std::array<Server, 2> servers_;
  std::vector<Message> network_;
  bool network_is_good_ = false;
  History history_;
  std::array<std::int64_t, 2> read_up_to_{};
  Done done_;
  std::string fault_;
};

}  // namespace dwell::faults
