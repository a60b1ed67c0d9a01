#include "tests/faults/simulation.h"

#include <algorithm>
#include <functional>
#include <iterator>
#include <set>
#include <utility>

#include "exchange/library.h"
#include "json/codec.h"
#include "ledger/open.h"
#include "ledger/policy_change.h"
#include "ledger/projection.h"
#include "line/state.h"

namespace dwell::faults {
namespace {

using namespace std::chrono_literals;
using json::Value;

const std::string record = "ward.sqlite";
constexpr std::size_t most_in_a_batch = 50;
/// A device that was not answered asks again after so long, as the page does.
constexpr auto patience = 20s;

server::Request post(const std::string& target, std::string body) {
  server::Request request;
  request.method = "POST";
  request.target = target;
  request.headers = {{"host", "127.0.0.1"}, {"content-type", "application/json"}};
  request.body = std::move(body);
  return request;
}

const json::Array& list(const Value& answer, const char* name) {
  static const json::Array none;
  const auto* object = answer.if_object();
  const auto* member = object ? object->if_contains(name) : nullptr;
  const auto* found = member ? member->if_array() : nullptr;
  return found ? *found : none;
}

}  // namespace

Simulation::Simulation(std::uint64_t seed, bool forgetful_disk)
    : seed_(seed),
      random_(seed),
      ids_(seed),
      disk_(seed, {seed % 2 == 0 ? std::size_t{4096} : std::size_t{512}, seed % 3 == 0, forgetful_disk}),
      now_(moment()) {
  for (auto& server : servers_) start(server);
}

Simulation::~Simulation() {
  for (auto& server : servers_) end(server);
}

void Simulation::say(const std::string& what) {
  if (fault_.empty()) fault_ = what;
}

std::optional<Simulation::Fault> Simulation::run(std::int64_t steps, Done& done) {
  constexpr std::int64_t compare_every = 2'500;
  while (step_ < steps && fault_.empty()) try {
      step();
      ++step_;
      if (step_ % compare_every == 0 || step_ == steps) {
        mend();
        compare();
      }
    } catch (const std::exception& e) {
      say(std::string("nobody caught: ") + e.what());
    }
  // What was sent and never acknowledged to its device may be there.
  for (const auto& device : devices_)
    for (const auto& [id, sent] : device.first_sent)
      if (device.outbox.at(id).status != Status::kept)
        history_.note({Operation::Kind::append, Operation::Outcome::unknown, 0, sent, Operation::never, id, 0, 0, {}});
  if (fault_.empty())
    if (const auto anomaly = anomaly_of(history_.operations())) say("as one list: " + *anomaly);
  done_.steps = step_;
  done_.operations = static_cast<std::int64_t>(history_.operations().size());
  done = done_;
  return fault_.empty() ? std::nullopt : std::optional(Fault{seed_, step_, fault_});
}

void Simulation::step() {
  constexpr std::size_t longest_pause = 4'000;
  now_ += std::chrono::milliseconds(below(longest_pause));
  constexpr std::size_t often = 150;
  if (below(often) == 0) return go_wrong();
  constexpr std::size_t kinds = 12;
  switch (below(kinds)) {
    case 0: return below(2) == 0 ? chart() : void();
    case 1:
    case 2: {
      const std::size_t number = below(devices_.size());
      return ask(devices_[number], number);
    }
    case 3: return answer_one(servers_[below(servers_.size())]);
    case 4: return below(16) == 0 ? look_around(servers_[below(servers_.size())]) : void();
    case 5: return below(200) == 0 ? change_policy() : below(16) == 0 ? read_record() : void();
    default: return deliver_something();
  }
}

// ---- devices ----

line::Body Simulation::something_happened() {
  constexpr std::size_t kinds = 8;
  switch (below(kinds)) {
    case 0: return line::Moved{{"", below(2) == 0 ? "North" : "South", std::to_string(1 + below(20))}};
    case 1: return line::Assigned{below(2) == 0 ? "M. Koller" : "S. Iqbal"};
    case 2: {
      line::Removed removed;
      removed.reason = line::RemovalReason::therapy_complete;
      removed.remover = "M. Koller";
      return below(3) == 0 ? line::Body(removed) : line::Body(line::Noted{"is to come out"});
    }
    case 3: {
      line::AfterChecked after;
      after.healed = true;
      return below(3) == 0 ? line::Body(after) : line::Body(line::Noted{"looks well"});
    }
    default: return line::Noted{"slept well"};
  }
}

void Simulation::chart() {
  Device& device = devices_[below(devices_.size())];
  line::Event event;
  event.occurred_at = event.recorded_at = now_ + device.clock_off;
  event.id = ids_.next(event.recorded_at);
  event.author = "M. Koller";
  event.device = "tablet";
  constexpr std::size_t most_lines = 12;
  if (device.lines.size() < most_lines && (device.lines.empty() || below(6) == 0)) {
    device.lines.push_back(ids_.next(now_));
    event.line = device.lines.back();
    event.body = line::Opened{{}, {"", "North", std::to_string(1 + below(20))}};
  } else {
    // Of its own lines or of another's: the same line is charted from several devices.
    const Device& whose = below(2) == 0 ? devices_[below(devices_.size())] : device;
    const auto& lines = whose.lines.empty() ? device.lines : whose.lines;
    event.line = lines[below(lines.size())];
    event.body = something_happened();
  }
  if (below(40) == 0) event.author.clear();  // an entry that no record takes
  ++done_.entries;
  const auto id = event.id;
  device.outbox.emplace(id, Charted{event, json::encode(event)});
}

void Simulation::ask(Device& device, std::size_t number) {
  if (device.ticket != 0 && now_ - device.asked_at < patience) return;
  device.ticket = 0;
  json::Array batch;
  device.asked_for.clear();
  for (const auto& [id, charted] : device.outbox) {
    if (charted.status != Status::waiting) continue;
    batch.push_back(charted.encoded);
    device.asked_for.push_back(id);
    if (batch.size() == most_in_a_batch) break;
  }
  if (batch.empty()) return;
  for (const auto& id : device.asked_for) device.first_sent.try_emplace(id, history_.moment());
  device.ticket = ++tickets_;
  device.asked_at = now_;
  Message message;
  message.device = number;
  message.server = below(servers_.size());
  message.ticket = device.ticket;
  message.question = post("/api/events", json::to_text(batch));
  send(std::move(message));
}

void Simulation::settle(Device& device, const std::string& id, Status status) {
  const auto found = device.outbox.find(id);
  if (found == device.outbox.end()) return say("a device was told of an entry that it never made");
  if (found->second.status != Status::waiting) return;
  found->second.status = status;
  if (status == Status::refused) {
    ++done_.refused;
    return;
  }
  ++done_.kept;
  history_.note({Operation::Kind::append,
                 Operation::Outcome::returned,
                 0,
                 device.first_sent.at(id),
                 history_.moment(),
                 id,
                 0,
                 0,
                 {}});
}

void Simulation::arrive_at_device(const Message& message) {
  Device& device = devices_[message.device];
  if (message.ticket != device.ticket) {  // too late, or twice: nobody listens any more
    ++done_.answers_without_a_hearer;
    return;
  }
  device.ticket = 0;
  const auto answer = json::parse_text(message.answer.body);
  if (!answer) return;
  for (const char* name : {"written", "already_there"})
    for (const auto& id : list(*answer, name)) settle(device, std::string(id.as_string()), Status::kept);
  for (const auto& one : list(*answer, "refused"))
    if (const auto* id = one.at("id").if_string()) settle(device, std::string(*id), Status::refused);
  // A batch of which nothing was taken names each of its entries by its place.
  for (const auto& error : list(*answer, "errors")) {
    const std::string path(error.at("path").as_string());
    for (std::size_t i = 0; i < device.asked_for.size(); ++i)
      if (path.starts_with("/" + std::to_string(i) + "/")) settle(device, device.asked_for[i], Status::refused);
  }
}

// ---- the network ----

void Simulation::send(Message message) {
  ++done_.messages;
  constexpr std::size_t quick = 1'500, slow = 60'000;
  const bool late = !network_is_good_ && below(20) == 0;
  message.arrives = now_ + std::chrono::milliseconds(below(late ? slow : quick));
  if (!network_is_good_ && below(12) == 0) {
    ++done_.lost;
    return;
  }
  if (!network_is_good_ && below(25) == 0) {
    ++done_.doubled;
    Message again = message;
    again.arrives += std::chrono::milliseconds(below(slow));
    network_.push_back(std::move(again));
  }
  network_.push_back(std::move(message));
}

void Simulation::deliver_something() {
  if (network_.empty()) return;
  const auto at = network_.begin() + static_cast<std::ptrdiff_t>(below(network_.size()));
  if (at->arrives > now_) return;
  Message message = std::move(*at);
  *at = std::move(network_.back());
  network_.pop_back();
  deliver(std::move(message));
}

void Simulation::deliver(Message message) {
  if (message.question)
    arrive_at_server(message);
  else
    arrive_at_device(message);
}

void Simulation::reply_to(const Message& question, server::Reply reply) {
  Message answer;
  answer.device = question.device;
  answer.server = question.server;
  answer.ticket = question.ticket;
  answer.answer = std::move(reply);
  send(std::move(answer));
}

// ---- servers ----

/// The record, or nothing while its disk is away, full or dark.
std::shared_ptr<ledger::Ledger> Simulation::open() {
  auto opened = ledger::open_sqlite(record, ledger::Access::made, files_);
  return opened ? std::shared_ptr<ledger::Ledger>(std::move(opened->ledger)) : nullptr;
}

void Simulation::start(Server& server) {
  auto& options = server.options;
  options.clock = [this, &server] { return now_ + server.clock_off; };
  try {
    options.ledger = open();
    options.reading = options.ledger ? open() : nullptr;
    if (options.reading) {
      server.watch = std::make_unique<server::Watch>(*options.reading, exchange::default_library(), options.clock());
      server.charting = std::make_unique<server::Charting>(*options.ledger, *server.watch, options.clock);
      server.routes =
          std::make_unique<server::Routes>(options, *server.watch, *server.charting, server.gate, *server.measures);
    }
  } catch (const ledger::Unreachable&) {
    // Somebody will try again.
  }
  if (!server.up()) end(server);
  be_careful_with_power();
}

void Simulation::end(Server& server) {
  server.unanswered.clear();
  server.routes.reset();
  server.charting.reset();
  server.watch.reset();
  server.options.reading.reset();
  server.options.ledger.reset();
}

/// As the server answers when the record cannot be reached.
server::Reply Simulation::answered(const Server& server, const server::Request& question) {
  try {
    return server.routes->answer(question);
  } catch (const ledger::Unreachable&) {
    server::Reply reply;
    constexpr unsigned unavailable = 503;
    reply.status = unavailable;
    reply.body = "{}";
    return reply;
  }
}

/// What was done and what is said of it are two moments: between them much may happen.
void Simulation::arrive_at_server(const Message& message) {
  Server& server = servers_[message.server];
  if (!server.up()) return;
  server.unanswered.push_back({message, answered(server, *message.question)});
  be_careful_with_power();
}

void Simulation::answer_one(Server& server) {
  if (!server.up() || server.unanswered.empty()) return;
  auto [question, reply] = std::move(server.unanswered.front());
  server.unanswered.pop_front();
  reply_to(question, std::move(reply));
}

/// What a server does by itself: it hears of the other's entries and policies, and keeps its cache.
void Simulation::look_around(Server& server) {
  if (!server.up()) return start(server);
  server.watch->refresh(server.options.clock());
  if (below(4) == 0) server.watch->keep();
  be_careful_with_power();
}

/// By a charge nurse at one of the servers, and at once: two changes cannot cross on the network here.
void Simulation::change_policy() {
  const Server& server = servers_[below(servers_.size())];
  if (!server.up()) return;
  ledger::PolicyChange change{ids_.next(now_), exchange::default_library().policy, "K. Lund", "after a review", {}};
  change.policy.version = "of step " + std::to_string(step_);
  Operation put{Operation::Kind::append,
                Operation::Outcome::unknown,
                0,
                history_.moment(),
                Operation::never,
                change.id,
                0,
                0,
                {}};
  constexpr unsigned fine = 200;
  if (answered(server, post("/api/policy", json::to_text(json::encode(change)))).status == fine && !disk_.is_dark()) {
    ++done_.policies;
    put.outcome = Operation::Outcome::returned;
    put.returned = history_.moment();
  }
  history_.note(std::move(put));
  be_careful_with_power();
}

/// Somebody reads on from where he was, at either server: part of the history.
void Simulation::read_record() {
  const std::size_t number = below(servers_.size());
  const Server& server = servers_[number];
  if (!server.up()) return;
  Operation read{Operation::Kind::read,
                 Operation::Outcome::returned,
                 static_cast<int>(number),
                 history_.moment(),
                 Operation::never,
                 "",
                 0,
                 read_up_to_[number],
                 {}};
  try {
    constexpr std::size_t to_the_end = 1'000'000;
    for (const auto& entry : server.options.ledger->stored_after(read.after, to_the_end))
      read.seen.push_back({entry.sequence, entry.id});
  } catch (const ledger::Unreachable&) {
    return;
  }
  read.returned = history_.moment();
  if (!read.seen.empty()) read_up_to_[number] = read.seen.back().sequence;
  history_.note(std::move(read));
}

// ---- what goes wrong ----

void Simulation::go_wrong() {
  constexpr std::size_t kinds = 7;
  switch (below(kinds)) {
    case 0: {
      // One server dies and the other goes on, or both die as the machine does.
      ++done_.kills;
      return end(servers_[below(servers_.size())]);
    }
    case 1: {
      constexpr std::size_t soon = 40;
      return disk_.cut_after(static_cast<int>(below(soon)));
    }
    case 2: {
      ++done_.full_disks;
      return disk_.set_full(true);
    }
    case 3: {
      ++done_.times_away;
      return disk_.set_away(true);
    }
    case 4: {
      ++done_.clock_jumps;
      constexpr int widest = 20;
      const Interval hours = std::chrono::hours(static_cast<int>(below(2 * widest)) - widest);
      return below(2) == 0 ? void(devices_[below(devices_.size())].clock_off = hours)
                           : void(servers_[below(servers_.size())].clock_off = hours);
    }
    default:
      disk_.set_full(false);
      disk_.set_away(false);
      return;
  }
}

/// When the power went, in the middle of whatever was done: all that ran is gone, and starts again.
void Simulation::be_careful_with_power() {
  if (!disk_.is_dark()) return;
  ++done_.cuts;
  disk_.set_away(false);
  for (auto& server : servers_) end(server);
  disk_.restart();
}

// ---- agreement ----

void Simulation::mend() {
  disk_.stay_on();
  disk_.set_full(false);
  disk_.set_away(false);
  for (auto& server : servers_) {
    server.clock_off = {};
    if (!server.up()) start(server);
    if (!server.up()) say("a server does not start, with everything mended");
  }
  if (!fault_.empty()) return;
  for (auto& device : devices_) device.clock_off = {};
  // Everybody's clock is right again, and what was charted ahead of its time has come to pass.
  now_ += 24h;
  bring_all_through();
}

void Simulation::bring_all_through() {
  network_is_good_ = true;
  constexpr int most_rounds = 200;
  for (int round = 0; round < most_rounds && fault_.empty(); ++round) {
    now_ += patience;
    for (std::size_t i = 0; i < devices_.size(); ++i) ask(devices_[i], i);
    if (network_.empty()) break;
    for (auto messages = std::exchange(network_, {}); auto& message : messages) deliver(std::move(message));
    for (auto& server : servers_)
      while (!server.unanswered.empty()) answer_one(server);
    for (auto messages = std::exchange(network_, {}); auto& message : messages) deliver(std::move(message));
  }
  for (auto& server : servers_) server.watch->refresh(server.options.clock());
  network_is_good_ = false;
}

void Simulation::compare() {
  if (!fault_.empty()) return;
  auto& ledger = *servers_.front().options.ledger;
  const auto verified = ledger.verify([](ledger::VerifyProgress) {});
  if (verified.first_bad) say("entry " + std::to_string(*verified.first_bad) + ": " + verified.reason);
  compare_entries();
  for (auto& server : servers_) compare_board(server);
  read_up_to_ = {};
  read_record();
  ++done_.agreements;
}

void Simulation::compare_entries() {
  constexpr std::size_t all = 1'000'000;
  std::map<std::string, std::string> kept;
  for (const auto& entry : servers_.front().options.ledger->stored_after(0, all))
    if (!kept.emplace(entry.id, entry.json).second) say("an entry is in the record twice");
  for (const auto& device : devices_)
    for (const auto& [id, charted] : device.outbox) {
      const bool there = kept.contains(id);
      if (charted.status == Status::waiting) say("an entry still waits, with everything mended");
      if (charted.status == Status::kept && !there) say("a device forgot an entry that is not in the record");
      // A copy that came late may have been taken after another one was refused; both are seen.
      if (charted.status == Status::refused && there) ++done_.refused_and_there;
      if (there && charted.event.author.empty()) say("an entry of nobody is in the record");
    }
}

/// What a server shows is what the entries say, read anew; and the policy is the one that was put into force last.
void Simulation::compare_board(Server& server) {
  auto& ledger = *server.options.ledger;
  std::string last;
  constexpr std::size_t all = 1'000'000;
  for (const auto& entry : ledger.stored_after(0, all))
    if (entry.kind == ledger::policy_paper) last = entry.id;
  const auto in_force = server.watch->in_force();
  if (in_force->policy_paper != last) say("another policy is in force than the last of the record");
  std::map<std::string, std::string> from_scratch, on_the_board;
  for (const auto& line : ledger.lines_after(0)) {
    const auto state = ledger::folded(line, ledger.read_line(line), in_force->library.policy);
    if (state.stage != line::Stage::closed) from_scratch[line] = json::to_text(json::encode(state));
  }
  server.watch->with_ward(server.options.clock(), [&](server::Ward& ward, const server::Standing& standing) {
    for (const auto* state : ward.open_states("", "", all))
      on_the_board[state->id] = json::to_text(json::encode(*state));
    if (!standing.reachable || standing.sequence != ledger.last_sequence()) say("the board is behind the record");
    return 0;
  });
  if (on_the_board != from_scratch) say("the board is not what the entries say");
}

}  // namespace dwell::faults
