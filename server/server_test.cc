// The server over real sockets on the loopback.
#include "server/server.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <filesystem>
#include <thread>

#include "demo/demo_ward.h"
#include "exchange/library.h"
#include "json/codec.h"

namespace dwell::server {
namespace {

namespace http = boost::beast::http;
using tcp = boost::asio::ip::tcp;
using Response = http::response<http::string_body>;

Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

const PageFile one_page[] = {{"/index.html", "text/html; charset=utf-8", "\"tag\"", "<p>page</p>", "gz", "br"}};

class ServerTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / ("dwell-server-test-" + std::to_string(getpid()));
    std::filesystem::create_directories(folder_);
    path_ = (folder_ / "ward.sqlite").string();
    ledger_ = std::move(*ledger::open_sqlite(path_));
    ASSERT_TRUE(ledger_->append(demo::demo_ward(moment(), 5), moment()));
    server_ = std::move(*Server::start(options()));
    runner_ = std::thread([this] { server_->run(); });
  }
  void TearDown() override {
    server_->stop();
    runner_.join();
    std::filesystem::remove_all(folder_);
  }

  [[nodiscard]] Options options() const {
    Options o;
    o.ledger = ledger_;
    o.library = exchange::default_library();
    o.page = one_page;
    o.demo = true;
    o.place = demo::demo_place();
    o.time_zone = "Etc/UTC";
    o.clock = moment;
    o.note_pdf = [](const document::Note&) { return std::string("%PDF-note"); };
    o.label_pdf = [](const document::Label&) { return std::string("%PDF-label"); };
    return o;
  }

  struct Ask {
    std::string method = "GET", target, body, host = "127.0.0.1", content_type = "application/json", origin;
    std::map<std::string, std::string> headers;
  };

  [[nodiscard]] Response ask(const Ask& a) const {
    boost::asio::io_context io;
    tcp::socket socket(io);
    socket.connect({boost::asio::ip::make_address("127.0.0.1"), server_->port()});
    http::request<http::string_body> request{http::string_to_verb(a.method), a.target, 11};
    request.set(http::field::host, a.host + ":" + std::to_string(server_->port()));
    if (!a.content_type.empty() && a.method == "POST") request.set(http::field::content_type, a.content_type);
    if (!a.origin.empty()) request.set(http::field::origin, a.origin);
    for (const auto& [name, value] : a.headers) request.set(name, value);
    request.body() = a.body;
    request.prepare_payload();
    // A server that refuses a large body may answer before all of it was sent.
    boost::beast::error_code cut_short;
    http::write(socket, request, cut_short);
    boost::beast::flat_buffer buffer;
    http::response_parser<http::string_body> parser;
    parser.skip(a.method == "HEAD");
    parser.body_limit(64 * 1024 * 1024);
    http::read(socket, buffer, parser);
    return parser.release();
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
  [[nodiscard]] std::string some_line() const { return ledger_->read_after(0, 1).front().event.line; }

  std::filesystem::path folder_;
  std::string path_;
  std::shared_ptr<ledger::Ledger> ledger_;
  std::unique_ptr<Server> server_;
  std::thread runner_;
};

TEST_F(ServerTest, AnswersEveryAddressOfItsContract) {
  const std::string line = some_line();
  for (const auto& target :
       {std::string("/"), std::string("/api/about"), std::string("/api/library"), std::string("/api/engine"),
        std::string("/api/ward"), "/api/lines/" + line, "/api/lines/" + line + "/note.txt",
        "/api/lines/" + line + "/note.pdf", std::string("/api/learn?group_by=gauge")}) {
    const auto r = get(target);
    EXPECT_EQ(r.result_int(), 200u) << target << r.body();
    EXPECT_NE(r["Content-Security-Policy"].find("default-src 'none'"), boost::beast::string_view::npos) << target;
    EXPECT_EQ(r["X-Content-Type-Options"], "nosniff") << target;
  }
  const auto ward = *json::parse_text(get("/api/ward").body());
  EXPECT_EQ(ward.at("states").as_array().size(), 16u);
}

TEST_F(ServerTest, CallsTheEngine) {
  const auto good = post("/api/engine/dosing.rate", R"({"volume":"1 L","duration":"8 h"})");
  EXPECT_EQ(good.result_int(), 200u);
  EXPECT_NE(good.body().find("125 mL/h"), std::string::npos);
  const auto bad = post("/api/engine/dosing.rate", R"({"volume":"much"})");
  EXPECT_EQ(bad.result_int(), 422u);
  EXPECT_NE(bad.body().find("/volume"), std::string::npos);
  EXPECT_EQ(post("/api/engine/no.such", "{}").result_int(), 404u);
  EXPECT_EQ(post("/api/engine/dosing.rate", "{").result_int(), 422u);
}

TEST_F(ServerTest, AppendsOnceAndShowsItAtOnce) {
  const auto body = note(some_line(), 1);
  const auto first = post("/api/events", body);
  ASSERT_EQ(first.result_int(), 200u) << first.body();
  EXPECT_NE(post("/api/events", body).body().find("\"written\":[]"), std::string::npos);
  EXPECT_NE(get("/api/lines/" + some_line()).body().find("all is well"), std::string::npos);
  EXPECT_EQ(post("/api/events", R"([{"id":"x"}])").result_int(), 422u);
}

TEST_F(ServerTest, RefusesWhatComesFromElsewhere) {
  Ask rebound;
  rebound.target = "/api/ward";
  rebound.host = "ward.example";
  EXPECT_EQ(ask(rebound).result_int(), 421u);
  Ask foreign;
  foreign.method = "POST";
  foreign.target = "/api/events";
  foreign.body = note(some_line(), 2);
  foreign.origin = "http://ward.example";
  EXPECT_EQ(ask(foreign).result_int(), 403u);
  foreign.origin.clear();
  foreign.headers["Sec-Fetch-Site"] = "cross-site";
  EXPECT_EQ(ask(foreign).result_int(), 403u);
  foreign.headers.clear();
  foreign.content_type = "text/plain";
  EXPECT_EQ(ask(foreign).result_int(), 415u);
}

TEST_F(ServerTest, RefusesWhatIsTooLargeUnknownOrMisused) {
  EXPECT_EQ(post("/api/events", std::string(1100 * 1024, ' ')).result_int(), 413u);
  EXPECT_EQ(get("/api/nothing").result_int(), 404u);
  EXPECT_EQ(get("/../../etc/passwd").result_int(), 404u);
  EXPECT_EQ(get("/api/lines/nobody").result_int(), 404u);
  const auto wrong = get("/api/events");
  EXPECT_EQ(wrong.result_int(), 405u);
  EXPECT_EQ(wrong["Allow"], "POST");
}

TEST_F(ServerTest, ServesThePageCompressedAndOnlyOnce) {
  Ask a;
  a.target = "/";
  a.headers["Accept-Encoding"] = "gzip, br";
  const auto br = ask(a);
  EXPECT_EQ(br.body(), "br");
  EXPECT_EQ(br["Content-Encoding"], "br");
  a.headers["If-None-Match"] = std::string(br["ETag"]);
  EXPECT_EQ(ask(a).result_int(), 304u);
  Ask head;
  head.method = "HEAD";
  head.target = "/";
  EXPECT_EQ(ask(head)["Content-Length"], "11");
}

/// Reads a live stream until it has heard `part`, or three seconds have passed.
bool hears(tcp::socket& socket, const std::string& part, std::string& heard) {
  const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(3);
  socket.non_blocking(true);
  while (std::chrono::steady_clock::now() < until) {
    char bytes[4096];
    boost::system::error_code failure;
    const auto n = socket.read_some(boost::asio::buffer(bytes), failure);
    if (n > 0) heard.append(bytes, n);
    if (heard.find(part) != std::string::npos) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return false;
}

TEST_F(ServerTest, TheLiveStreamHearsAppendsOfThisAndOfOtherProcesses) {
  boost::asio::io_context io;
  tcp::socket socket(io);
  socket.connect({boost::asio::ip::make_address("127.0.0.1"), server_->port()});
  const std::string asked = "GET /api/live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n";
  boost::asio::write(socket, boost::asio::buffer(asked));
  std::string heard;
  ASSERT_TRUE(hears(socket, "event: entries", heard));
  heard.clear();
  ASSERT_EQ(post("/api/events", note(some_line(), 3)).result_int(), 200u);
  EXPECT_TRUE(hears(socket, some_line(), heard));
  heard.clear();
  const auto other = std::move(*ledger::open_sqlite(path_));
  const auto body = json::decode<std::vector<line::Event>>(*json::parse_text(note(some_line(), 4)));
  ASSERT_TRUE(other->append(*body, moment()));
  EXPECT_TRUE(hears(socket, some_line(), heard));
}

TEST_F(ServerTest, ManyWritersLoseNothing) {
  const auto before = ledger_->last_sequence();
  const std::string line = some_line();
  std::vector<std::thread> writers;
  for (std::uint64_t w = 0; w < 4; ++w)
    writers.emplace_back([&, w] {
      for (std::uint64_t i = 0; i < 10; ++i)
        EXPECT_EQ(post("/api/events", note(line, 100 + w * 10 + i)).result_int(), 200u);
    });
  for (auto& writer : writers) writer.join();
  EXPECT_EQ(ledger_->last_sequence(), before + 40);
  EXPECT_FALSE(ledger_->verify([](ledger::VerifyProgress) {}).first_bad);
}

TEST_F(ServerTest, OtherAddressesAndTakenPortsAreRefused) {
  auto o = options();
  o.address = "0.0.0.0";
  EXPECT_EQ(Server::start(std::move(o)).error().front().path, "/address");
  o = options();
  o.port = server_->port();
  EXPECT_EQ(Server::start(std::move(o)).error().front().path, "/port");
}

}  // namespace
}  // namespace dwell::server
