#pragma once
// Names that look alike and are not the same: “Koller” with a Cyrillic о is another patient to a machine and the same
// one to a nurse. Nothing is refused for it, because people's names are theirs; it is said, when a name first comes in.
// Source: docs/sources.md#unicode
#include <boost/describe.hpp>
#include <memory>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

#include "line/state.h"

struct USpoofChecker;

namespace dwell::unicode {

struct Said {
  std::string path;  ///< of the name in its entry
  Message text;      ///< for the person who charted it
  friend bool operator==(const Said&, const Said&) = default;
};
BOOST_DESCRIBE_STRUCT(Said, (), (path, text))

/// The names that a ward knows, and what is to be said of one that comes in.
class Likeness {
 public:
  Likeness();

  /// From now on the ward knows this name. Each name is looked at once.
  void know(const std::string& name);
  /// The people of a line: whose it is, who looks after it, who placed it.
  void know(const line::State& state);

  /// Of each name in the entry: that its letters are of several writings, or that a known one looks the same.
  [[nodiscard]] std::vector<Said> say(const line::Event& event) const;

 private:
  struct Close {
    void operator()(USpoofChecker* checker) const;
  };
  [[nodiscard]] std::string skeleton_of(const std::string& name) const;
  [[nodiscard]] bool is_of_several_writings(const std::string& name) const;

  std::unique_ptr<USpoofChecker, Close> checker_;
  std::set<std::string> known_;
  std::unordered_map<std::string, std::string> by_skeleton_;  ///< the first known name of each look
};

}  // namespace dwell::unicode
