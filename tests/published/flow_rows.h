#pragma once
// The 58 published rows against which the flow model is held, each with what it is predicted to be by the model in use
// and by the one before it, as a function of what nobody can see (flow/open_line.h). None was used for calibration,
// except that the spread between rigs was chosen with each series left out in turn. docs/flow.md tabulates them.
#include <functional>
#include <string>
#include <vector>

#include "flow/open_line.h"

namespace dwell::flow::published {

/// The unknowns of a row: those of the line, and those of a second catheter where two are compared.
struct RowDeviations {
  Deviations line{}, second{};
};

struct Row {
  std::string series;  ///< "S2"
  std::string what;
  double measured = 0;
  double before = 0;                                      ///< by the model before: bore, 3 mm tube, 0.8 in a vein
  std::function<double(const RowDeviations&)> predicted;  ///< by the model in use
  bool stated = false;  ///< geometry and driving pressure stated well enough ("G"), or not ("N")
  bool in_vivo = false;
};

/// In the order of the table.
[[nodiscard]] std::vector<Row> rows();

/// d ln predicted / d x of every unknown, squared and summed.
[[nodiscard]] double variance_of(const Row& row);

// Standings of the same rig that a count in one of them can predict.
struct Rig {
  std::string name;
  OpenLine line;
  std::vector<OpenCount> states;  ///< the first one is counted
};
[[nodiscard]] std::vector<Rig> rigs();

}  // namespace dwell::flow::published
