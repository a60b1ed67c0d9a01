#include "ledger/projection.h"

#include <sodium.h>

#include <algorithm>
#include <array>
#include <map>

#include "json/codec.h"
#include "ledger/build_identity.h"
#include "ledger/chain.h"

namespace dwell::ledger {
namespace {

/// A name that no other rebuild has.
std::string unique_mark() {
  std::array<unsigned char, 16> drawn{};
  if (sodium_init() < 0) throw std::runtime_error("no source of random numbers");
  randombytes_buf(drawn.data(), drawn.size());
  return "in the making, " + blake2b_256({reinterpret_cast<const char*>(drawn.data()), drawn.size()});
}

/// What was there when the record reached so far.
LineEntries up_to(const LineEntries& entries, std::int64_t sequence) {
  LineEntries out;
  for (const auto& event : entries.events)
    if (event.receipt->sequence <= sequence) out.events.push_back(event);
  for (const auto& one : entries.set_aside)
    if (one.sequence <= sequence) out.set_aside.push_back(one);
  return out;
}

/// The moments at which a row of the cache may have been made: when the cache reached its mark, or later, because a row
/// may know more than the mark promises.
std::vector<std::int64_t> moments_of(const LineEntries& entries, std::int64_t mark) {
  std::vector<std::int64_t> moments{mark};
  for (const auto& event : entries.events)
    if (event.receipt->sequence > mark) moments.push_back(event.receipt->sequence);
  for (const auto& one : entries.set_aside)
    if (one.sequence > mark) moments.push_back(one.sequence);
  return moments;
}

bool is_empty(const LineEntries& entries) { return entries.events.empty() && entries.set_aside.empty(); }

/// The clocks are left out: they hang on the moment at which the row was made.
bool says_the_same(const ProjectedLine& a, const ProjectedLine& b) {
  return a.line == b.line && a.open == b.open && a.unit == b.unit && a.bed == b.bed && a.row == b.row;
}

}  // namespace

std::string made_with(const policy::Policy& policy, const infusate::Formulary& formulary) {
  return blake2b_256(build_identity().sources + json::to_text(json::encode(policy)) +
                     json::to_text(json::encode(formulary)));
}

void take_in(LineEntries& entries, Entry entry) {
  if (entry.event)
    entries.events.push_back(std::move(*entry.event));
  else
    entries.set_aside.push_back({std::move(entry.id), entry.sequence, std::move(entry.unreadable)});
}

line::State folded(const std::string& line, const LineEntries& entries, const policy::Policy& policy) {
  auto state = line::fold(entries.events, policy, entries.set_aside);
  state.id = line;  // also when none of its entries can be read
  return state;
}

ProjectedLine project(const line::State& state, const policy::Policy& policy, const infusate::Formulary& formulary,
                      Instant now) {
  ProjectedLine out;
  out.line = state.id;
  out.open = state.stage != line::Stage::closed;
  out.unit = state.place.unit;
  out.bed = state.place.bed;
  if (out.open) out.clocks = json::to_text(json::encode(care::due_clocks(state, policy, formulary, now)));
  if (const auto row = statistics::row_of(state)) out.row = json::to_text(json::encode(*row));
  return out;
}

Checked<care::DueClocks> clocks_of(const ProjectedLine& line) {
  if (line.clocks.empty()) return care::DueClocks{};
  return json::parse_text(line.clocks).and_then([](const json::Value& v) { return json::decode<care::DueClocks>(v); });
}

Checked<std::optional<statistics::LineRow>> row_of(const ProjectedLine& line) {
  if (line.row.empty()) return std::optional<statistics::LineRow>();
  return json::parse_text(line.row)
      .and_then([](const json::Value& v) { return json::decode<statistics::LineRow>(v); })
      .map([](statistics::LineRow row) { return std::optional(std::move(row)); });
}

Checked<Rebuilt> rebuild(Ledger& ledger, const policy::Policy& policy, const infusate::Formulary& formulary,
                         Instant now, const std::function<void(VerifyProgress)>& progress) {
  constexpr std::int64_t at_once = 2000;
  Rebuilt out;
  // What is appended meanwhile lies beyond this and is taken in at the next look.
  out.sequence = ledger.last_sequence();
  const auto lines = ledger.lines_after(0);
  // Until it is done it is nobody's: cut short here, it is made again from the start.
  const ProjectionMark making{unique_mark(), 0};
  std::optional<ProjectionMark> follows;
  std::vector<ProjectedLine> batch;
  const auto keep = [&](const ProjectionMark& mark) {
    const bool ours = ledger.keep_projection(mark, batch, follows);
    follows = making;
    batch.clear();
    return ours;
  };
  const auto taken_over = [] {
    return refuse("/ledger", "a cache that is made again by somebody else", in_english_only("one rebuild at a time"));
  };
  for (const auto& id : lines) {
    batch.push_back(project(folded(id, ledger.read_line(id), policy), policy, formulary, now));
    out.open += batch.back().open ? 1 : 0;
    if (++out.lines % at_once == 0) {
      if (!keep(making)) return taken_over();
      progress({out.lines, static_cast<std::int64_t>(lines.size())});
    }
  }
  if (!keep({made_with(policy, formulary), out.sequence})) return taken_over();
  progress({out.lines, out.lines});
  return out;
}

CacheCheck check_cache(Ledger& ledger, const policy::Policy& policy, const infusate::Formulary& formulary, Instant now,
                       const std::function<void(VerifyProgress)>& progress) {
  constexpr std::int64_t at_once = 500;
  auto cache = ledger.projected(false);
  CacheCheck out;
  out.mark = cache.mark;
  out.as_kept = cache.as_kept;
  out.compared = cache.mark.made_with == made_with(policy, formulary);
  std::map<std::string, const ProjectedLine*> rows;
  for (const auto& row : cache.lines) rows.emplace(row.line, &row);
  const auto lines = ledger.lines_after(0);
  for (const auto& id : lines) {
    const auto entries = ledger.read_line(id);
    out.set_aside.insert(out.set_aside.end(), entries.set_aside.begin(), entries.set_aside.end());
    const auto found = rows.find(id);
    const auto fits = [&](std::int64_t moment) {
      const auto then = up_to(entries, moment);
      if (found == rows.end() || is_empty(then)) return found == rows.end() && is_empty(then);
      return says_the_same(*found->second, project(folded(id, then, policy), policy, formulary, now));
    };
    const auto moments = moments_of(entries, out.mark.sequence);
    if (out.compared && std::none_of(moments.begin(), moments.end(), fits)) out.wrong.push_back(id);
    if (found != rows.end()) rows.erase(found);
    if (++out.lines % at_once == 0) progress({out.lines, static_cast<std::int64_t>(lines.size())});
  }
  if (out.compared)
    for (const auto& [id, row] : rows) out.wrong.push_back(id);  // of lines that are not in the record
  for (const char* kind : {policy_paper, practice_paper})
    for (auto& one : ledger.papers(kind).set_aside) out.set_aside.push_back(std::move(one));
  progress({out.lines, out.lines});
  return out;
}

}  // namespace dwell::ledger
