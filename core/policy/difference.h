#pragma once
// What a ward changed: its policy beside another, figure by figure.
#include <string>
#include <vector>

#include "policy/policy.h"

namespace dwell::policy {

struct Difference {
  std::string path;          ///< "/watch/site_check/vesicant"
  std::string here, there;   ///< values as people read them; empty: not there
  std::string source;        ///< whose figure `here` is
  std::optional<Mark> mark;  ///< of `here`, when it is a figure
  friend bool operator==(const Difference&, const Difference&) = default;
};
BOOST_DESCRIBE_STRUCT(Difference, (), (path, here, there, source, mark))

/// Each figure, word or list in which two policies differ, by path; a text by language, each language by its own. A
/// figure differs also when only its source or its mark does. Lists are compared as a whole, except that those of equal
/// length are compared item by item.
[[nodiscard]] std::vector<Difference> differences(const Policy& here, const Policy& there);

}  // namespace dwell::policy
