#pragma once
// What every command shares: which ledger, which library, how to answer; and the three ways in which a command ends.
#include <iosfwd>
#include <memory>
#include <set>
#include <string>

#include "document/note.h"
#include "engine/engine.h"
#include "exchange/said/said.h"
#include "ledger/open.h"
#include "verdict/verdict.h"

namespace dwell::cli {

/// 0 fine, 1 the answer is "no", 2 bad input.
enum class Exit : int { fine = 0, answer_is_no = 1, bad_input = 2 };

struct Session {
  std::string ledger_path;      ///< empty: the person's own default
  std::string library_path;     ///< folder with policy.toml, catheters.toml, infusates.toml; empty: the built-in ones
  std::string time_zone;        ///< IANA name; empty: the machine's
  std::string language = "en";  ///< what is said is said in it
  bool json = false;
  mutable std::set<std::string> told;  ///< on the standard error, once each
  mutable std::string policy_in_use;   ///< which policy the library was last given, and from where
};

/// Thrown by a command that cannot go on; main prints the errors and ends with 2.
struct BadInput {
  FieldErrors errors;
};

template <class T>
[[nodiscard]] T need(Checked<T> checked) {
  if (!checked) throw BadInput{std::move(checked.error())};
  return std::move(*checked);
}
inline void need(Checked<void> checked) {
  if (!checked) throw BadInput{std::move(checked.error())};
}

/// The folder's or the built-in library, with the policy that the record puts into force. A record that was asked for
/// by name and is not there is refused, unless the command may begin it.
[[nodiscard]] engine::Library library(const Session& session, bool may_begin_record = false);
/// The same for a record that is open, or for none.
[[nodiscard]] engine::Library library_with(const Session& session, ledger::Ledger* record);
/// Says on the standard error, once, which policy the last library carries and where it is from.
void tell_policy(const Session& session);
/// Refuses when none is named and the person has no data folder.
[[nodiscard]] std::string ledger_path(const Session& session);
/// Where the signed heads of this ledger are kept, and the key that signs them: beside a file; for a database in the
/// person's own data folder.
struct Witness {
  std::string heads, key;
};
[[nodiscard]] Witness witness(const Session& session);
/// The record, to work with. Says on the standard error when it is a new one, or when others could read it. Refuses an
/// unfinished copy.
[[nodiscard]] std::unique_ptr<ledger::Ledger> ledger(const Session& session,
                                                     ledger::Access access = ledger::Access::existing);
/// Says what opening brought to light.
void tell(const Session& session, const ledger::Opened& opened, const std::string& where);
[[nodiscard]] Instant now();
[[nodiscard]] document::LocalTime local_time(const Session& session, Instant around);
[[nodiscard]] std::string time_zone_name(const Session& session);
[[nodiscard]] std::string read_file(const std::string& path);
/// Its owner's alone: what is written so is of a patient.
void write_private_file(const std::string& path, const std::string& bytes);

/// An event of now by this author, with a fresh id.
[[nodiscard]] line::Event event(const std::string& line, line::Body body, const std::string& author, Instant occurred);
[[nodiscard]] std::string fresh_id(Instant at);
/// Appends, or throws BadInput. The first entries of all make the record.
void record(const Session& session, const std::vector<line::Event>& events);
/// The folded line; BadInput when the ledger has no such line.
[[nodiscard]] line::State line_state(const Session& session, const engine::Library& library, const std::string& line);

/// Every line of the ledger, folded.
[[nodiscard]] std::vector<line::State> all_states(const Session& session, const engine::Library& library);

/// In whose language and number style this run of the program speaks; set once by main, and by the policy that is read.
[[nodiscard]] said::Reader& reader();
[[nodiscard]] std::string said_here(const Message& message);
/// Whoever runs the command, on the ward's clock.
[[nodiscard]] said::Reader on_the_ward(const Session& session, Instant around);
std::ostream& operator<<(std::ostream& out, const Message& message);

void print_errors(std::ostream& out, const FieldErrors& errors);
void print_json(const json::Value& value);
void print_findings(std::ostream& out, const std::vector<Finding>& findings);
/// Whether a finding is more than a word: then the answer is no yes, and neither is the exit.
[[nodiscard]] bool asks_for_more(const std::vector<Finding>& findings);
/// What could not be looked at and why, and that all was looked at only when it was.
void print_looks(std::ostream& out, const std::vector<verdict::LookReport>& looks);
void print_workings(std::ostream& out, const std::vector<Working>& workings);

}  // namespace dwell::cli
