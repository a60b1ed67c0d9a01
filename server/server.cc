#include "server/server.h"

#include <algorithm>
#include <array>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/bind_executor.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <cctype>
#include <csignal>
#include <iostream>

#include "json/codec.h"
#include "server/compress.h"
#include "server/live.h"
#include "server/routes.h"
#include "server/ward.h"

namespace dwell::server {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using tcp = asio::ip::tcp;
using namespace std::chrono_literals;

constexpr auto waits = asio::as_tuple(asio::use_awaitable);
constexpr std::uint64_t most_body = 1024 * 1024, most_photo = line::largest_photo;
constexpr std::size_t writers = 16;  ///< requests that wait for one commit together
constexpr std::uint32_t most_header = 16 * 1024;
constexpr int most_connections = 512;
constexpr auto slowest_client = 30s;
constexpr auto ping_every = 15s;
constexpr auto look_every = 1s;

Request plain(const http::request<http::string_body>& in) {
  Request out;
  out.method = std::string(in.method_string());
  out.target = std::string(in.target());
  for (const auto& field : in) {
    std::string name(field.name_string());
    std::transform(name.begin(), name.end(), name.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    out.headers[name] = std::string(field.value());
  }
  out.body = in.body();
  return out;
}

/// The page's files come compressed already, and pictures do not shrink.
bool worth_compressing(const Reply& reply, std::string_view body) {
  constexpr std::size_t one_packet = 1400;
  const bool words = reply.content_type.starts_with("application/json") || reply.content_type.starts_with("text/");
  return words && body.size() > one_packet && !reply.headers.contains("Content-Encoding");
}

bool accepts_gzip(const Request& request) {
  const auto found = request.headers.find("accept-encoding");
  return found != request.headers.end() && found->second.find("gzip") != std::string::npos;
}

http::response<http::string_body> wire(const Reply& reply, const Request& request, unsigned version, bool keep_alive) {
  http::response<http::string_body> out{static_cast<http::status>(reply.status), version};
  for (const auto& [name, value] : Routes::common_headers()) out.set(name, value);
  out.set(http::field::content_type, reply.content_type);
  if (!reply.headers.contains("Cache-Control")) out.set(http::field::cache_control, "no-store");
  for (const auto& [name, value] : reply.headers) out.set(name, value);
  out.keep_alive(keep_alive);
  std::string body(reply.body.empty() ? reply.fixed_body : std::string_view(reply.body));
  if (worth_compressing(reply, body) && accepts_gzip(request)) {
    body = gzip(body);
    out.set(http::field::content_encoding, "gzip");
    out.set(http::field::vary, "Accept-Encoding");
  }
  out.content_length(reply.status == 304 ? 0 : body.size());
  if (request.method != "HEAD") out.body() = std::move(body);
  return out;
}

Reply fault_reply(const beast::error_code& failure) {
  Reply reply;
  FieldError error{"", failure.message(), "a request that can be read"};
  reply.status = 400;
  if (failure == http::error::body_limit) reply.status = 413, error.expected = "a body of at most 1 MB";
  if (failure == http::error::header_limit) reply.status = 431, error.expected = "headers of at most 16 kB";
  reply.body = json::to_text(json::Object{{"ok", false}, {"errors", json::encode(FieldErrors{error})}});
  return reply;
}

Checked<tcp::endpoint> loopback_endpoint(const Options& options) {
  boost::system::error_code failure;
  const auto address = asio::ip::make_address(options.address == "localhost" ? "127.0.0.1" : options.address, failure);
  if (failure || !address.is_loopback())
    return refuse("/address", options.address,
                  "127.0.0.1 or ::1; until there is sign-in, Dwell listens on the machine itself only");
  return tcp::endpoint(address, options.port);
}

}  // namespace

struct Server::Impl {
  Options options;
  Ward ward;
  Routes routes;
  Listeners listeners;
  asio::io_context io{1};
  tcp::acceptor acceptor{io};
  asio::signal_set signals{io, SIGINT, SIGTERM};
  asio::steady_timer look{io}, minute{io};
  asio::thread_pool writing{writers};
  int connections = 0;
  bool unreachable = false;  ///< the record, when last looked for
  std::optional<asio::posix::stream_descriptor> listening;

  explicit Impl(Options given)
      : options(std::move(given)), ward(*options.ledger, options.library, options.clock()), routes(options, ward) {
    take_policy();
    keep_cache();
  }

  Checked<void> bind() {
    const auto endpoint = loopback_endpoint(options);
    if (!endpoint) return refuse(endpoint.error());
    boost::system::error_code failure;
    acceptor.open(endpoint->protocol(), failure);
    if (!failure) acceptor.set_option(tcp::acceptor::reuse_address(true), failure);
    if (!failure) acceptor.bind(*endpoint, failure);
    if (!failure) acceptor.listen(asio::socket_base::max_listen_connections, failure);
    if (failure == asio::error::address_in_use)
      return refuse("/port", std::to_string(options.port),
                    "a port that no other program uses; give another with --port");
    if (failure)
      return refuse("/port", std::to_string(options.port), "a port that can be used (" + failure.message() + ")");
    return {};
  }

  void shut() {
    boost::system::error_code ignored;
    acceptor.close(ignored);
    listeners.close();
    look.cancel();
    minute.cancel();
    if (listening) listening->cancel(ignored);
    signals.cancel(ignored);
    // Connections that are in the middle of an answer get a moment; then all ends.
    auto grace = std::make_shared<asio::steady_timer>(io, 300ms);
    grace->async_wait([this, grace](auto) { io.stop(); });
  }

  asio::awaitable<void> accept() {
    while (acceptor.is_open()) {
      auto [failure, socket] = co_await acceptor.async_accept(waits);
      if (failure) continue;
      if (connections >= most_connections) continue;
      asio::co_spawn(io, session(std::move(socket)), asio::detached);
    }
  }

  /// Entries that the command line wrote reach the page too.
  asio::awaitable<void> look_for_entries() {
    while (acceptor.is_open()) {
      look.expires_after(look_every);
      co_await look.async_wait(waits);
      catch_up();
    }
  }

  /// Entries that another server wrote, at once. A connection that is lost is made anew; look_for_entries() goes on.
  asio::awaitable<void> listen_for_entries() {
    while (acceptor.is_open()) {
      auto announcements = options.announcements();
      if (announcements) co_await hear(**announcements);
      if (!acceptor.is_open()) break;
      asio::steady_timer pause(io, look_every);
      co_await pause.async_wait(waits);
    }
  }

  asio::awaitable<void> hear(ledger::Announcements& announcements) {
    // The descriptor belongs to the database's library; it is only waited on here.
    listening.emplace(io, announcements.descriptor());
    for (auto heard = ledger::Announcements::Heard::nothing; heard != ledger::Announcements::Heard::lost;) {
      const auto [failure] = co_await listening->async_wait(asio::posix::stream_descriptor::wait_read, waits);
      if (failure) break;
      heard = announcements.take();
      if (heard == ledger::Announcements::Heard::entries) catch_up();
    }
    listening->release();
    listening.reset();
  }

  asio::awaitable<void> tend_every_minute() {
    while (acceptor.is_open()) {
      minute.expires_after(1min);
      co_await minute.async_wait(waits);
      if (!acceptor.is_open()) break;
      keep_cache();
      if (options.every_minute) options.every_minute();
    }
  }

  /// A cache that cannot be kept makes the next start slower, and nothing else.
  void keep_cache() {
    try {
      ward.keep();
    } catch (const ledger::Unreachable& e) {
      std::cerr << "the cache of lines was not kept: " << e.what() << '\n';
    }
  }

  /// The policy that somebody put into force, here or on another server of this record.
  void take_policy() {
    if (routes.take_policy()) listeners.tell(policy_message);
  }

  /// A record that cannot be reached for a while is said once, and again when it is back.
  void catch_up() {
    try {
      take_policy();
      if (auto changed = ward.catch_up(options.clock()); !changed.empty())
        listeners.tell(entries_message(ward.sequence(), changed));
      if (unreachable) std::cerr << "the record can be reached again\n";
      unreachable = false;
    } catch (const ledger::Unreachable& e) {
      if (!unreachable) std::cerr << "the record cannot be reached: " << e.what() << '\n';
      unreachable = true;
    }
  }

  asio::awaitable<void> session(tcp::socket socket) {
    ++connections;
    beast::tcp_stream stream(std::move(socket));
    beast::flat_buffer buffer;
    bool more = true;
    while (more) more = co_await one_request(stream, buffer);
    boost::system::error_code ignored;
    stream.socket().shutdown(tcp::socket::shutdown_both, ignored);
    --connections;
  }

  asio::awaitable<bool> one_request(beast::tcp_stream& stream, beast::flat_buffer& buffer) {
    http::request_parser<http::string_body> parser;
    parser.body_limit(most_photo);
    parser.header_limit(most_header);
    stream.expires_after(slowest_client);
    auto [failure, bytes] = co_await http::async_read_header(stream, buffer, parser, waits);
    if (!failure) {
      // Only a picture may be large; what was announced as longer is refused unread.
      const bool photo = parser.get().target() == "/api/photos";
      const auto announced = parser.content_length();
      parser.body_limit(photo ? most_photo : most_body);
      if (announced && *announced > (photo ? most_photo : most_body)) failure = http::error::body_limit;
    }
    if (!failure) {
      const auto [body_failure, body_bytes] = co_await http::async_read(stream, buffer, parser, waits);
      failure = body_failure;
    }
    if (failure == http::error::end_of_stream || failure == beast::error::timeout ||
        (failure && failure.category() != http::make_error_code(http::error::body_limit).category()))
      co_return false;
    if (failure) {
      // Named, because GCC 12 destroys temporaries twice that live across a co_await.
      const Reply reply = fault_reply(failure);
      const Request unread;
      co_await send(stream, reply, unread, 11, false);
      co_await drain(stream);
      co_return false;
    }
    const auto message = parser.release();
    const Request request = plain(message);
    const auto began = std::chrono::steady_clock::now();
    if (auto refused = Routes::guard(request)) {
      log(request, *refused, began);
      co_return co_await send(stream, *refused, request, message.version(), false);
    }
    if (Routes::is_live(request)) {
      co_await live(stream);
      co_return false;
    }
    Reply reply;
    if (Routes::writes(request)) {
      // Off this thread while the disk is waited for: who waits together is committed together.
      co_await asio::post(asio::bind_executor(writing, asio::use_awaitable));
      Routes::Written written = write(request);
      co_await asio::post(asio::bind_executor(io, asio::use_awaitable));
      reply = guarded(request, [&] { return routes.answer_written(std::move(written)); });
    } else {
      reply = guarded(request, [&] { return routes.answer(request); });
    }
    log(request, reply, began);
    if (reply.policy_changed) listeners.tell(policy_message);
    if (!reply.changed_lines.empty()) listeners.tell(entries_message(ward.sequence(), reply.changed_lines));
    co_return co_await send(stream, reply, request, message.version(), message.keep_alive());
  }

  /// Takes in what a client still sends after a refusal: closing at once would tear the refusal away from it.
  static asio::awaitable<void> drain(beast::tcp_stream& stream) {
    constexpr std::size_t most = 8 * 1024 * 1024;
    std::array<char, 16 * 1024> thrown_away{};
    boost::system::error_code ignored;
    stream.socket().shutdown(tcp::socket::shutdown_send, ignored);
    stream.expires_after(2s);
    for (std::size_t taken = 0; taken < most;) {
      const auto [failure, bytes] = co_await stream.async_read_some(asio::buffer(thrown_away), waits);
      if (failure) co_return;
      taken += bytes;
    }
  }

  /// On a thread of `writing`.
  Routes::Written write(const Request& request) {
    Routes::Written written;
    written.refusal = guarded(request, [&] {
      written = routes.write(request);
      return std::move(written.refusal);
    });
    written.refused = written.refused || written.refusal.status >= 400;
    return written;
  }

  template <class Answer>
  static Reply guarded(const Request& request, Answer answer) {
    try {
      return answer();
    } catch (const ledger::Unreachable& e) {
      Reply reply;
      reply.status = 503;
      reply.body = json::to_text(json::Object{
          {"ok", false}, {"errors", json::encode(FieldErrors{{"/ledger", e.what(), "a record that can be reached"}})}});
      return reply;
    } catch (const std::exception& e) {
      std::cerr << "fault while answering " << Routes::pattern(request.target) << ": " << e.what() << '\n';
      Reply reply;
      reply.status = 500;
      reply.body = json::to_text(json::Object{
          {"ok", false},
          {"errors",
           json::encode(FieldErrors{{"", "a fault of Dwell's own", "nothing was changed; tell your administrator"}})}});
      return reply;
    }
  }

  static asio::awaitable<bool> send(beast::tcp_stream& stream, const Reply& reply, const Request& request,
                                    unsigned version, bool keep_alive) {
    auto response = wire(reply, request, version, keep_alive);
    http::response_serializer<http::string_body> serializer(response);
    serializer.split(request.method == "HEAD");
    stream.expires_after(slowest_client);
    if (request.method == "HEAD") {
      const auto [failure, bytes] = co_await http::async_write_header(stream, serializer, waits);
      co_return !failure && keep_alive;
    }
    const auto [failure, bytes] = co_await http::async_write(stream, serializer, waits);
    co_return !failure && keep_alive;
  }

  /// Server-sent events until the page goes away or does not keep up.
  asio::awaitable<void> live(beast::tcp_stream& stream) {
    http::response<http::empty_body> head{http::status::ok, 11};
    for (const auto& [name, value] : Routes::common_headers()) head.set(name, value);
    head.set(http::field::content_type, "text/event-stream");
    head.set(http::field::cache_control, "no-store");
    head.keep_alive(false);
    http::response_serializer<http::empty_body> serializer(head);
    stream.expires_after(slowest_client);
    if (const auto [failure, bytes] = co_await http::async_write_header(stream, serializer, waits); failure) co_return;

    auto listener = std::make_shared<Listener>(stream.get_executor());
    listeners.add(listener);
    listener->tell(entries_message(ward.sequence(), {}));
    while (!listener->overrun()) {
      if (listener->empty()) {
        listener->wake().expires_after(ping_every);
        co_await listener->wake().async_wait(waits);
        if (listener->empty() && !listener->overrun()) listener->tell(": still here\n\n");
      }
      const std::string text = listener->take();
      if (text.empty()) continue;
      stream.expires_after(slowest_client);
      const auto [failure, bytes] = co_await asio::async_write(stream, asio::buffer(text), waits);
      if (failure) break;
    }
    listeners.remove(listener);
  }

  /// Only what went wrong, and never a name, an id or a body.
  static void log(const Request& request, const Reply& reply, std::chrono::steady_clock::time_point began) {
    if (reply.status < 400) return;
    const auto took = std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::steady_clock::now() - began);
    std::cerr << request.method.substr(0, 10) << ' ' << Routes::pattern(request.target) << ' ' << reply.status << ' '
              << took.count() << " ms\n";
  }
};

Checked<std::unique_ptr<Server>> Server::start(Options options) {
  // The address is looked at before the ledger is read: a refusal must not take a long read first.
  if (const auto endpoint = loopback_endpoint(options); !endpoint) return refuse(endpoint.error());
  auto impl = std::make_unique<Impl>(std::move(options));
  if (auto bound = impl->bind(); !bound) return refuse(bound.error());
  return std::unique_ptr<Server>(new Server(std::move(impl)));
}

Server::Server(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Server::~Server() = default;

unsigned short Server::port() const { return impl_->acceptor.local_endpoint().port(); }

void Server::run() {
  impl_->signals.async_wait([this](const boost::system::error_code& failure, int) {
    if (!failure) impl_->shut();
  });
  asio::co_spawn(impl_->io, impl_->accept(), asio::detached);
  asio::co_spawn(impl_->io, impl_->look_for_entries(), asio::detached);
  asio::co_spawn(impl_->io, impl_->tend_every_minute(), asio::detached);
  if (impl_->options.announcements) asio::co_spawn(impl_->io, impl_->listen_for_entries(), asio::detached);
  impl_->io.run();
  impl_->writing.join();
  impl_->keep_cache();
}

void Server::stop() {
  asio::post(impl_->io, [this] { impl_->shut(); });
}

}  // namespace dwell::server
