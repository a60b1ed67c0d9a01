#pragma once
// The watch over many lines at once: which of a million needs somebody next. A line enters with its clocks and is not
// looked at again until one of them strikes, so that an entry costs the same on a ward as in a health system.
#include <map>
#include <optional>
#include <queue>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "care/due.h"

namespace dwell::care {

class Board {
 public:
  /// One line with its urgency now.
  struct Place {
    std::string line, unit, bed;
    int urgency = 0;
  };

  Board(const policy::Policy& policy, const infusate::Formulary& formulary) : policy_(policy), formulary_(formulary) {}
  Board(const Board&) = delete;
  Board& operator=(const Board&) = delete;

  /// Takes a line in by its clocks alone, as they were kept when its state was last folded.
  void put(Place place, DueClocks clocks, Instant now);

  /// Takes a line in, or its newer state; a closed one leaves. Time never runs backwards here: an earlier `now` counts
  /// as the latest one seen. O(1) but for the clocks of the line itself.
  void put(const line::State& state, Instant now);

  /// Lets time pass. Returns the lines whose state must be put again, because what their clocks followed from has
  /// changed by itself: a bag ran empty, a time of waiting ended.
  [[nodiscard]] std::vector<std::string> advance(Instant now);

  /// The most urgent lines that a ward sees (line::belongs_to), at most `most`; ties by unit, bed and id. An empty
  /// `ward` asks for all. Lines of one urgency are put in order when they are first asked for and stay so: after that
  /// O(most), or for one ward O(lines passed over).
  [[nodiscard]] std::vector<Place> first(std::size_t most, std::string_view ward = {});

  [[nodiscard]] std::size_t size() const { return index_.size(); }
  /// The latest moment seen.
  [[nodiscard]] Instant now() const { return now_; }

 private:
  struct Row {
    Place place;
    std::vector<DueClock> clocks;
    std::optional<Instant> hold_until;
    std::size_t at = 0;            ///< place in its bucket
    std::uint32_t generation = 0;  ///< strikes set for an older one are void
    bool used = false;
  };
  struct Strike {
    Instant when{};
    std::uint32_t row = 0, generation = 0;
    friend bool operator>(const Strike& a, const Strike& b) { return a.when > b.when; }
  };

  struct InOrder {
    const Board* board;
    bool operator()(std::uint32_t a, std::uint32_t b) const;
  };
  /// The rows of one urgency, in any order and, once asked for, by unit, bed and id.
  struct Bucket {
    std::vector<std::uint32_t> rows;
    std::optional<std::set<std::uint32_t, InOrder>> in_order;
  };

  std::uint32_t row_of(const std::string& line);
  void enter_bucket(std::uint32_t row);
  void leave_bucket(std::uint32_t row);
  void settle(std::uint32_t row);

  const policy::Policy& policy_;
  const infusate::Formulary& formulary_;
  Instant now_{};
  std::vector<Row> rows_;
  std::vector<std::uint32_t> free_;
  std::unordered_map<std::string, std::uint32_t> index_;
  std::map<int, Bucket, std::greater<>> buckets_;  ///< by urgency
  std::priority_queue<Strike, std::vector<Strike>, std::greater<>> strikes_;
};

}  // namespace dwell::care
