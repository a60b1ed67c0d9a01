#include "cli/session.h"

#include <date/tz.h>
#include <sodium.h>
#include <algorithm>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <optional>
#include <sstream>

#include "cli/table.h"
#include "exchange/library.h"
#include "ledger/chain.h"
#include "ledger/copy.h"
#include "ledger/policy_change.h"
#include "ledger/projection.h"
#include "line/state.h"
#include "say/command.h"
#include "say/common.h"

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
    throw BadInput{{{"/time-zone", session.time_zone, in_english_only("a time zone name such as Europe/Dublin")}}};
  }
}

/// The person's data folder of Dwell; nothing when the machine names none.
std::optional<std::string> data_folder() {
  const std::string home = environment("HOME");
  std::string data = environment("XDG_DATA_HOME");
  if (data.empty() && !home.empty()) data = home + "/.local/share";
  if (data.empty()) return std::nullopt;
  return data + "/dwell";
}

std::string made_data_folder() {
  const auto folder = data_folder();
  if (!folder)
    throw BadInput{{{"/ledger", "neither HOME nor XDG_DATA_HOME in the environment",
                     in_english_only(
                         "one of them, or the record's place (--ledger): an empty ward would look like a quiet one")}}};
  if (const auto made = ledger::machine_disk().make_folder(*folder); !made)
    throw BadInput{{{"/ledger", *folder, made.error().front().expected}}};
  static_cast<void>(ledger::machine_disk().make_private(*folder));
  return *folder;
}

}  // namespace

void tell_policy(const Session& session) {
  const std::string said = "policy: " + session.policy_in_use;
  if (session.told.insert(said).second) std::cerr << "dwell: " << said << '\n';
}

std::string ledger_path(const Session& session) {
  return session.ledger_path.empty() ? made_data_folder() + "/ledger.sqlite" : session.ledger_path;
}

engine::Library library_with(const Session& session, ledger::Ledger* record) {
  auto ward =
      session.library_path.empty() ? exchange::default_library() : need(exchange::load_library(session.library_path));
  std::string from = session.library_path.empty() ? "built in" : "from " + session.library_path;
  auto change = record ? ledger::policy_in_force(*record) : std::nullopt;
  if (change) {
    ward.policy = std::move(change->policy);
    from = "put into force in the record " + ledger::shown(ledger_path(session));
  }
  reader().decimal_sign = policy::decimal_sign(ward.policy);
  reader().title_of = [ward](const std::string& name) { return engine::title_of(ward, name); };
  session.policy_in_use = ward.policy.name + " " + ward.policy.version + ", " + from;
  // A record that nobody named, but that happens to be there, does not decide in silence.
  if (change && session.ledger_path.empty()) tell_policy(session);
  return ward;
}

/// A record that cannot be opened is the business of the commands that read it; sums go on without any.
engine::Library library(const Session& session, bool may_begin_record) {
  if (session.ledger_path.empty() && !data_folder()) return library_with(session, nullptr);
  const std::string path = ledger_path(session);
  if (!ledger::is_postgresql(path) && !std::filesystem::exists(path)) {
    if (!session.ledger_path.empty() && !may_begin_record)
      static_cast<void>(need(ledger::open_ledger(path, ledger::Access::existing)));  // refuses, and says why
    return library_with(session, nullptr);
  }
  const auto opened = ledger::open_ledger(path, ledger::Access::existing);
  if (opened) tell(session, *opened, path);
  return library_with(session, opened ? opened->ledger.get() : nullptr);
}

Witness witness(const Session& session) {
  const std::string path = ledger_path(session);
  if (!ledger::is_postgresql(path)) {
    // Of the file itself, whatever link led to it: two places of signed heads would each tell half.
    std::error_code unknown;
    const auto itself = std::filesystem::canonical(path, unknown);
    const std::string beside = unknown ? path : itself.string();
    return {beside + ".heads", beside + ".key"};
  }
  constexpr std::size_t enough = 16;  // hex digits of the address's hash tell databases apart
  const std::string name = made_data_folder() + "/" + ledger::blake2b_256(ledger::shown(path)).substr(0, enough);
  return {name + ".heads", name + ".key"};
}

void tell(const Session& session, const ledger::Opened& opened, const std::string& where) {
  if (opened.is_new) std::cerr << "A new record was made at " << ledger::shown(where) << '\n';
  for (const auto& notice : opened.notices)
    if (session.told.insert(notice).second) std::cerr << "dwell: " << notice << '\n';
}

std::unique_ptr<ledger::Ledger> ledger(const Session& session, ledger::Access access) {
  const std::string path = ledger_path(session);
  auto opened = need(ledger::open_ledger(path, access));
  tell(session, opened, path);
  if (ledger::is_unfinished_copy(*opened.ledger))
    throw BadInput{{{"/ledger", ledger::shown(path) + ": a copy that was interrupted",
                     in_english_only("a whole record; make that copy again, and it goes on where it stopped")}}};
  return std::move(opened.ledger);
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
  if (!in || std::filesystem::is_directory(path))
    throw BadInput{{{"", path, in_english_only("a file that can be read")}}};
  std::ostringstream text;
  text << in.rdbuf();
  return std::move(text).str();
}

void write_private_file(const std::string& path, const std::string& bytes) {
  // Through a link, and never in the place of a device: only a file is replaced.
  std::error_code unknown;
  const auto itself = std::filesystem::canonical(path, unknown);
  if (unknown || std::filesystem::is_regular_file(itself, unknown)) {
    const auto written = ledger::machine_disk().replace(itself.empty() ? path : itself.string(), bytes);
    if (!written) throw BadInput{{{"", path, written.error().front().expected}}};
    return;
  }
  std::ofstream out(path, std::ios::binary);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) throw BadInput{{{"", path, in_english_only("a file that can be written")}}};
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
  static_cast<void>(need(ledger(session, ledger::Access::made)->append(events, now())));
}

line::State line_state(const Session& session, const engine::Library& library, const std::string& line) {
  const auto entries = ledger(session)->read_line(line);
  if (entries.events.empty() && entries.set_aside.empty())
    throw BadInput{{{"/line", line,
                     in_english_only("the id of a line in " + ledger::shown(ledger_path(session)) +
                                     "; `dwell watch` lists them")}}};
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
    for (auto& entry : entries) {
      if (entry.line.empty()) continue;
      auto& line = by_line[entry.line];  // before the entry is given away, and its line with it
      ledger::take_in(line, std::move(entry));
    }
  }
  std::vector<line::State> states;
  for (const auto& [id, entries] : by_line) states.push_back(ledger::folded(id, entries, library.policy));
  return states;
}

said::Reader& reader() {
  static said::Reader of_this_run;
  return of_this_run;
}

said::Reader on_the_ward(const Session& session, Instant around) {
  said::Reader here = reader();
  here.utc_offset = [local = local_time(session, around)](Instant at) { return local.offset(at); };
  return here;
}

std::string said_here(const Message& message) { return said::said(message, reader()); }

std::ostream& operator<<(std::ostream& out, const Message& message) { return out << said_here(message); }

void print_errors(std::ostream& out, const FieldErrors& errors) {
  for (const auto& e : errors)
    out << "dwell: " << (e.path.empty() ? "" : e.path + ": ")
        << (e.found.empty() ? say::found_nothing_and_expected(e.expected)
                            : say::found_and_expected(e.found, e.expected))
        << '\n';
}

void print_json(const json::Value& value) { std::cout << json::to_pretty_text(value) << '\n'; }

void print_findings(std::ostream& out, const std::vector<Finding>& findings) {
  for (const auto& f : findings) {
    constexpr std::size_t widest = 11;
    const std::string sign = said_here(say::severity_in_capitals(f.severity));
    out << "  " << sign << std::string(widest - std::min(widest, seen_width(sign)) + 1, ' ') << f.text << "\n    "
        << say::source_with_mark(f.source.text, f.source.mark) << '\n';
  }
}

bool asks_for_more(const std::vector<Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(),
                     [](const Finding& finding) { return finding.severity != Severity::information; });
}

namespace {

/// Of whichever list of looks it is; those of a dose are named as those of an order.
Message name_of_look(const std::string& look) {
  if (const auto of = json::Codec<dosing::OrderLook>::from_name(look)) return say::order_look(*of);
  if (const auto of = json::Codec<infusate::SuitabilityLook>::from_name(look)) return say::suitability_look(*of);
  if (const auto of = json::Codec<device::PlanLook>::from_name(look)) return say::plan_look(*of);
  return say::as_written(look);
}

}  // namespace

void print_looks(std::ostream& out, const std::vector<verdict::LookReport>& looks) {
  int looked = 0;
  for (const auto& look : looks) {
    looked += look.state == verdict::LookState::looked ? 1 : 0;
    for (const auto& missing : look.missing)
      out << "  " << say::could_not_look(name_of_look(look.look), missing) << '\n';
  }
  out << "  " << say::looked_at_whole(looked) << '\n';
}

void print_workings(std::ostream& out, const std::vector<Working>& workings) {
  for (const auto& w : workings) {
    out << "  " << say::working_line(w.name, w.formula, w.result) << "\n    ";
    for (std::size_t i = 0; i < w.inputs.size(); ++i)
      out << (i ? ", " : "") << w.inputs[i].name << " " << w.inputs[i].value;
    out << "\n    " << say::source_with_mark(w.source.text, w.source.mark) << '\n';
  }
}

}  // namespace dwell::cli
