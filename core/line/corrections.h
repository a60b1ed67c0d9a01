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
  bool corrected = false;   ///< replaced or taken back; still shown in the history
  bool last_known = false;  ///< taken back, and counts all the same: the line cannot be without it
};

struct Standing {
  std::vector<Entry> entries;  ///< each id once, by occurred_at, then id
  std::vector<std::string> contradictions;
  std::vector<SetAside> set_aside;  ///< those that nothing in force corrects
  bool taken_back_whole = false;    ///< nothing stands any more, and no entry ever said that a catheter went in
  /// An opening or a placement was taken back and none stands: whether it still counts hangs on what else is charted,
  /// so that every further entry has to be resolved together with all that are there.
  bool hangs_on_the_rest = false;
};

/// Drops repetitions and applies corrections. The stand-in of an entry is found from the end of its chain:
///   no correction that holds      the entry itself
///   replaced                      the stand-in of the latest correction: by its place in the record, one that is still
///   on its way after
///                         all that are there (by recorded_at, then id)
///   taken back                    nothing; and a taking back that is itself taken back restores the entry
/// Nothing leaves a ward by an edit: when the last opening is taken back, patient and place stay as last known; when
/// the last placement is, and facts stand that need a catheter, the placement does too. Both are named as
/// contradictions. Two corrections of one entry, a correction of an unknown entry, a circle of corrections, and one id
/// with two contents are named as contradictions.
[[nodiscard]] Standing resolve(std::span<const Event> events, std::span<const SetAside> set_aside = {});

}  // namespace dwell::line
