#include "server/live.h"

#include "server/answers.h"

namespace dwell::server {

std::string entries_message(std::int64_t sequence, const std::vector<std::string>& lines) {
  const auto data = json::encode(EntriesNews{sequence, lines});
  return "id: " + std::to_string(sequence) + "\nevent: entries\ndata: " + json::to_text(data) + "\n\n";
}

std::string looked_message(const Standing& standing) {
  const auto data = json::encode(LookedNews{standing.true_at, standing.sequence, standing.reachable});
  return "event: looked\ndata: " + json::to_text(data) + "\n\n";
}

}  // namespace dwell::server
