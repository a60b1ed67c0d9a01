#include "server/live.h"

#include "json/codec.h"

namespace dwell::server {

std::string entries_message(std::int64_t sequence, const std::vector<std::string>& lines) {
  const json::Object data{{"sequence", sequence}, {"lines", json::encode(lines)}};
  return "id: " + std::to_string(sequence) + "\nevent: entries\ndata: " + json::to_text(data) + "\n\n";
}

std::string looked_message(const Standing& standing) {
  const json::Object data{
      {"true_at", iso(standing.true_at)}, {"sequence", standing.sequence}, {"reachable", standing.reachable}};
  return "event: looked\ndata: " + json::to_text(data) + "\n\n";
}

}  // namespace dwell::server
