#pragma once
// What a hospital's own watching reads from a running server: numbers alone, nothing of patients, people or lines.
#include <chrono>
#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

#include "quantity/time.h"

namespace dwell::server {

/// How the record and its proof stood when they were last looked at.
struct RecordMeasure {
  bool reachable = true;
  Instant read_at{};  ///< to its end
  bool proof_holds = true;
};

class Measures {
 public:
  Measures();
  ~Measures();
  Measures(const Measures&) = delete;
  Measures& operator=(const Measures&) = delete;

  /// From any thread. `pattern` is the route's, never the target; a method that HTTP does not name counts as "other".
  void answered(std::string_view method, std::string_view pattern, unsigned status, std::chrono::duration<double> took);
  void turned_away();
  /// A ward was read and written out; all who ask for the same meanwhile are given that answer.
  void made_ward();
  void connections(std::size_t now);
  void listeners(std::size_t now);
  void record(const RecordMeasure& measure);
  void certificate_ends(Instant end);

  /// All of them in the text format of Prometheus.
  /// Source: Prometheus documentation, "Exposition formats", text format 0.0.4; names as in "Metric and label naming".
  [[nodiscard]] std::string text() const;

 private:
  struct Families;
  std::unique_ptr<Families> families_;
};

}  // namespace dwell::server
