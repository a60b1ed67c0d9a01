#pragma once
// A number never travels alone. A figure carries where it comes from and how well that was read; a result carries its
// working, so that the nurse can unfold it and check it by hand.
#include <boost/describe.hpp>
#include <string>
#include <vector>

#include "quantity/checked.h"

namespace dwell {

BOOST_DESCRIBE_STRUCT(FieldError, (), (path, found, expected))

/// How a figure was come by. `memory` and `weak` figures are shown with their mark everywhere they go.
enum class Mark { read, secondary, weak, memory, practice, computed };
BOOST_DESCRIBE_ENUM(Mark, read, secondary, weak, memory, practice, computed)

struct Source {
  std::string text;  ///< "INS phlebitis scale 2011, p. S47", or "common practice, no source"
  Mark mark = Mark::memory;
  friend bool operator==(const Source&, const Source&) = default;
};
BOOST_DESCRIBE_STRUCT(Source, (), (text, mark))

/// A policy figure: its value, and the ground it stands on.
template <class T>
struct Figure {
  T value{};
  std::string source;
  Mark mark = Mark::memory;
  friend bool operator==(const Figure&, const Figure&) = default;
  BOOST_DESCRIBE_CLASS(Figure, (), (value, source, mark), (), ())
};

template <class T>
[[nodiscard]] Source source_of(const Figure<T>& figure) {
  return {figure.source, figure.mark};
}

struct WorkingInput {
  Message name;   ///< "volume"
  Message value;  ///< "1 000 mL"
  friend bool operator==(const WorkingInput&, const WorkingInput&) = default;
};
BOOST_DESCRIBE_STRUCT(WorkingInput, (), (name, value))

/// How one number came about: enough to redo it with pencil and paper.
struct Working {
  Message name;     ///< trade name of the quantity: "drop rate"
  Message formula;  ///< "volume × drop factor / time"
  std::vector<WorkingInput> inputs;
  Message result;  ///< "42 drops/min (41.7)"
  Source source;
  friend bool operator==(const Working&, const Working&) = default;
};
BOOST_DESCRIBE_STRUCT(Working, (), (name, formula, inputs, result, source))

/// What a check says. `stop` asks for a reason before going on; nothing charted is ever blocked.
enum class Severity { information, caution, stop };
BOOST_DESCRIBE_ENUM(Severity, information, caution, stop)

struct Finding {
  Severity severity = Severity::information;
  std::string code;  ///< stable name: "rate_for_weight"
  Message text;      ///< for the nurse
  Source source;
  friend bool operator==(const Finding&, const Finding&) = default;
};
BOOST_DESCRIBE_STRUCT(Finding, (), (severity, code, text, source))

}  // namespace dwell
