#pragma once
// The frozen texts of this folder: what each released form of the record held, written by the program of its day. A
// line that stands here is never changed or taken away; new ones are added below.
//   events_N.jsonl   events, one a line, as the record keeps them; N tells the forms apart
//   papers_N.jsonl   policies put into force and runs of practice
//   heads.jsonl      signed heads, as the file beside a record holds them
#include <string>
#include <vector>

#include "json/codec.h"

namespace dwell::golden {

struct FrozenLine {
  std::string place;  ///< "events_1.jsonl, line 3"
  std::string text;
  json::Value value;
};

/// All lines of the files whose names begin so, in order. A file that cannot be read is a broken promise.
[[nodiscard]] std::vector<FrozenLine> frozen(const std::string& begins);
[[nodiscard]] std::string folder();

/// What events, and what papers, can hold and no frozen line does.
[[nodiscard]] std::vector<std::string> missing_of_events(const std::vector<FrozenLine>& lines);
[[nodiscard]] std::vector<std::string> missing_of_papers(const std::vector<FrozenLine>& lines);

/// Lines, as the record would keep them today, that together hold what is missing from those frozen.
[[nodiscard]] std::vector<std::string> lines_to_add_of_events();
[[nodiscard]] std::vector<std::string> lines_to_add_of_papers();

}  // namespace dwell::golden
