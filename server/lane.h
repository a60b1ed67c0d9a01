#pragma once
// Threads that do one kind of work, with an end to what may wait for them. Charting, looking at the ward and computing
// each have a lane of their own, so that however long one of them takes, the others go on.
#include <boost/asio/awaitable.hpp>
#include <boost/asio/bind_executor.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <cstddef>
#include <type_traits>

namespace dwell::server {

class Lane {
 public:
  /// `most`: at work and waiting, together.
  Lane(boost::asio::io_context& io, std::size_t threads, std::size_t most) : io_(io), most_(most), threads_(threads) {}

  /// Whoever comes now must be told to come again. On the thread of `io`.
  [[nodiscard]] bool full() const { return inside_ >= most_; }

  /// Does `work`, which must not throw, on a thread of the lane, and goes on with what it gave on the thread of `io`.
  template <class Work>
  boost::asio::awaitable<std::invoke_result_t<const Work&>> run(const Work& work) {
    namespace asio = boost::asio;
    ++inside_;
    co_await asio::post(asio::bind_executor(threads_, asio::use_awaitable));
    auto result = work();
    co_await asio::post(asio::bind_executor(io_, asio::use_awaitable));
    --inside_;
    co_return result;
  }

  /// Waits for what is at work. After `io` has stopped.
  void join() { threads_.join(); }

 private:
  boost::asio::io_context& io_;
  std::size_t most_, inside_ = 0;
  boost::asio::thread_pool threads_;
};

}  // namespace dwell::server
