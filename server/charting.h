#pragma once
// What goes into the record. A device lets go of an entry only when it is named here as written, as there before, or as
// refused for a fault of its own; whatever else goes wrong names nothing, and the device tries again.
#include <mutex>
#include <string>
#include <unordered_set>
#include <vector>

#include "json/codec.h"
#include "ledger/ledger.h"
#include "server/answers.h"
#include "server/gate.h"
#include "server/message.h"
#include "server/watch.h"

namespace dwell::server {

class Charting {
 public:
  Charting(ledger::Ledger& record, Watch& watch, std::function<Instant()> clock)
      : record_(record), watch_(watch), clock_(std::move(clock)) {}

  /// A list of events. One that cannot be kept does not hold up the others; only what was asked to be kept "together",
  /// the facts of one form, is all kept or not at all. On any thread, because a commit waits for the disk and those
  /// that wait together are committed together. The answer is made of what the record said, and of nothing that comes
  /// after. `lines`: those that it was about.
  [[nodiscard]] Reply events(const Request& request, const Asker& asker, std::vector<std::string>& lines);
  [[nodiscard]] Reply photo(const Request& request);

  /// Entries in one request.
  static constexpr std::size_t most_events = 5000;

 private:
  /// An event and its place in what was sent.
  struct Asked {
    std::size_t place = 0;
    line::Event event;
  };
  struct Refused {
    std::size_t place = 0;
    json::Value id;  ///< as sent, when it was a text
    FieldErrors errors;
  };
  struct Batch {
    std::vector<Asked> asked;
    std::vector<Refused> refused;
    std::unordered_set<std::string> openings;  ///< lines whose opening was sent too, be it kept or refused
    bool together = false;
  };

  [[nodiscard]] Batch batch_of(const json::Array& given, bool together, const Asker& asker);
  /// Why she who is signed in may not chart this, or nothing.
  [[nodiscard]] FieldErrors not_hers(const line::Event& event, const Asker& asker);
  [[nodiscard]] bool was_on_her_wards(const std::string& line, const Asker& asker);
  [[nodiscard]] ledger::Appended keep(Batch& batch);
  [[nodiscard]] ledger::Appended keep_one_by_one(Batch& batch, const FieldErrors& why);
  void take_out_unopened(Batch& batch);
  [[nodiscard]] bool knows(const line::Event& event);
  [[nodiscard]] std::vector<Saying> said_of(const std::vector<ledger::Entry>& kept);
  [[nodiscard]] Reply reply_of(const Batch& batch, const ledger::Appended& kept);

  ledger::Ledger& record_;
  Watch& watch_;
  std::function<Instant()> clock_;
  std::mutex known_mutex_;
  std::unordered_set<std::string> known_;  ///< lines that are in the record; a line never leaves it
};

}  // namespace dwell::server
