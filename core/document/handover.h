#pragma once
// The sheet that one shift gives the next: a line of the ward each, what it is, what runs, what changed since, what
// falls due, and what to beware of. From what was charted; what was not charted reads so.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "document/note.h"
#include "infusate/infusate.h"
#include "policy/policy.h"

namespace dwell::document {

struct HandoverPeriod {
  Instant since{}, now{}, until{};  ///< the shift that ends; the sheet's moment; the end of the shift that begins
  std::optional<std::string> nurse = std::nullopt;  ///< only the lines of this nurse; empty: those of nobody
};
BOOST_DESCRIBE_STRUCT(HandoverPeriod, (), (since, now, until, nurse))

struct HandoverDue {
  bool overdue = false;
  Message text;
  Message brief;  ///< for a sheet of paper: without its reason, which stands on the line's page
};

/// A line of the ward as a row of the sheet's table, for paper. Its section says the same.
struct HandoverRow {
  std::string id;             ///< the line's
  Message bed;                ///< "12", "not recorded"
  Message who;                ///< "Marsh, Ada"
  Message second_identifier;  ///< "born 3 Mar 1961", "no. 1007", "no birth date, no number"
  Message line;               ///< where it lies, what it is, since when
  Message running;            ///< empty: nothing runs
  Message site;               ///< empty: not placed
  std::vector<Message> beware;
  std::vector<HandoverDue> due;    ///< until the end of the shift
  std::vector<Message> since;      ///< what was charted in the shift that ends
  std::optional<Message> changed;  ///< the last change that is no sound look
  std::optional<Instant> changed_at;
};

/// The sheet as sections, which is what is sent, and as a table.
struct HandoverSheet : Note {
  std::vector<HandoverRow> rows;
  std::vector<Message> ended;  ///< lines removed since, a sentence each
};
BOOST_DESCRIBE_STRUCT(HandoverSheet, (Note), ())

/// One section a line, most urgent first; closed lines are left out, but a line that was closed since is named.
/// Errors: since not before now, or until not after now; either more than 7 days away.
[[nodiscard]] Checked<HandoverSheet> compose_handover(const std::vector<line::State>& states,
                                                      const policy::Policy& policy,
                                                      const infusate::Formulary& formulary,
                                                      const HandoverPeriod& period);

}  // namespace dwell::document
