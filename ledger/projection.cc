#include "ledger/projection.h"

#include "json/codec.h"
#include "ledger/chain.h"

namespace dwell::ledger {
namespace {

/// Of what stands in the cache; another number makes every cache anew.
constexpr int cache_format = 1;

}  // namespace

std::string made_with(const policy::Policy& policy, const infusate::Formulary& formulary) {
  return blake2b_256(std::to_string(cache_format) + DWELL_VERSION + json::to_text(json::encode(policy)) +
                     json::to_text(json::encode(formulary)));
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
  constexpr std::size_t at_once = 2000;
  Rebuilt out;
  // What is appended meanwhile lies beyond this and is taken in at the next look.
  out.sequence = ledger.last_sequence();
  const auto lines = ledger.lines_after(0);
  std::vector<ProjectedLine> batch;
  bool afresh = true;
  const auto keep = [&](std::int64_t reaches) {
    auto kept = ledger.keep_projection({made_with(policy, formulary), reaches}, batch, afresh);
    afresh = false;
    batch.clear();
    return kept;
  };
  for (const auto& id : lines) {
    batch.push_back(project(line::fold(ledger.read_line(id), policy), policy, formulary, now));
    out.open += batch.back().open ? 1 : 0;
    if (++out.lines % static_cast<std::int64_t>(at_once) == 0) {
      // Reaches nothing yet: cut short here, it is made again from the start.
      if (auto kept = keep(0); !kept) return refuse(kept.error());
      progress({out.lines, static_cast<std::int64_t>(lines.size())});
    }
  }
  if (auto kept = keep(out.sequence); !kept) return refuse(kept.error());
  progress({out.lines, out.lines});
  return out;
}

}  // namespace dwell::ledger
