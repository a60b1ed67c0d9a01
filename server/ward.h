#pragma once
// The ward as the server holds it: the lines that are open, folded from the record when somebody asks for them, and a
// board that says who is next. What is closed stays in the record until it is asked for, so that a hospital's years do
// not lie in memory.
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "care/board.h"
#include "engine/engine.h"
#include "ledger/ledger.h"
#include "line/state.h"
#include "statistics/lines.h"

namespace dwell::server {

class Ward {
 public:
  /// Begins with the record's cache of lines where it fits, and with the record itself where it does not.
  Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now);

  /// Reads what came into the record since the last look; the lines that changed. When one of them cannot be taken in,
  /// the others are, it throws, and the next look takes up what is left.
  std::vector<std::string> catch_up(Instant now);

  /// Writes what has changed since into the record's cache, so that the next start is quick. False when the cache is
  /// another's for now: another server is further, or it is being made again.
  bool keep();

  [[nodiscard]] std::int64_t sequence() const { return sequence_; }
  /// Lines that are not closed, by id; with a unit, only those that belong there. At most `most`, behind a line.
  [[nodiscard]] std::vector<const line::State*> open_states(const std::string& unit = "", const std::string& after = "",
                                                            std::size_t most = std::numeric_limits<std::size_t>::max());
  [[nodiscard]] const line::State* find(const std::string& line);
  [[nodiscard]] const ledger::LineEntries* entries(const std::string& line);
  [[nodiscard]] std::vector<statistics::LineRow> rows(Instant now);
  /// Lines that were closed, and taken out since a moment: the next shift should know that they are gone. They are read
  /// for this once, and do not stay in memory.
  [[nodiscard]] std::vector<line::State> closed_since(Instant since, const std::string& unit, std::size_t most,
                                                      Instant now);
  /// The most urgent lines of all.
  [[nodiscard]] std::vector<care::Board::Place> first(std::size_t most, Instant now);

 private:
  struct Held {
    ledger::LineEntries entries;
    line::State state;
  };

  /// A cache that does not fit is not believed: its lines are made again from their entries.
  void begin(Instant now, bool believe_cache);
  [[nodiscard]] bool believed(const ledger::Projection& cache) const;
  void forget();
  Held* load(const std::string& line);
  void read_rows(Instant now);
  void take_in(const Held& held, Instant now);

  ledger::Ledger& ledger_;
  const engine::Library& library_;
  std::string made_with_;
  std::map<std::string, Held> held_;                       ///< open lines that were asked for or changed
  std::map<std::string, std::string> open_;                ///< unit by line
  std::set<std::string> behind_;                           ///< lines with entries that are not taken in yet
  std::set<std::string> struck_;                           ///< lines that the board asked for again and has not got
  std::map<std::string, ledger::ProjectedLine> not_kept_;  ///< lines whose row in the cache is older than the record
  std::optional<ledger::ProjectionMark> kept_;             ///< what the cache reaches; nothing: it is to be kept afresh
  std::optional<care::Board> board_;
  std::map<std::string, statistics::LineRow> rows_;
  bool rows_read_ = false;
  std::int64_t sequence_ = 0;
};

}  // namespace dwell::server
