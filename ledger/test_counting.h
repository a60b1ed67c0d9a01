#pragma once
// For tests and benches of what things cost: a ledger that counts what is read from it, and that fails when told to.
#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <utility>

#include "ledger/ledger.h"

namespace dwell::ledger {

class CountingLedger : public Ledger {
 public:
  explicit CountingLedger(Ledger& inner) : inner_(inner) {}

  struct Count {
    std::size_t entries = 0;  ///< read, whether of one line or of the record
    std::size_t lines = 0;    ///< rows of the cache, and names of lines
    std::size_t calls = 0;
  };
  /// Since the last time it was asked for.
  [[nodiscard]] Count taken() { return std::exchange(count_, {}); }

  /// So many lines are read whole, and then the record cannot be reached, until this is set anew.
  std::optional<std::size_t> lines_until_unreachable;
  /// A line whose entries say that they are of two.
  std::string spoilt;
  /// Told of each line that is read whole, in the middle of it.
  std::function<void(const std::string& line)> while_reading;

  Checked<Appended> append(const std::vector<line::Event>& events, Instant now) override {
    return inner_.append(events, now);
  }
  std::vector<Entry> read_after(std::int64_t sequence, std::size_t limit) override {
    return counted(inner_.read_after(sequence, limit), count_.entries);
  }
  LineEntries read_line(const std::string& line) override {
    if (lines_until_unreachable && (*lines_until_unreachable)-- == 0) {
      lines_until_unreachable = 0;
      throw Unreachable("the record is away");
    }
    if (while_reading) while_reading(line);
    auto entries = inner_.read_line(line);
    ++count_.calls;
    count_.entries += entries.events.size() + entries.set_aside.size();
    if (line == spoilt) entries.events.back().line = "another";
    return entries;
  }
  bool holds_line(const std::string& line) override { return inner_.holds_line(line); }
  std::int64_t last_sequence() override { return inner_.last_sequence(); }
  Verification verify(const std::function<void(VerifyProgress)>& progress,
                      const std::map<std::int64_t, std::string>& known) override {
    return inner_.verify(progress, known);
  }
  Projection projected(bool open_only) override {
    auto cache = inner_.projected(open_only);
    ++count_.calls;
    count_.lines += cache.lines.size();
    return cache;
  }
  std::vector<std::string> lines_after(std::int64_t sequence) override {
    return counted(inner_.lines_after(sequence), count_.lines);
  }
  bool keep_projection(const ProjectionMark& mark, const std::vector<ProjectedLine>& lines,
                       const std::optional<ProjectionMark>& follows) override {
    return inner_.keep_projection(mark, lines, follows);
  }
  Checked<void> keep_photo(const Photo& photo) override { return inner_.keep_photo(photo); }
  std::optional<Photo> photo(const std::string& hash) override { return inner_.photo(hash); }
  std::vector<std::string> photo_hashes() override { return inner_.photo_hashes(); }
  Checked<void> keep_paper(const Paper& paper, const std::optional<std::string>& after, Instant now) override {
    return inner_.keep_paper(paper, after, now);
  }
  Papers papers(const std::string& kind, const std::string& who) override { return inner_.papers(kind, who); }
  std::optional<Paper> last_paper(const std::string& kind) override { return inner_.last_paper(kind); }
  std::vector<StoredEntry> stored_after(std::int64_t sequence, std::size_t limit) override {
    return counted(inner_.stored_after(sequence, limit), count_.entries);
  }
  Checked<void> append_stored(const std::vector<StoredEntry>& entries) override {
    return inner_.append_stored(entries);
  }
  std::string remark(const std::string& name) override { return inner_.remark(name); }
  Checked<void> keep_remark(const std::string& name, const std::string& text) override {
    return inner_.keep_remark(name, text);
  }
  std::string place() override { return inner_.place(); }

 private:
  template <class List>
  List counted(List list, std::size_t& count) {
    ++count_.calls;
    count += list.size();
    return list;
  }

  Ledger& inner_;
  Count count_;
};

}  // namespace dwell::ledger
