#pragma once
// The words that go into the record and onto the dressing, composed from the line's own facts. Nothing is invented:
// what was not charted reads "not recorded".
#include <boost/describe.hpp>
#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "line/state.h"

namespace dwell::document {

struct NoteSection {
  std::string heading;
  std::vector<std::string> lines;
  /// Of a handover: the line that the section is about, and what stands in its one row of a table.
  std::optional<std::string> line = std::nullopt;
  std::optional<std::string> beware = std::nullopt;   ///< what can hurt, the gravest first; absent: nothing
  std::optional<std::string> changed = std::nullopt;  ///< the last change that is no sound look; absent: none
  std::optional<Instant> changed_at = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(NoteSection, (), (heading, lines, line, beware, changed, changed_at))

struct Note {
  std::string title;    ///< "Peripheral IV line: closing note"
  std::string patient;  ///< "Patient: FAMILY, Given · born 3 Mar 1941 · no. 123"
  std::vector<NoteSection> sections;
  std::string text;  ///< the same as plain text, wrapped at 78 columns
};
BOOST_DESCRIBE_STRUCT(Note, (), (title, patient, sections, text))

struct Label {
  std::string date;      ///< "25 Nov 2026"
  std::string time;      ///< "08:19"
  std::string catheter;  ///< "22 gauge · 25 mm"
  std::string initials;
  bool emergency = false;
  std::string text;
};
BOOST_DESCRIBE_STRUCT(Label, (), (date, time, catheter, initials, emergency, text))

/// `utc_offset` is the ward's offset at each printed moment's day; the caller gives a function from the zone rules.
struct LocalTime {
  /// Offsets from UTC by the instant from which each holds, rising; the first holds from the beginning.
  struct Change {
    Instant from{};
    int minutes = 0;
    BOOST_DESCRIBE_CLASS(Change, (), (from, minutes), (), ())
  };
  std::vector<Change> changes;
  [[nodiscard]] std::chrono::minutes offset(Instant instant) const;
  [[nodiscard]] std::string show(Instant instant) const;
};
BOOST_DESCRIBE_STRUCT(LocalTime, (), (changes))

[[nodiscard]] Note compose_note(const line::State& state, const LocalTime& local, Instant now);
/// Errors: the line is not placed.
[[nodiscard]] Checked<Label> compose_label(const line::State& state, const LocalTime& local);

}  // namespace dwell::document
