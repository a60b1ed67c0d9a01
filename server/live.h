#pragma once
// Who wants to hear of changes. One queue a listener; a listener that does not keep up is dropped, and its page asks
// again.
#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <deque>
#include <list>
#include <memory>
#include <string>
#include <vector>

#include "server/watch.h"

namespace dwell::server {

/// Another policy is in force.
inline constexpr const char* policy_message = "event: policy\ndata: {}\n\n";

class Listener {
 public:
  explicit Listener(const boost::asio::any_io_executor& executor) : wake_(executor) {}

  static constexpr std::size_t most_waiting = 256;

  void tell(std::string message) {
    if (waiting_.size() >= most_waiting) overrun_ = true;
    if (!overrun_) waiting_.push_back(std::move(message));
    wake_.cancel();
  }
  void close() {
    overrun_ = true;
    wake_.cancel();
  }
  [[nodiscard]] bool overrun() const { return overrun_; }
  [[nodiscard]] bool empty() const { return waiting_.empty(); }
  [[nodiscard]] std::string take() {
    std::string all;
    for (auto& message : waiting_) all += message;
    waiting_.clear();
    return all;
  }
  [[nodiscard]] boost::asio::steady_timer& wake() { return wake_; }

 private:
  boost::asio::steady_timer wake_;
  std::deque<std::string> waiting_;
  bool overrun_ = false;
};

class Listeners {
 public:
  void add(const std::shared_ptr<Listener>& listener) { all_.push_back(listener); }
  void remove(const std::shared_ptr<Listener>& listener) { all_.remove(listener); }
  [[nodiscard]] std::size_t size() const { return all_.size(); }
  void tell(const std::string& message) {
    for (const auto& listener : all_) listener->tell(message);
  }
  void close() {
    for (const auto& listener : all_) listener->close();
  }

 private:
  std::list<std::shared_ptr<Listener>> all_;
};

/// How the record was when it was last looked at. A page that hears nothing of it for longer than the ping knows that
/// what it shows grows old.
[[nodiscard]] std::string looked_message(const Standing& standing);

/// One server-sent event: the sequence reached and the lines that changed.
[[nodiscard]] std::string entries_message(std::int64_t sequence, const std::vector<std::string>& lines);

}  // namespace dwell::server
