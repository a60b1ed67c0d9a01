#pragma once
// A line folded for its clocks alone, which say nothing.
#include <span>

#include "line/state.h"

namespace dwell::line {

/// As `fold`, in a fraction of its time: the texts of the history are empty, and no deviation is told.
[[nodiscard]] State fold_without_words(std::span<const Event> events, const policy::Policy& policy,
                                       std::span<const SetAside> set_aside = {});

}  // namespace dwell::line
