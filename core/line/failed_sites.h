#pragma once
// Where earlier lines of the same patient failed: the next plan keeps away from there.
#include <span>
#include <string>
#include <vector>

#include "access/restart.h"
#include "line/state.h"

namespace dwell::line {

/// One for each removed line of the patient with this record number whose removal was a failure; an empty number finds
/// nothing. Infiltration, extravasation and leakage leaked; phlebitis and infection are inflamed; occlusion blocked;
/// dislodgement came out; pain and what is not known are other. What ended as planned is no failure.
[[nodiscard]] std::vector<access::FailedSite> failed_sites(std::span<const State> states, const std::string& number);

}  // namespace dwell::line
