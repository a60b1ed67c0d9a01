#pragma once
// What goes into the record and onto the dressing, composed from the line's own facts, in messages: each is said in the
// language of whoever reads it. Nothing is invented: what was not charted reads "not recorded".
#include <boost/describe.hpp>
#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "limb/limb.h"
#include "line/state.h"
#include "message/message.h"

namespace dwell::document {

struct NoteSection {
  Message heading;
  std::vector<Message> lines;
  /// Of a handover: the line that the section is about, and what stands in its one row of a table.
  std::optional<std::string> line = std::nullopt;
  std::optional<Message> beware = std::nullopt;   ///< what can hurt, the gravest first; absent: nothing
  std::optional<Message> changed = std::nullopt;  ///< the last change that is no sound look; absent: none
  std::optional<Instant> changed_at = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(NoteSection, (), (heading, lines, line, beware, changed, changed_at))

/// The line's life as a drawing: from placing until it came out, or until the note was written.
struct NoteRibbon {
  struct Span {
    Instant from{}, until{};
    BOOST_DESCRIBE_CLASS(Span, (), (from, until), (), ())
  };
  struct Look {
    Instant at{};
    std::optional<int> grade;  ///< the worst; nothing: looked at, and not graded
    bool unmatched = false;    ///< signs that match no grade of a scale
    BOOST_DESCRIBE_CLASS(Look, (), (at, grade, unmatched), (), ())
  };
  struct Day {
    Instant at{};  ///< midnight on the ward
    Date date{};   ///< that begins then
    BOOST_DESCRIBE_CLASS(Day, (), (at, date), (), ())
  };
  Instant from{}, until{};
  bool out = false;  ///< ends with the catheter's removal
  std::vector<Span> ran;
  std::vector<Look> looks;
  std::vector<Day> days;
};
BOOST_DESCRIBE_STRUCT(NoteRibbon, (), (from, until, out, ran, looks, days))

struct Note {
  Message title;    ///< "Peripheral IV line: closing note"
  Message patient;  ///< "Patient: FAMILY, Given · born 3 Mar 1941 · no. 123"
  std::vector<NoteSection> sections;
  Instant written{};                 ///< a document is dated by it, so that the same facts make the same bytes
  std::optional<NoteRibbon> ribbon;  ///< of a line that was placed
  std::optional<access::Site> site = std::nullopt;  ///< where it lies or lay, to be drawn
};
BOOST_DESCRIBE_STRUCT(Note, (), (title, patient, sections, written, ribbon, site))

struct Label {
  Message date;      ///< "25 Nov 2026  08:19"
  Message catheter;  ///< "22 gauge · 25 mm"
  Message site;      ///< "left forearm, middle"
  Message initials;
  Message next_change;  ///< of the dressing: "2 Dec 2026 08:19"; "not known"
  bool emergency = false;
  std::string code;  ///< what a reader of codes finds on it: the line's id after `label_code_prefix`
  Message text;      ///< all of it in one line
  Instant placed_at{};
};
BOOST_DESCRIBE_STRUCT(Label, (), (date, catheter, site, initials, next_change, emergency, code, text, placed_at))

/// For the edge of the dressing: 50 by 25, 70 by 30 and 90 by 40 mm.
enum class LabelSize { small, usual, large };
BOOST_DESCRIBE_ENUM(LabelSize, small, usual, large)

/// Before the line's id in the code of its label. It names nobody: the id means nothing without the record.
inline constexpr std::string_view label_code_prefix = "urn:uuid:";

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
  /// The day on the ward, and the time of day: "08:19".
  [[nodiscard]] Date day(Instant instant) const;
  [[nodiscard]] std::string time(Instant instant) const;
  /// The midnights within a time, each at most once.
  [[nodiscard]] std::vector<Instant> midnights(Instant from, Instant until) const;
};
BOOST_DESCRIBE_STRUCT(LocalTime, (), (changes))

[[nodiscard]] Note compose_note(const line::State& state, const LocalTime& local, Instant now);
/// Errors: the line is not placed.
[[nodiscard]] Checked<Label> compose_label(const line::State& state, const policy::Policy& policy,
                                           const LocalTime& local);

}  // namespace dwell::document
