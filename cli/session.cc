#include "cli/session.h"

#include <date/tz.h>
#include <sodium.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>

#include "exchange/library.h"
#include "ledger/chain.h"
#include "ledger/policy_change.h"
#include "ledger/projection.h"
#include "line/state.h"

namespace dwell::cli {
namespace {

std::string environment(const char* name) {
  const char* value = std::getenv(name);
  return value ? value : "";
}

const date::time_zone& zone(const Session& session) {
  try {
    return session.time_zone.empty() ? *date::current_zone() : *date::locate_zone(session.time_zone);
  } catch (const std::runtime_error&) {
    if (session.time_zone.empty()) return *date::locate_zone("Etc/UTC");
    throw BadInput{{{"/time-zone", session.time_zone, "a time zone name such as Europe/Dublin"}}};
  }
}

}  // namespace

namespace {

/// The person's data folder of Dwell, made when it is not there.
std::string data_folder() {
  std::string home = environment("XDG_DATA_HOME");
  if (home.empty()) home = environment("HOME") + "/.local/share";
  std::error_code failure;
  std::filesystem::create_directories(home + "/dwell", failure);
  if (failure)
    throw BadInput{{{"/ledger", home + "/dwell", "a folder that can be written (" + failure.message() + ")"}}};
  return home + "/dwell";
}

}  // namespace

std::string ledger_path(const Session& session) {
  return session.ledger_path.empty() ? data_folder() + "/ledger.sqlite" : session.ledger_path;
}

/// The record's own policy counts over the folder's, as on the page. A record that cannot be opened is the business of
/// the commands that read it.
engine::Library library(const Session& session) {
  auto ward =
      session.library_path.empty() ? exchange::default_library() : need(exchange::load_library(session.library_path));
  const std::string path = ledger_path(session);
  if (!ledger::is_postgresql(path) && !std::filesystem::exists(path)) return ward;
  const auto opened = ledger::open_ledger(path);
  if (!opened) return ward;
  if (auto change = ledger::policy_in_force(**opened)) ward.policy = std::move(change->policy);
  return ward;
}

Witness witness(const Session& session) {
  const std::string path = ledger_path(session);
  if (!ledger::is_postgresql(path)) return {path + ".heads", path + ".key"};
  constexpr std::size_t enough = 16;  // hex digits of the address's hash tell databases apart
  const std::string name = data_folder() + "/" + ledger::blake2b_256(ledger::shown(path)).substr(0, enough);
  return {name + ".heads", name + ".key"};
}

std::unique_ptr<ledger::Ledger> ledger(const Session& session) {
  return need(ledger::open_ledger(ledger_path(session)));
}

Instant now() { return std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now()); }

document::LocalTime local_time(const Session& session, Instant around) {
  using date::sys_seconds;
  document::LocalTime local;
  const auto& tz = zone(session);
  // Two years back and one ahead: more than any line's life and Learn's usual span.
  const Instant first = around - std::chrono::hours(24 * 365 * 2);
  const Instant last = around + std::chrono::hours(24 * 365);
  for (Instant at = first; at < last;) {
    const auto info = tz.get_info(std::chrono::floor<std::chrono::seconds>(at));
    local.changes.push_back(
        {at, static_cast<int>(std::chrono::duration_cast<std::chrono::minutes>(info.offset).count())});
    at = info.end > std::chrono::floor<std::chrono::seconds>(last) ? last : Instant(info.end.time_since_epoch());
  }
  return local;
}

std::string time_zone_name(const Session& session) { return zone(session).name(); }

std::string read_file(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in || std::filesystem::is_directory(path)) throw BadInput{{{"", path, "a file that can be read"}}};
  std::ostringstream text;
  text << in.rdbuf();
  return std::move(text).str();
}

void write_file(const std::string& path, const std::string& bytes) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) throw BadInput{{{"", path, "a file that can be written"}}};
}

std::string fresh_id(Instant at) {
  if (sodium_init() < 0) throw std::runtime_error("no source of random numbers");
  std::array<std::uint8_t, 10> random{};
  randombytes_buf(random.data(), random.size());
  return line::make_id(at, random);
}

line::Event event(const std::string& line, line::Body body, const std::string& author, Instant occurred) {
  line::Event made;
  const Instant recorded = now();
  made.id = fresh_id(recorded);
  made.line = line;
  made.occurred_at = occurred;
  made.recorded_at = recorded;
  made.author = author;
  made.device = "command line";
  made.body = std::move(body);
  return made;
}

void record(const Session& session, const std::vector<line::Event>& events) {
  static_cast<void>(need(ledger(session)->append(events, now())));
}

line::State line_state(const Session& session, const engine::Library& library, const std::string& line) {
  const auto entries = ledger(session)->read_line(line);
  if (entries.events.empty() && entries.set_aside.empty())
    throw BadInput{
        {{"/line", line, "the id of a line in " + ledger::shown(ledger_path(session)) + "; `dwell watch` lists them"}}};
  return ledger::folded(line, entries, library.policy);
}

std::vector<line::State> all_states(const Session& session, const engine::Library& library) {
  std::map<std::string, ledger::LineEntries> by_line;
  const auto record = ledger(session);
  constexpr std::size_t page = 5000;
  for (std::int64_t after = 0;;) {
    auto entries = record->read_after(after, page);
    if (entries.empty()) break;
    after = entries.back().sequence;
    for (auto& entry : entries)
      if (!entry.line.empty()) ledger::take_in(by_line[entry.line], std::move(entry));
  }
  std::vector<line::State> states;
  for (const auto& [id, entries] : by_line) states.push_back(ledger::folded(id, entries, library.policy));
  return states;
}

void print_errors(std::ostream& out, const FieldErrors& errors) {
  for (const auto& e : errors)
    out << "dwell: " << (e.path.empty() ? "" : e.path + ": ") << "found " << (e.found.empty() ? "nothing" : e.found)
        << "; expected " << e.expected << '\n';
}

void print_json(const json::Value& value) { std::cout << json::to_pretty_text(value) << '\n'; }

void print_findings(std::ostream& out, const std::vector<Finding>& findings) {
  for (const auto& f : findings) {
    const char* sign = f.severity == Severity::stop      ? "STOP    "
                       : f.severity == Severity::caution ? "CAUTION "
                                                         : "note    ";
    out << "  " << sign << f.text << "\n           source: " << f.source.text << " [" << json::name_of(f.source.mark)
        << "]\n";
  }
}

void print_workings(std::ostream& out, const std::vector<Working>& workings) {
  for (const auto& w : workings) {
    out << "  " << w.name << " = " << w.formula << " = " << w.result << "\n    ";
    for (std::size_t i = 0; i < w.inputs.size(); ++i)
      out << (i ? ", " : "") << w.inputs[i].name << " " << w.inputs[i].value;
    out << "\n    source: " << w.source.text << " [" << json::name_of(w.source.mark) << "]\n";
  }
}

}  // namespace dwell::cli
