#pragma once
// A record that fails when it is told to, and counts what is asked of it.
#include <atomic>
#include <memory>
#include <utility>

#include "ledger/ledger.h"

namespace dwell::server {

class FailingLedger final : public ledger::Ledger {
 public:
  explicit FailingLedger(std::shared_ptr<ledger::Ledger> whole) : whole_(std::move(whole)) {}

  std::atomic<bool> writes_fail{false}, reads_fail{false};
  std::atomic<int> appends{0};

  Checked<ledger::Appended> append(const std::vector<line::Event>& events, Instant now) override {
    ++appends;
    return to_write().append(events, now);
  }
  std::vector<ledger::Entry> read_after(std::int64_t sequence, std::size_t limit) override {
    return to_read().read_after(sequence, limit);
  }
  ledger::LineEntries read_line(const std::string& line) override { return to_read().read_line(line); }
  bool holds_line(const std::string& line) override { return whole_->holds_line(line); }
  std::int64_t last_sequence() override { return to_read().last_sequence(); }
  using Ledger::verify;
  ledger::Verification verify(const std::function<void(ledger::VerifyProgress)>& progress,
                              const std::map<std::int64_t, std::string>& known) override {
    return to_read().verify(progress, known);
  }
  ledger::Projection projected(bool open_only) override { return to_read().projected(open_only); }
  std::vector<std::string> lines_after(std::int64_t sequence) override { return to_read().lines_after(sequence); }
  bool keep_projection(const ledger::ProjectionMark& mark, const std::vector<ledger::ProjectedLine>& lines,
                       const std::optional<ledger::ProjectionMark>& follows) override {
    return to_write().keep_projection(mark, lines, follows);
  }
  Checked<void> keep_photo(const ledger::Photo& photo) override { return to_write().keep_photo(photo); }
  std::optional<ledger::Photo> photo(const std::string& hash) override { return to_read().photo(hash); }
  std::vector<std::string> photo_hashes() override { return to_read().photo_hashes(); }
  Checked<void> keep_paper(const ledger::Paper& paper, const std::optional<std::string>& after, Instant now) override {
    return to_write().keep_paper(paper, after, now);
  }
  ledger::Papers papers(const std::string& kind, const std::string& who) override {
    return to_read().papers(kind, who);
  }
  std::optional<ledger::Paper> last_paper(const std::string& kind) override { return to_read().last_paper(kind); }
  std::vector<ledger::StoredEntry> stored_after(std::int64_t sequence, std::size_t limit) override {
    return to_read().stored_after(sequence, limit);
  }
  Checked<void> append_stored(const std::vector<ledger::StoredEntry>& entries) override {
    return to_write().append_stored(entries);
  }
  std::string remark(const std::string& name) override { return to_read().remark(name); }
  Checked<void> keep_remark(const std::string& name, const std::string& text) override {
    return to_write().keep_remark(name, text);
  }
  std::string place() override { return whole_->place(); }

 private:
  ledger::Ledger& to_write() {
    if (writes_fail) throw ledger::Unreachable("the disk is full");
    return *whole_;
  }
  ledger::Ledger& to_read() {
    if (reads_fail) throw ledger::Unreachable("the database is away");
    return *whole_;
  }

  std::shared_ptr<ledger::Ledger> whole_;
};

}  // namespace dwell::server
