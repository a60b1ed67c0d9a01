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

  /// Writes what has changed since into the record's cache, so that the next start is quick. What goes wrong is told
  /// and costs only that.
  Checked<void> keep();

  [[nodiscard]] std::int64_t sequence() const { return sequence_; }
  /// Lines that are not closed, by id; with a unit, only those that belong there. At most `most`, behind a line.
  [[nodiscard]] std::vector<const line::State*> open_states(const std::string& unit = "", const std::string& after = "",
                                                            std::size_t most = std::numeric_limits<std::size_t>::max());
  [[nodiscard]] const line::State* find(const std::string& line);
  [[nodiscard]] const std::vector<line::Event>* events(const std::string& line);
  /// Its entries that cannot be read.
  [[nodiscard]] const std::vector<line::SetAside>* set_aside(const std::string& line);
  [[nodiscard]] std::vector<statistics::LineRow> rows();
  /// Lines that were closed, and taken out since a moment: the next shift should know that they are gone. They are read
  /// for this once, and do not stay in memory.
  [[nodiscard]] std::vector<line::State> closed_since(Instant since, const std::string& unit, std::size_t most);
  /// The most urgent lines of all.
  [[nodiscard]] std::vector<care::Board::Place> first(std::size_t most, Instant now);

 private:
  struct Held {
    std::vector<line::Event> events;
    std::vector<line::SetAside> set_aside;
    line::State state;
  };

  void begin(Instant now);
  Held* load(const std::string& line);
  void read_rows();
  void take_in(const Held& held, Instant now);

  ledger::Ledger& ledger_;
  const engine::Library& library_;
  std::string made_with_;
  std::map<std::string, Held> held_;                       ///< open lines that were asked for or changed
  std::map<std::string, std::string> open_;                ///< unit by line
  std::set<std::string> behind_;                           ///< lines with entries that are not taken in yet
  std::map<std::string, ledger::ProjectedLine> not_kept_;  ///< lines whose row in the cache is older than the record
  bool keep_afresh_ = false;
  std::optional<care::Board> board_;
  std::map<std::string, statistics::LineRow> rows_;
  bool rows_read_ = false;
  std::int64_t sequence_ = 0;
};

}  // namespace dwell::server
