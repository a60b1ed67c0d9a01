#include "server/server.h"

#include <fcntl.h>

#include <algorithm>
#include <array>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/core/detect_ssl.hpp>
#include <boost/beast/http.hpp>
#include <csignal>
#include <iostream>
#include <list>
#include <optional>
#include <random>
#include <sstream>
#include <utility>

#include "exchange/said/said.h"
#include "say/record.h"
#include "server/charting.h"
#include "server/connection.h"
#include "server/gate.h"
#include "server/head.h"
#include "server/lane.h"
#include "server/live.h"
#include "server/measures.h"
#include "server/replies.h"
#include "server/routes.h"
#include "server/watch.h"
#include "server/wire.h"

namespace dwell::server {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using tcp = asio::ip::tcp;
using Parser = http::request_parser<http::string_body>;
using namespace std::chrono_literals;

constexpr auto waits = asio::as_tuple(asio::use_awaitable);
constexpr std::uint32_t most_header = 16 * 1024;
constexpr auto slowest_client = 30s;  ///< to say the next request, and to take an answer
constexpr auto slowest_body = 60s;
constexpr auto slowest_handshake = 10s;
constexpr auto look_every = 1s;
constexpr auto longest_farewell = 10s;  ///< of answers that are being made when the server is told to stop

Checked<tcp::endpoint> endpoint_of(const Options& options) {
  boost::system::error_code failure;
  const auto address = asio::ip::make_address(options.address == "localhost" ? "127.0.0.1" : options.address, failure);
  if (failure)
    return refuse("/address", options.address, in_english_only("an address such as 127.0.0.1, ::1 or 0.0.0.0"));
  if (options.accounts && !options.tls)
    return refuse("/certificate", "", in_english_only("a certificate and its key: who signs in does so over TLS"));
  if (!address.is_loopback() && (!options.tls || !options.accounts || options.demo))
    return refuse("/address", options.address,
                  in_english_only(
                      "127.0.0.1 or ::1; without a certificate and accounts Dwell listens on the machine itself only"));
  return tcp::endpoint(address, options.port);
}

/// What an answer comes to, made on the thread that answered.
struct Answered {
  Response response;
  bool changed = false;
};

}  // namespace

struct Server::Impl {
  Options options;
  Watch watch;
  Charting charting_desk;
  Gate gate;
  Measures measures;
  Routes routes;
  Listeners listeners;
  std::list<Connection*> idle;  ///< connections that say nothing, the longest first
  asio::io_context io{1};
  tcp::acceptor acceptor{io};
  asio::signal_set signals{io, SIGINT, SIGTERM}, renewed{io};
  asio::steady_timer look{io}, minute{io}, certificate{io};
  bool look_at_once = false;
  std::size_t connections = 0, turned_away = 0, answering = 0;
  std::uint64_t asked = 0, first_id = std::random_device()();  ///< so that the ids of two starts differ
  std::optional<asio::posix::stream_descriptor> listening;
  asio::posix::stream_descriptor spare{io};  ///< given up for a moment when there are no descriptors left
  // Those who wait for one commit together; those who look; those who compute; those who look for entries.
  // A password takes much memory to look at, so only two are looked at at once.
  Lane charting{io, 16, 512}, looking{io, 2, 512}, computing{io, 2, 32}, watching{io, 2, 8}, signing_in{io, 2, 32};

  explicit Impl(Options given)
      : options(with_a_way_to_read(std::move(given))),
        watch(*options.reading, options.library, options.clock()),
        charting_desk(*options.ledger, watch, options.clock),
        gate(options.accounts, options.audit),
        routes(options, watch, charting_desk, gate, measures) {
    watch.keep();
    keep_a_spare();
  }

  static Options with_a_way_to_read(Options options) {
    if (!options.reading) options.reading = options.ledger;
    return options;
  }

  Checked<void> bind() {
    const auto endpoint = endpoint_of(options);
    if (!endpoint) return refuse(endpoint.error());
    boost::system::error_code failure;
    acceptor.open(endpoint->protocol(), failure);
    if (!failure) acceptor.set_option(tcp::acceptor::reuse_address(true), failure);
    if (!failure) acceptor.bind(*endpoint, failure);
    if (!failure) acceptor.listen(asio::socket_base::max_listen_connections, failure);
    if (!failure) acceptor.non_blocking(true, failure);
    if (failure == asio::error::address_in_use)
      return refuse("/port", std::to_string(options.port),
                    in_english_only("a port that no other program uses; give another with --port"));
    if (failure)
      return refuse("/port", std::to_string(options.port),
                    in_english_only("a port that can be used (" + failure.message() + ")"));
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
    renewed.cancel(ignored);
    certificate.cancel();
    asio::co_spawn(io, farewell(), asio::detached);
  }

  /// Whoever was asked something gives the answer still, up to a limit; then all ends.
  asio::awaitable<void> farewell() {
    const auto until = std::chrono::steady_clock::now() + longest_farewell;
    asio::steady_timer moment(io);
    do {
      moment.expires_after(100ms);
      co_await moment.async_wait(waits);
    } while (answering > 0 && std::chrono::steady_clock::now() < until);
    io.stop();
  }

  // ---- who comes ----

  asio::awaitable<void> accept() {
    while (acceptor.is_open()) {
      auto [failure, socket] = co_await acceptor.async_accept(waits);
      if (failure)
        co_await go_on_after(failure);
      else if (connections < options.most_connections || make_room())
        asio::co_spawn(io, session(std::move(socket)), asio::detached);
      else
        asio::co_spawn(io, turn_away(std::move(socket)), asio::detached);
    }
  }

  /// The connection that has been silent for longest makes room for one that may have something to say.
  bool make_room() {
    if (idle.empty()) return false;
    Connection* longest = idle.front();
    idle.pop_front();
    longest->cancel();
    return true;
  }

  void keep_a_spare() {
    if (spare.is_open()) return;
    if (const int descriptor = ::open("/dev/null", O_RDONLY | O_CLOEXEC); descriptor >= 0) spare.assign(descriptor);
  }

  /// Whoever waits to be accepted is told to come again, on the spare descriptor, and the rest wait a moment: a failing
  /// accept that is tried again at once would take the whole thread.
  asio::awaitable<void> go_on_after(boost::system::error_code failure) {
    if (!acceptor.is_open()) co_return;
    if (failure == asio::error::no_descriptors && spare.is_open()) {
      boost::system::error_code ignored;
      spare.close(ignored);
      tcp::socket socket(io);
      acceptor.accept(socket, ignored);
      if (!ignored) asio::co_spawn(io, turn_away(std::move(socket)), asio::detached);
    }
    asio::steady_timer pause(io, 100ms);
    co_await pause.async_wait(waits);
    keep_a_spare();
  }

  asio::awaitable<void> turn_away(tcp::socket socket) {
    constexpr std::size_t most_at_once = 64;
    // What is said before a handshake would be no TLS: such a connection is only closed.
    measures.turned_away();
    if (turned_away >= most_at_once || options.tls) co_return;
    ++turned_away;
    Connection stream(std::move(socket));
    // Named, because GCC 12 destroys temporaries twice that live across a co_await.
    const Reply reply = try_again("", "", say::another_to_end());
    const Request unread;
    co_await refuse_and_close(stream, reply, unread, 500ms);
    --turned_away;
  }

  asio::awaitable<void> session(tcp::socket socket) {
    measures.connections(++connections);
    Connection stream =
        options.tls ? Connection(std::move(socket), options.tls->context()) : Connection(std::move(socket));
    beast::flat_buffer buffer;
    try {
      bool more = !stream.is_secure() || co_await shake_hands(stream, buffer);
      while (more) more = co_await one_request(stream, buffer);
    } catch (const std::exception& e) {
      std::cerr << "a connection ended by a fault: " << e.what() << '\n';
    }
    if (stream.is_secure()) {
      stream.expires_after(1s);
      co_await stream.async_shutdown(waits);
    }
    boost::system::error_code ignored;
    stream.bare().socket().shutdown(tcp::socket::shutdown_both, ignored);
    measures.connections(--connections);
  }

  /// Whether the connection is secure now. Until it is, it counts among those that say nothing.
  asio::awaitable<bool> shake_hands(Connection& stream, beast::flat_buffer& buffer) {
    const auto place = idle.insert(idle.end(), &stream);
    stream.expires_after(slowest_handshake);
    auto [failure, is_tls] = co_await beast::async_detect_ssl(stream.bare(), buffer, waits);
    if (!failure && is_tls) {
      const auto [refused, used] = co_await stream.async_handshake(buffer.data(), waits);
      failure = refused;
      buffer.consume(used);
    }
    if (std::find(idle.begin(), idle.end(), &stream) != idle.end()) idle.erase(place);
    if (!failure && !is_tls) co_await refuse_plain(stream);
    co_return !failure && is_tls;
  }

  /// Whoever speaks without TLS is told so, in the only way in which she can hear it.
  static asio::awaitable<void> refuse_plain(Connection& stream) {
    static constexpr std::string_view sentence =
        "HTTP/1.1 400 Bad Request\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Length: 61\r\n"
        "Connection: close\r\n\r\nThis server speaks TLS only: begin the address with https://\n";
    stream.expires_after(slowest_client);
    co_await asio::async_write(stream.bare(), asio::buffer(sentence), waits);
    co_await drain(stream, 500ms);
  }

  // ---- a request ----

  /// Whether another may follow on this connection.
  asio::awaitable<bool> one_request(Connection& stream, beast::flat_buffer& buffer) {
    Parser parser;
    parser.header_limit(most_header);
    parser.body_limit(line::largest_photo);
    beast::error_code failure = co_await read_head(stream, buffer, parser);
    std::optional<Reply> refused;
    if (!failure) refused = refuse_head(parser.get(), stream.is_secure());
    Request request;
    if (!failure && !refused) {
      request = request_of(parser.get());
      request.secure = stream.is_secure();
      request.from_here = comes_from_here(stream);
      request.id = next_id();
      refused = routes.guard(request);
    }
    const auto began = std::chrono::steady_clock::now();
    if (!failure && !refused) failure = co_await read_body(stream, buffer, parser, Routes::most_body(request));
    // A client that went away or fell silent hears nothing more; whoever said what cannot be read is told so.
    const bool said = failure && failure.category() == http::make_error_code(http::error::body_limit).category() &&
                      failure != http::error::end_of_stream && failure != http::error::partial_message;
    if (failure && !said) co_return false;
    if (failure) refused = fault_reply(failure);
    if (refused) {
      write_down(request, refused->status, began);
      co_await refuse_and_close(stream, *refused, request, 2s);
      co_return false;
    }
    request.body = std::move(parser.get().body());
    if (Routes::is_live(request)) {
      co_await live(stream, request);
      co_return false;
    }
    ++answering;
    Answered answered = co_await answer(request, parser.get().version(), parser.get().keep_alive());
    write_down(request, answered.response.result_int(), began);
    if (answered.changed) look_soon();
    if (!acceptor.is_open()) answered.response.keep_alive(false);
    const bool more = co_await send(stream, answered.response, request.method == "HEAD");
    --answering;
    co_return more&& acceptor.is_open();
  }

  static bool comes_from_here(Connection& stream) {
    boost::system::error_code failure;
    const auto peer = stream.bare().socket().remote_endpoint(failure);
    return !failure && peer.address().is_loopback();
  }
  std::string next_id() {
    std::ostringstream id;
    id << std::hex << first_id << '-' << ++asked;
    return id.str();
  }

  asio::awaitable<beast::error_code> read_head(Connection& stream, beast::flat_buffer& buffer, Parser& parser) {
    const auto place = idle.insert(idle.end(), &stream);
    stream.expires_after(slowest_client);
    const auto [failure, bytes] = co_await http::async_read_header(stream, buffer, parser, waits);
    // Whoever was made to go to make room has left the list.
    if (std::find(idle.begin(), idle.end(), &stream) != idle.end()) idle.erase(place);
    co_return failure;
  }

  /// What was announced as longer than it may be is refused unread.
  static asio::awaitable<beast::error_code> read_body(Connection& stream, beast::flat_buffer& buffer, Parser& parser,
                                                      std::uint64_t most) {
    parser.body_limit(most);
    const auto announced = parser.content_length();
    if (announced && *announced > most) co_return http::make_error_code(http::error::body_limit);
    stream.expires_after(slowest_body);
    if (expects_to_be_told(parser.get()) && !parser.is_done()) {
      static constexpr std::string_view go_on = "HTTP/1.1 100 Continue\r\n\r\n";
      const auto [failure, bytes] = co_await asio::async_write(stream, asio::buffer(go_on), waits);
      if (failure) co_return failure;
    }
    const auto [failure, bytes] = co_await http::async_read(stream, buffer, parser, waits);
    co_return failure;
  }

  asio::awaitable<Answered> answer(const Request& request, unsigned version, bool keep_alive) {
    const auto made = [&, version, keep_alive](const Reply& reply) {
      return Answered{wire(reply, request, version, keep_alive), reply.changed};
    };
    const auto work = [&] { return made(guarded(request)); };
    const Way way = Routes::way(request);
    if (way == Way::at_once) co_return work();
    Lane& lane = way == Way::charting     ? charting
                 : way == Way::looking    ? looking
                 : way == Way::signing_in ? signing_in
                                          : computing;
    if (lane.full()) co_return made(try_again("", "", say::a_moments_wait()));
    co_return co_await lane.run(work);
  }

  /// On any thread. What goes wrong with the record is no fault of the request, which may be sent again.
  Reply guarded(const Request& request) const {
    try {
      return routes.answer(request);
    } catch (const ledger::Unreachable& e) {
      return try_again("/ledger", e.what(), say::a_record_that_can_be_reached());
    } catch (const std::exception& e) {
      std::cerr << "fault while answering " << Routes::pattern(request) << ": " << e.what() << '\n';
      // Nothing says whether it was kept: to be sent again, which is harmless.
      if (request.method == "POST" && Routes::way(request) == Way::charting)
        return try_again("", "", say::sent_again_and_told());
      return refusal(500, "", "", say::told_to_your_administrator());
    }
  }

  static asio::awaitable<bool> send(Connection& stream, Response& response, bool head_only) {
    http::response_serializer<http::string_body> serializer(response);
    serializer.split(head_only);
    stream.expires_after(slowest_client);
    const bool more = response.keep_alive();
    if (head_only) {
      const auto [failure, bytes] = co_await http::async_write_header(stream, serializer, waits);
      co_return !failure && more;
    }
    const auto [failure, bytes] = co_await http::async_write(stream, serializer, waits);
    co_return !failure && more;
  }

  static asio::awaitable<void> refuse_and_close(Connection& stream, const Reply& reply, const Request& request,
                                                std::chrono::milliseconds patience) {
    constexpr unsigned http_1_1 = 11;
    Response response = wire(reply, request, http_1_1, false);
    co_await send(stream, response, request.method == "HEAD");
    co_await drain(stream, patience);
  }

  /// Takes in what a client still sends after a refusal: closing at once would tear the refusal away from it.
  static asio::awaitable<void> drain(Connection& stream, std::chrono::milliseconds patience) {
    constexpr std::size_t most = 8 * 1024 * 1024;
    std::array<char, 16 * 1024> thrown_away{};
    boost::system::error_code ignored;
    stream.bare().socket().shutdown(tcp::socket::shutdown_send, ignored);
    stream.expires_after(patience);
    for (std::size_t taken = 0; taken < most;) {
      const auto [failure, bytes] = co_await stream.async_read_some(asio::buffer(thrown_away), waits);
      if (failure) co_return;
      taken += bytes;
    }
  }

  /// Server-sent events until the page goes away or does not keep up. Listeners leave room for those who ask.
  asio::awaitable<void> live(Connection& stream, const Request& request) {
    if (listeners.size() >= options.most_connections - options.most_connections / 4) {
      const Reply reply = try_again("", "", say::another_to_end());
      co_await refuse_and_close(stream, reply, request, 2s);
      co_return;
    }
    const std::optional<Reply> refused = co_await may_listen(request);
    if (refused) {
      co_await refuse_and_close(stream, *refused, request, 2s);
      co_return;
    }
    http::response<http::empty_body> head{http::status::ok, 11};
    for (const auto& [name, value] : Routes::common_headers(request.secure)) head.set(name, value);
    head.set(http::field::content_type, "text/event-stream");
    head.set(http::field::cache_control, "no-store");
    head.keep_alive(false);
    auto listener = std::make_shared<Listener>(stream.get_executor());
    listeners.add(listener);
    measures.listeners(listeners.size());
    http::response_serializer<http::empty_body> serializer(head);
    stream.expires_after(slowest_client);
    const auto [failure, bytes] = co_await http::async_write_header(stream, serializer, waits);
    if (!failure) {
      const Standing standing = watch.standing();
      listener->tell(entries_message(standing.sequence, {}));
      listener->tell(looked_message(standing));
      co_await tell(stream, *listener, request);
    }
    listeners.remove(listener);
    measures.listeners(listeners.size());
  }

  /// Why she may not hear news, or nothing; asked again from time to time, because sessions end.
  asio::awaitable<std::optional<Reply>> may_listen(const Request& request) {
    if (!gate.has_accounts()) co_return std::nullopt;
    const auto ask = [&] { return guarded_by([&]() -> std::optional<Reply> { return routes.refuse(request); }); };
    co_return co_await looking.run(ask);
  }
  /// Who cannot be asked for is let in by nobody.
  template <class Ask>
  static std::optional<Reply> guarded_by(const Ask& ask) {
    try {
      return ask();
    } catch (const std::exception&) {
      return try_again("/accounts", "", say::accounts_that_can_be_reached());
    }
  }

  asio::awaitable<void> tell(Connection& stream, Listener& listener, const Request& request) {
    while (!listener.overrun()) {
      if (listener.empty()) {
        listener.wake().expires_after(options.ping_every);
        co_await listener.wake().async_wait(waits);
        const std::optional<Reply> refused = co_await may_listen(request);
        if (refused) break;
        if (listener.empty() && !listener.overrun()) listener.tell(looked_message(watch.standing()));
      }
      const std::string text = listener.take();
      if (text.empty()) continue;
      stream.expires_after(slowest_client);
      const auto [failure, bytes] = co_await asio::async_write(stream, asio::buffer(text), waits);
      if (failure) break;
    }
  }

  // ---- the record, looked at on a thread of its own ----

  void look_soon() {
    look_at_once = true;
    look.cancel();
  }

  /// Entries that the command line or another server wrote reach the page too.
  asio::awaitable<void> look_for_entries() {
    const auto look_once = [this] { return watch.look(options.clock()); };
    while (acceptor.is_open()) {
      if (!std::exchange(look_at_once, false)) {
        look.expires_after(look_every);
        co_await look.async_wait(waits);
        look_at_once = false;
      }
      const Watch::Looked looked = co_await watching.run(look_once);
      if (looked.policy_changed) listeners.tell(policy_message);
      if (!looked.changed.empty()) listeners.tell(entries_message(looked.standing.sequence, looked.changed));
      if (looked.reachability_changed) listeners.tell(looked_message(looked.standing));
    }
  }

  /// Entries that another server wrote, at once. A connection that is lost is made anew; look_for_entries() goes on.
  asio::awaitable<void> listen_for_entries() {
    const auto connect = [this] { return options.announcements(); };
    while (acceptor.is_open()) {
      auto announcements = co_await watching.run(connect);
      if (announcements && acceptor.is_open()) co_await hear(**announcements);
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
      if (heard == ledger::Announcements::Heard::entries) look_soon();
    }
    listening->release();
    listening.reset();
  }

  asio::awaitable<void> tend_every_minute() {
    const auto tend = [this] {
      watch.keep();
      try {
        if (options.every_minute) options.every_minute();
      } catch (const std::exception& e) {
        std::cerr << "what is done each minute failed: " << e.what() << '\n';
      }
      return true;
    };
    while (acceptor.is_open()) {
      minute.expires_after(1min);
      co_await minute.async_wait(waits);
      if (acceptor.is_open()) co_await watching.run(tend);
    }
  }

  // ---- the certificate, which is renewed while all goes on ----

  void say_of_certificate(const Checked<bool>& reloaded) const {
    if (!reloaded)
      std::cerr << "dwell: the certificate stays as it was: " << reloaded.error().front().path << " "
                << reloaded.error().front().found << "; expected "
                << said::in_english(reloaded.error().front().expected) << std::endl;
    else if (*reloaded)
      std::cerr << "dwell: the certificate was renewed; it ends " << iso(options.tls->ends()) << std::endl;
  }

  /// When the files are others than before.
  asio::awaitable<void> tend_certificate() {
    while (acceptor.is_open()) {
      certificate.expires_after(options.look_at_certificate_every);
      co_await certificate.async_wait(waits);
      if (acceptor.is_open()) say_of_certificate(options.tls->reload_if_changed());
    }
  }

  /// And when whoever changed them says so.
  asio::awaitable<void> hear_of_certificate() {
    while (acceptor.is_open()) {
      const auto [failure, signal] = co_await renewed.async_wait(waits);
      if (failure) co_return;
      say_of_certificate(options.tls->reload().map([] { return true; }));
    }
  }

  /// Counts it, and says what went wrong in one line of JSON: never a name, an id of the record or a body.
  void write_down(const Request& request, unsigned status, std::chrono::steady_clock::time_point began) {
    const auto took = std::chrono::steady_clock::now() - began;
    const std::string route = Routes::pattern(request);
    measures.answered(request.method, route, status, took);
    if (status < 400) return;
    const json::Object line{{"at", iso(options.clock())},
                            {"request", request.id},
                            {"method", request.method.substr(0, 10)},
                            {"route", route},
                            {"status", status},
                            {"ms", std::chrono::duration_cast<std::chrono::milliseconds>(took).count()}};
    std::cerr << json::to_text(line) << std::endl;
  }
};

Checked<std::unique_ptr<Server>> Server::start(Options options) {
  // The address is looked at before the ledger is read: a refusal must not take a long read first.
  if (const auto endpoint = endpoint_of(options); !endpoint) return refuse(endpoint.error());
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
  if (impl_->options.tls) {
    impl_->renewed.add(SIGHUP);
    asio::co_spawn(impl_->io, impl_->tend_certificate(), asio::detached);
    asio::co_spawn(impl_->io, impl_->hear_of_certificate(), asio::detached);
  }
  if (impl_->options.announcements) asio::co_spawn(impl_->io, impl_->listen_for_entries(), asio::detached);
  impl_->io.run();
  for (Lane* lane : {&impl_->charting, &impl_->looking, &impl_->computing, &impl_->watching, &impl_->signing_in})
    lane->join();
  impl_->watch.keep();
}

void Server::stop() {
  asio::post(impl_->io, [this] { impl_->shut(); });
}

}  // namespace dwell::server
