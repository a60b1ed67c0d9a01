#include "line/failed_sites.h"

#include <optional>

namespace dwell::line {
namespace {

std::optional<access::Failure> failure_of(RemovalReason reason) {
  using enum RemovalReason;
  switch (reason) {
    case infiltration:
    case extravasation:
    case leakage: return access::Failure::leaked;
    case phlebitis:
    case infection: return access::Failure::inflamed;
    case occlusion: return access::Failure::blocked;
    case dislodgement: return access::Failure::came_out;
    case pain:
    case unknown: return access::Failure::other;
    case therapy_complete:
    case ordered:
    case idle:
    case emergency_line_due:
    case routine_replacement:
    case patient_request:
    case discharge:
    case death:
    case other: return std::nullopt;
  }
  return std::nullopt;
}

}  // namespace

std::vector<access::FailedSite> failed_sites(std::span<const State> states, const std::string& number) {
  std::vector<access::FailedSite> failed;
  for (const auto& state : states) {
    if (number.empty() || state.patient.number != number || !state.removal || !state.placement) continue;
    if (const auto failure = failure_of(state.removal->removed.reason))
      failed.push_back({state.placement->placed.site, *failure});
  }
  return failed;
}

}  // namespace dwell::line
