#pragma once
// A connection, with TLS or without: what the session reads from and writes to.
#include <boost/asio/async_result.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/ssl/ssl_stream.hpp>
#include <optional>
#include <utility>

#include "server/tls.h"

namespace dwell::server {

class Connection {
 public:
  using executor_type = boost::beast::tcp_stream::executor_type;

  explicit Connection(boost::asio::ip::tcp::socket socket) : plain_(std::in_place, std::move(socket)) {}
  Connection(boost::asio::ip::tcp::socket socket, Tls::Context context)
      : context_(std::move(context)), secure_(std::in_place, std::move(socket), *context_) {}

  [[nodiscard]] bool is_secure() const { return secure_.has_value(); }
  /// Beneath the encryption.
  [[nodiscard]] boost::beast::tcp_stream& bare() { return secure_ ? secure_->next_layer() : *plain_; }
  [[nodiscard]] executor_type get_executor() { return bare().get_executor(); }
  void expires_after(std::chrono::nanoseconds time) { bare().expires_after(time); }
  void cancel() { bare().cancel(); }

  /// For secure connections; `begun` was read of it already.
  template <class Buffers, class Token>
  auto async_handshake(const Buffers& begun, Token&& token) {
    return secure_->async_handshake(boost::asio::ssl::stream_base::server, begun, std::forward<Token>(token));
  }

  /// For secure connections: tells the other end that all was said.
  template <class Token>
  auto async_shutdown(Token&& token) {
    return secure_->async_shutdown(std::forward<Token>(token));
  }

  template <class Buffers, class Token>
  auto async_read_some(const Buffers& buffers, Token&& token) {
    return boost::asio::async_initiate<Token, void(boost::system::error_code, std::size_t)>(
        [this](auto handler, const auto& into) {
          if (secure_)
            secure_->async_read_some(into, std::move(handler));
          else
            plain_->async_read_some(into, std::move(handler));
        },
        token, buffers);
  }

  template <class Buffers, class Token>
  auto async_write_some(const Buffers& buffers, Token&& token) {
    return boost::asio::async_initiate<Token, void(boost::system::error_code, std::size_t)>(
        [this](auto handler, const auto& from) {
          if (secure_)
            secure_->async_write_some(from, std::move(handler));
          else
            plain_->async_write_some(from, std::move(handler));
        },
        token, buffers);
  }

 private:
  Tls::Context context_;  ///< outlives the stream that was made with it
  std::optional<boost::beast::tcp_stream> plain_;
  std::optional<boost::beast::ssl_stream<boost::beast::tcp_stream>> secure_;
};

}  // namespace dwell::server
