#pragma once
// A server over real sockets on the loopback, on an invented ward, for the tests of this folder.
#include <gtest/gtest.h>
#include <unistd.h>

#include <boost/asio/buffer.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <filesystem>
#include <thread>

#include "demo/demo_ward.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "server/server.h"

namespace dwell::server {

namespace http = boost::beast::http;
using tcp = boost::asio::ip::tcp;
using Response = http::response<http::string_body>;

inline Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

inline const PageFile one_page[] = {{"/index.html", "text/html; charset=utf-8", "\"tag\"", "<p>page</p>", "gz", "br"}};

class ServerTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / ("dwell-server-test-" + std::to_string(getpid()));
    std::filesystem::create_directories(folder_);
    path_ = (folder_ / "ward.sqlite").string();
    ledger_ = std::move(*ledger::open_sqlite(path_));
    ASSERT_TRUE(ledger_->append(demo::demo_ward(moment(), 5), moment()));
    begin(options());
  }
  void TearDown() override {
    end();
    std::filesystem::remove_all(folder_);
  }
  void begin(Options o) {
    server_ = std::move(*Server::start(std::move(o)));
    runner_ = std::thread([this] { server_->run(); });
  }
  void end() {
    server_->stop();
    runner_.join();
  }
  void begin_again(Options o) {
    end();
    begin(std::move(o));
  }

  [[nodiscard]] Options options() const {
    Options o;
    o.ledger = ledger_;
    o.library = exchange::default_library();
    o.standard_policy = o.library.policy;
    o.page = one_page;
    o.demo = true;
    o.place = demo::demo_place();
    o.time_zone = "Etc/UTC";
    o.clock = moment;
    o.note_pdf = [](const document::Note&, const said::Reader& by) { return "%PDF-note-" + by.language; };
    o.handover_pdf = [](const document::HandoverSheet&, const said::Reader& by) {
      return "%PDF-handover-" + by.language;
    };
    o.label_pdf = [](const document::Label&, document::LabelSize, const said::Reader& by) {
      return "%PDF-label-" + by.language;
    };
    o.note_text = [](const document::Note& note, const said::Reader& by) { return said::said(note.title, by); };
    o.label_text = [](const document::Label& label, const said::Reader& by) { return said::said(label.text, by); };
    return o;
  }

  struct Ask {
    std::string method = "GET", target, body, host = "127.0.0.1", content_type = "application/json", origin;
    std::map<std::string, std::string> headers;
  };

  [[nodiscard]] http::request<http::string_body> request_of(const Ask& a) const {
    http::request<http::string_body> request{http::string_to_verb(a.method), a.target, 11};
    request.set(http::field::host, a.host + ":" + std::to_string(server_->port()));
    if (!a.content_type.empty() && a.method == "POST") request.set(http::field::content_type, a.content_type);
    if (!a.origin.empty()) request.set(http::field::origin, a.origin);
    for (const auto& [name, value] : a.headers) request.set(name, value);
    request.body() = a.body;
    request.prepare_payload();
    return request;
  }
  template <class Stream>
  [[nodiscard]] static Response heard(Stream& stream, const Ask& a) {
    boost::beast::flat_buffer buffer;
    http::response_parser<http::string_body> parser;
    parser.skip(a.method == "HEAD");
    parser.body_limit(64 * 1024 * 1024);
    http::read(stream, buffer, parser);
    return parser.release();
  }
  [[nodiscard]] Response ask(const Ask& a) const {
    boost::asio::io_context io;
    tcp::socket socket = connected(io);
    // A server that refuses a large body may answer before all of it was sent.
    boost::beast::error_code cut_short;
    auto request = request_of(a);
    http::write(socket, request, cut_short);
    return heard(socket, a);
  }
  [[nodiscard]] Response get(const std::string& target) const {
    Ask a;
    a.target = target;
    return ask(a);
  }
  [[nodiscard]] Response post(const std::string& target, const std::string& body) const {
    Ask a;
    a.method = "POST";
    a.target = target;
    a.body = body;
    return ask(a);
  }

  /// What comes back, until the other end closes, for bytes as they are: for what no library would send.
  [[nodiscard]] std::string raw(const std::string& sent) const {
    boost::asio::io_context io;
    tcp::socket socket = connected(io);
    boost::system::error_code failure;
    boost::asio::write(socket, boost::asio::buffer(sent), failure);
    std::string heard;
    boost::asio::read(socket, boost::asio::dynamic_buffer(heard), failure);
    return heard;
  }
  [[nodiscard]] tcp::socket connected(boost::asio::io_context& io) const {
    tcp::socket socket(io);
    socket.connect({boost::asio::ip::make_address("127.0.0.1"), server_->port()});
    return socket;
  }
  [[nodiscard]] static json::Value body(const Response& response) { return *json::parse_text(response.body()); }

  [[nodiscard]] static std::string note(const std::string& line, std::uint64_t number) {
    line::Event e;
    e.id = line::make_id(
        moment(), {1, 2, 3, 4, 5, 6, 7, 8, static_cast<std::uint8_t>(number >> 8), static_cast<std::uint8_t>(number)});
    e.line = line;
    e.occurred_at = e.recorded_at = moment();
    e.author = "M. Koller";
    e.device = "test";
    e.body = line::Noted{"all is well"};
    return json::to_text(json::encode(std::vector{e}));
  }
  [[nodiscard]] std::string some_line() const { return ledger_->read_after(0, 1).front().line; }

  std::filesystem::path folder_;
  std::string path_;
  std::shared_ptr<ledger::Ledger> ledger_;
  std::unique_ptr<Server> server_;
  std::thread runner_;
};

}  // namespace dwell::server
