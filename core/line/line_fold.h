#pragma once
// A line kept folded while entries come in: what a server holds of a line, so that the hundred-thousandth entry costs
// what the hundredth does. fold() says what the state is; this arrives at the same state, by the least work it knows:
//   an entry later than all others   the rules are applied to it alone
//   a late entry, a correction       the state goes back to a checkpoint before the first place that changes
//   the rest                         all is resolved and folded anew: an id with two contents, an entry that was on its
//                                    way and has arrived, corrections beside entries that cannot be read
#include <deque>
#include <memory>
#include <vector>

#include "line/event.h"
#include "line/state.h"

namespace dwell::line {

class LineFold {
 public:
  /// `policy` must outlive it.
  explicit LineFold(const policy::Policy& policy);
  LineFold(LineFold&&) noexcept;
  LineFold& operator=(LineFold&&) noexcept;
  ~LineFold();

  /// Takes entries in, in any order and again; afterwards state() is that of fold() over all that were ever taken. What
  /// cannot be read is named once. Entries of another line are a broken promise (std::invalid_argument) and change
  /// nothing; whatever else is thrown leaves it unfit for use.
  void take(std::vector<Event> events, const std::vector<SetAside>& set_aside = {});

  [[nodiscard]] const State& state() const;
  /// As they came; a harmless repetition is left out.
  [[nodiscard]] const std::deque<Event>& events() const;

  /// About how much memory it takes.
  [[nodiscard]] std::size_t bytes() const;
  /// To how many entries the rules were applied so far, to some more than once.
  [[nodiscard]] std::size_t steps() const;

 private:
  class Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace dwell::line
