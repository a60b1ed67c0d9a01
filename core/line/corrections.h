#pragma once
// Which of the entries stand. Entries arrive in any order, twice, and with corrections that may come before what they
// correct; this sorts them out before anything is read from them.
#include <span>
#include <string>
#include <vector>

#include "line/event.h"

namespace dwell::line {

struct Entry {
  const Event* event = nullptr;
  bool corrected = false;  ///< replaced or taken back; still shown in the history
};

struct Standing {
  std::vector<Entry> entries;  ///< each id once, by occurred_at, then id
  std::vector<Message> contradictions;
  std::vector<SetAside> set_aside;  ///< those that nothing in force corrects
};

/// Drops repetitions and applies corrections. The stand-in of an entry is found from the end of its chain:
///   no correction that holds      the entry itself
///   replaced                      the stand-in of the latest correction: by its place in the record, one that is still
///   on its way after
///                         all that are there (by recorded_at, then id)
///   taken back                    nothing; and a taking back that is itself taken back restores the entry
/// Two corrections of one entry, a correction of an unknown entry, a circle of corrections, and one id with two
/// contents are named as contradictions.
/// Entries that no chain of corrections joins do not bear on each other: resolved apart they give the same.
[[nodiscard]] Standing resolve(std::span<const Event> events, std::span<const SetAside> set_aside = {});
[[nodiscard]] Standing resolve(std::vector<const Event*> events, std::span<const SetAside> set_aside = {});

/// What keeps counting although it was taken back, because nothing leaves a ward by an edit.
struct InUse {
  const Event* opening = nullptr;    ///< whose the line is, and where: when no opening stands
  const Event* placement = nullptr;  ///< when none stands, and facts stand that need a catheter
  bool taken_back_whole = false;     ///< nothing stands any more, and no entry ever said that a catheter went in
  std::vector<Message> contradictions;
  [[nodiscard]] bool keeps(const Event* event) const { return event == opening || event == placement; }
};
/// Looks at all entries of a line together, each once. Of several taken back, that counts which the record took in
/// last.
[[nodiscard]] InUse in_use(std::span<const Entry> entries);

/// Whether two say the same, whether or not the record has them already.
[[nodiscard]] bool same_content(const Event& a, const Event& b);

}  // namespace dwell::line
