#pragma once
// How hard will this vein be to enter? Published scores, held in the policy, say when to call somebody before the first
// attempt instead of after the last.
#include <boost/describe.hpp>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"

namespace dwell::access {

struct DifficultyInput {
  std::string scale;                           ///< by name, in the policy
  std::map<std::string, std::string> answers;  ///< item name to answer name; an item left out is unknown
};
BOOST_DESCRIBE_STRUCT(DifficultyInput, (), (scale, answers))

struct DifficultyResult {
  int points_least = 0, points_most = 0;  ///< differ while items are unknown
  Message band;                           ///< empty while the unknown items could change it
  std::optional<Ratio> success;           ///< published share of first attempts that succeed; absent: not known
  bool call_for_help = false;             ///< also when an unknown item could make it so
  std::vector<std::string> unknown_items;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DifficultyResult, (),
                      (points_least, points_most, band, success, call_for_help, unknown_items, findings, workings))

/// Sum of the points of the answers. Errors: a scale the policy lacks, an item or an answer the scale lacks.
/// Source: the scale's own, in the policy; sources.md#difficulty
[[nodiscard]] Checked<DifficultyResult> difficulty(const DifficultyInput& input, const policy::Access& policy);

}  // namespace dwell::access
