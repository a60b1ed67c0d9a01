#include "golden.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <stdexcept>

#include "coverage.h"
#include "ledger/chain.h"
#include "ledger/policy_change.h"
#include "ledger/readable.h"
#include "procedure/practice.h"
#include "specimen.h"

namespace dwell::golden {
namespace {

using json::Value;

Texts contents(const std::vector<FrozenLine>& lines, std::string_view kind) {
  Texts out;
  for (const auto& line : lines)
    if (line.value.at("kind").as_string() == kind) out.push_back(&line.value.at("content"));
  return out;
}

/// Taken in by the record that gives it, and no part of what is kept.
Value event_schema() {
  auto schema = json::schema<line::Event>();
  schema.as_object()["properties"].as_object().erase("receipt");
  return schema;
}

std::string id_of(std::size_t number) {
  std::array<std::uint8_t, 10> bytes{};
  bytes[8] = static_cast<std::uint8_t>(number >> 8);
  bytes[9] = static_cast<std::uint8_t>(number);
  return line::make_id(Instant{std::chrono::sys_days{std::chrono::year{2026} / 11 / 29}} + std::chrono::minutes{number},
                       bytes);
}

/// Every word of every enum once in a full specimen, and one that holds as little as it may.
template <class T>
std::vector<T> specimens() {
  std::vector<T> out;
  int turns = 1;
  for (int turn = 0; turn < turns; ++turn) {
    Specimen specimen(true, turn);
    out.push_back(specimen.make<T>());
    turns = std::max(turns, specimen.turns());
  }
  out.push_back(Specimen(false, 0).make<T>());
  return out;
}

std::vector<std::string> events_of_every_kind(std::size_t first) {
  std::vector<std::string> out;
  boost::mp11::mp_for_each<boost::mp11::mp_transform<boost::mp11::mp_identity, line::Body>>([&](auto fact) {
    for (auto& body : specimens<typename decltype(fact)::type>()) {
      line::Event event;
      const bool even = out.size() % 2 == 0;
      event.id = id_of(first + out.size());
      event.line = "019abb2c-1111-7111-8111-111111111111";
      event.occurred_at = event.recorded_at =
          Instant{std::chrono::sys_days{std::chrono::year{2026} / 11 / 29}} + std::chrono::minutes{out.size()};
      event.author = "M. Koller";
      event.device = "tablet 3";
      if (even) event.deviation_reason = "as asked";
      if (std::is_same_v<decltype(body), line::Retracted&> && even) event.corrects = id_of(first);
      event.body = std::move(body);
      out.push_back(ledger::canonical_json(event));
    }
  });
  return out;
}

std::string paper_line(std::size_t number, const char* kind, Value content) {
  return json::to_text(json::Object{{"id", id_of(number)},
                                    {"kind", kind},
                                    {"who", "R. Ode"},
                                    {"at", "2026-11-29T08:00:00.000Z"},
                                    {"content", std::move(content)}});
}

std::vector<std::string> papers_of_every_kind(std::size_t first) {
  std::vector<std::string> out;
  for (auto& change : specimens<ledger::PolicyChange>()) {
    change.id = id_of(first + out.size());
    out.push_back(paper_line(first + out.size(), ledger::policy_paper, json::encode(change)));
  }
  for (auto& practised : specimens<procedure::Practised>()) {
    practised.run.id = id_of(first + out.size());
    out.push_back(paper_line(first + out.size(), ledger::practice_paper, json::encode(practised)));
  }
  return out;
}

using Missing = std::function<std::vector<std::string>(const std::vector<FrozenLine>&)>;

/// Those of the lines that hold something that is still missing.
std::vector<std::string> worth_adding(std::vector<FrozenLine> lines, const std::vector<std::string>& offered,
                                      const Missing& missing) {
  std::vector<std::string> out;
  auto left = missing(lines).size();
  for (const auto& text : offered) {
    if (left == 0) break;
    lines.push_back({"", text, json::parse_text(text).value()});
    // A whole new kind brings its own members with it, so that more may be missing than before.
    const auto now = missing(lines).size();
    if (now == left)
      lines.pop_back();
    else
      out.push_back(text);
    left = now;
  }
  return out;
}

}  // namespace

std::string folder() { return GOLDEN; }

std::vector<FrozenLine> frozen(const std::string& begins) {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder()))
    if (entry.path().filename().string().starts_with(begins)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<FrozenLine> lines;
  for (const auto& file : files) {
    std::ifstream in(file, std::ios::binary);
    int number = 0;
    for (std::string text; std::getline(in, text);) {
      const std::string place = file.filename().string() + ", line " + std::to_string(++number);
      auto value = json::parse_text(text);
      if (!value) throw std::logic_error(place + " is no JSON");
      lines.push_back({place, text, std::move(*value)});
    }
  }
  return lines;
}

std::vector<std::string> missing_of_events(const std::vector<FrozenLine>& lines) {
  Texts all;
  for (const auto& line : lines) all.push_back(&line.value);
  return held_by_none(event_schema(), all, Absent::asked_too);
}

std::vector<std::string> missing_of_papers(const std::vector<FrozenLine>& lines) {
  auto missing =
      held_by_none(json::schema<ledger::PolicyChange>(), contents(lines, ledger::policy_paper), Absent::not_asked);
  const auto practice =
      held_by_none(json::schema<procedure::Practised>(), contents(lines, ledger::practice_paper), Absent::asked_too);
  missing.insert(missing.end(), practice.begin(), practice.end());
  return missing;
}

std::vector<std::string> lines_to_add_of_events() {
  const auto lines = frozen("events_");
  return worth_adding(lines, events_of_every_kind(lines.size()), missing_of_events);
}

std::vector<std::string> lines_to_add_of_papers() {
  const auto lines = frozen("papers_");
  return worth_adding(lines, papers_of_every_kind(lines.size()), missing_of_papers);
}

}  // namespace dwell::golden
