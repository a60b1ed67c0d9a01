#pragma once
// What every command shares: which ledger, which library, how to answer; and the three ways in which a command ends.
#include <iosfwd>
#include <memory>
#include <string>

#include "document/note.h"
#include "engine/engine.h"
#include "ledger/ledger.h"

namespace dwell::cli {

/// 0 fine, 1 the answer is "no", 2 bad input.
enum class Exit : int { fine = 0, answer_is_no = 1, bad_input = 2 };

struct Session {
  std::string ledger_path;   ///< empty: the person's own default
  std::string library_path;  ///< folder with policy.toml, catheters.toml, infusates.toml; empty: the built-in ones
  std::string time_zone;     ///< IANA name; empty: the machine's
  bool json = false;
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

[[nodiscard]] engine::Library library(const Session& session);
[[nodiscard]] std::string ledger_path(const Session& session);
/// Where the signed heads of this ledger are kept, and the key that signs them: beside a file; for a database in the
/// person's own data folder.
struct Witness {
  std::string heads, key;
};
[[nodiscard]] Witness witness(const Session& session);
[[nodiscard]] std::unique_ptr<ledger::Ledger> ledger(const Session& session);
[[nodiscard]] Instant now();
[[nodiscard]] document::LocalTime local_time(const Session& session, Instant around);
[[nodiscard]] std::string time_zone_name(const Session& session);
[[nodiscard]] std::string read_file(const std::string& path);
void write_file(const std::string& path, const std::string& bytes);

/// An event of now by this author, with a fresh id.
[[nodiscard]] line::Event event(const std::string& line, line::Body body, const std::string& author, Instant occurred);
[[nodiscard]] std::string fresh_id(Instant at);
/// Appends, or throws BadInput.
void record(const Session& session, const std::vector<line::Event>& events);
/// The folded line; BadInput when the ledger has no such line.
[[nodiscard]] line::State line_state(const Session& session, const engine::Library& library, const std::string& line);

/// Every line of the ledger, folded.
[[nodiscard]] std::vector<line::State> all_states(const Session& session, const engine::Library& library);

void print_errors(std::ostream& out, const FieldErrors& errors);
void print_json(const json::Value& value);
void print_findings(std::ostream& out, const std::vector<Finding>& findings);
void print_workings(std::ostream& out, const std::vector<Working>& workings);

}  // namespace dwell::cli
