#pragma once
// The ward as the server holds it in memory: a cache folded from the ledger, made anew at start and kept up to date
// entry by entry, whoever wrote it.
#include <map>
#include <string>
#include <vector>

#include "engine/engine.h"
#include "ledger/ledger.h"
#include "line/state.h"
#include "statistics/lines.h"

namespace dwell::server {

class Ward {
 public:
  Ward(ledger::Ledger& ledger, const engine::Library& library);

  /// Reads what came into the ledger since the last look; the lines that changed.
  std::vector<std::string> catch_up();
  Checked<ledger::Appended> append(const std::vector<line::Event>& events, Instant now);

  [[nodiscard]] std::int64_t sequence() const { return sequence_; }
  /// Lines that are not closed.
  [[nodiscard]] std::vector<const line::State*> open_states() const;
  [[nodiscard]] const line::State* find(const std::string& line) const;
  [[nodiscard]] const std::vector<line::Event>* events(const std::string& line) const;
  [[nodiscard]] std::vector<statistics::LineRow> rows() const;

 private:
  struct Held {
    std::vector<line::Event> events;
    line::State state;
  };

  ledger::Ledger& ledger_;
  const engine::Library& library_;
  std::map<std::string, Held> lines_;
  std::int64_t sequence_ = 0;
};

}  // namespace dwell::server
