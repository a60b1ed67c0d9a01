#pragma once
// Guided steps as lines of text: what to do, its clock, what stops it and what to beware of.
#include <vector>

#include "procedure/steps.h"

namespace dwell::cli {

void print_steps(const std::vector<procedure::Step>& steps);

}  // namespace dwell::cli
