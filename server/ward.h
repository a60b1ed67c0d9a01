#pragma once
// The ward as the server holds it: the lines that are open, folded from the record when somebody asks for them, and a
// board that says who is next. What is closed stays in the record until it is asked for, and what was not asked for
// lately goes when memory is short, so that a hospital's years do not lie in memory.
#include <limits>
#include <list>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "care/board.h"
#include "engine/engine.h"
#include "ledger/ledger.h"
#include "line/line_fold.h"
#include "statistics/lines.h"

namespace dwell::server {

class Ward {
 public:
  static constexpr std::size_t usual_bytes = 256 * 1024 * 1024;

  /// Begins with the record's cache of lines where it fits, and with the record itself where it does not. Of the lines
  /// it holds about `most_bytes` in memory, and always the one that was asked for last; an answer over more lines than
  /// that takes more until the next look.
  Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now, std::size_t most_bytes = usual_bytes);

  /// Reads what came into the record since the last look; the lines that changed. A line in memory takes in its new
  /// entries only. When the record cannot be reached meanwhile, the next look begins where this one stopped.
  std::vector<std::string> catch_up(Instant now);

  /// Writes what has changed since into the record's cache, so that the next start is quick. False when the cache is
  /// another's for now: another server is further, or it is being made again.
  bool keep();

  [[nodiscard]] std::int64_t sequence() const { return sequence_; }
  /// Lines that could not be folded, and why: the others go on. Each is on the board as a site check overdue, until an
  /// entry comes with which it can be folded.
  [[nodiscard]] const std::map<std::string, std::string>& not_folded() const { return not_folded_; }

  // What these give stays until the next catch_up(), first(), closed_since() or keep().

  /// Lines that are not closed, by id; with a unit, only those that belong there, and those of a unit that no other
  /// line names: it may be mistyped, and nobody would look for them there. `most` of them, behind a line; fewer when
  /// there are no more.
  [[nodiscard]] std::vector<const line::State*> open_states(const std::string& unit = "", const std::string& after = "",
                                                            std::size_t most = std::numeric_limits<std::size_t>::max());
  /// Whether this line alone is of a unit, while others are of other units.
  [[nodiscard]] bool is_alone_on(const std::string& unit, const std::string& line) const;
  [[nodiscard]] const line::State* find(const std::string& line);
  /// The line with its entries.
  [[nodiscard]] const line::LineFold* entries(const std::string& line);
  [[nodiscard]] std::vector<statistics::LineRow> rows(Instant now);
  /// Lines that were closed, and taken out since a moment: the next shift should know that they are gone. They are read
  /// for this once, and do not stay in memory.
  [[nodiscard]] std::vector<line::State> closed_since(Instant since, const std::string& unit, std::size_t most,
                                                      Instant now);
  /// The most urgent lines of all.
  [[nodiscard]] std::vector<care::Board::Place> first(std::size_t most, Instant now);

  // A line of many entries takes long to read, and nobody should wait for the ward meanwhile: whoever has it finds out
  // what is lacking, reads that without it, and then hands it over.

  /// Whether asking for this line would read it from the record.
  [[nodiscard]] bool lacks(const std::string& line) const;
  /// The lines that open_states() would give, or that first() would look at.
  [[nodiscard]] std::vector<std::string> open_lines(const std::string& unit, const std::string& after,
                                                    std::size_t most) const;
  [[nodiscard]] std::vector<std::string> struck_lines(Instant now);
  /// A line read and folded by the rules of a library, when the ward had taken in all up to `since`.
  struct ReadApart {
    std::string line;
    std::int64_t since = 0;
    const engine::Library* library = nullptr;
    std::optional<line::LineFold> fold;  ///< nothing: there is no such line, or it cannot be folded
  };
  [[nodiscard]] static ReadApart read_apart(ledger::Ledger& ledger, const engine::Library& library,
                                            const std::string& line, std::int64_t since);
  /// Takes it over, unless it is of no use any more: then it is read when it is asked for.
  void take_over(ReadApart read);

  /// What it cost so far: entries to which the rules of a line were applied.
  [[nodiscard]] std::size_t entries_folded() const { return entries_folded_; }
  [[nodiscard]] std::size_t bytes_held() const { return bytes_held_; }

 private:
  struct Held {
    line::LineFold line;
    std::list<std::string>::iterator asked;  ///< in asked_
    std::size_t bytes = 0;
  };
  /// Entries of one line, as they come.
  using Fresh = ledger::LineEntries;

  /// A cache that does not fit is not believed: its lines are made again from their entries.
  void begin(Instant now, bool believe_cache);
  [[nodiscard]] bool believed(const ledger::Projection& cache) const;
  void forget();
  Held* load(const std::string& line);
  void add(Held& held, Fresh fresh);
  void let_go(const std::string& line);
  void let_go_of_the_oldest();
  void set_aside(const std::string& line, const char* reason);
  void bring_up_to_date(const std::string& line, Fresh fresh, Instant now);
  void read_rows(Instant now);
  void take_in(const line::State& state, Instant now);
  void put_open(const std::string& line, const std::string& unit);
  void take_off(const std::string& line);

  ledger::Ledger& ledger_;
  const engine::Library& library_;
  std::string made_with_;
  std::size_t most_bytes_;
  std::map<std::string, Held> held_;  ///< lines that were asked for or changed
  std::list<std::string> asked_;      ///< those, the one last asked for in front
  std::size_t bytes_held_ = 0, entries_folded_ = 0;
  std::map<std::string, std::string> not_folded_;          ///< why, by line
  std::set<std::string> stale_;                            ///< their clocks are to be read anew
  std::set<std::string> changed_;                          ///< not yet told of
  std::map<std::string, std::string> open_;                ///< unit by line
  std::map<std::string, std::set<std::string>> by_unit_;   ///< those lines again
  std::map<std::string, ledger::ProjectedLine> not_kept_;  ///< lines whose row in the cache is older than the record
  std::optional<ledger::ProjectionMark> kept_;             ///< what the cache reaches; nothing: it is to be kept afresh
  std::optional<care::Board> board_;
  std::map<std::string, statistics::LineRow> rows_;
  bool rows_read_ = false;
  std::int64_t sequence_ = 0;
};

}  // namespace dwell::server
