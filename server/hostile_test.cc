// Requests that are meant to hurt, or come from a broken device: the others go on.
#include <sys/resource.h>

#include <boost/asio/read_until.hpp>
#include <future>

#include "server/charting.h"
#include "server/test_server.h"

namespace dwell::server {
namespace {

class HostileTest : public ServerTest {
 protected:
  [[nodiscard]] std::string host() const { return "Host: 127.0.0.1:" + std::to_string(server_->port()) + "\r\n"; }
  [[nodiscard]] static std::string hear(tcp::socket& socket, const std::string& until) {
    std::string heard;
    boost::system::error_code failure;
    boost::asio::read_until(socket, boost::asio::dynamic_buffer(heard), until, failure);
    return heard;
  }
  static void say(tcp::socket& socket, const std::string& text) {
    boost::asio::write(socket, boost::asio::buffer(text));
  }
  /// A connection that is in the middle of a request, and so neither silent nor done.
  [[nodiscard]] tcp::socket in_the_middle(boost::asio::io_context& io) const {
    tcp::socket socket = connected(io);
    say(socket, "POST /api/events HTTP/1.1\r\n" + host() +
                    "Content-Type: application/json\r\nContent-Length: 2\r\nExpect: 100-continue\r\n\r\n");
    EXPECT_TRUE(hear(socket, "\r\n\r\n").starts_with("HTTP/1.1 100 "));
    return socket;
  }
};

// RFC 9112, section 11.2: requests that two programs read in two ways.
TEST_F(HostileTest, WhatCanBeReadInTwoWaysIsRefusedAndTheConnectionClosed) {
  const std::string post = "POST /api/events HTTP/1.1\r\n" + host() + "Content-Type: application/json\r\n";
  for (const auto& request :
       {post + "Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        post + "Transfer-Encoding: gzip\r\n\r\n[]", post + "Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n",
        post + "Content-Length: 2\r\nContent-Length: 2\r\n\r\n[]", post + host() + "Content-Length: 2\r\n\r\n[]",
        post + "Origin: http://a\r\nOrigin: http://b\r\nContent-Length: 2\r\n\r\n[]",
        std::string("GET /api/about HTTP/1.1\r\n\r\n"), "GET /api/%zz HTTP/1.1\r\n" + host() + "\r\n",
        "GET /api/%00 HTTP/1.1\r\n" + host() + "\r\n", "GET api/about HTTP/1.1\r\n" + host() + "\r\n",
        "GET / HTTP/1.1\r\n" + host() + "no colon\r\n\r\n"}) {
    const auto answer = raw(request + "GET /api/about HTTP/1.1\r\n" + host() + "\r\n");
    EXPECT_TRUE(answer.starts_with("HTTP/1.1 400 ")) << request << answer;
    EXPECT_NE(answer.find("Connection: close"), std::string::npos) << request;
    EXPECT_EQ(answer.find("HTTP/1.1 200"), std::string::npos) << "what came behind it is not a request";
  }
}

TEST_F(HostileTest, AnAbsoluteTargetCountsForTheHost) {
  const std::string own = "http://127.0.0.1:" + std::to_string(server_->port());
  const std::string rest = "Connection: close\r\n\r\n";
  EXPECT_TRUE(raw("GET " + own + "/api/about HTTP/1.1\r\nHost: ward.example\r\n" + rest).starts_with("HTTP/1.1 200 "));
  EXPECT_TRUE(raw("GET http://ward.example/api/about HTTP/1.1\r\n" + host() + rest).starts_with("HTTP/1.1 421 "));
}

TEST_F(HostileTest, TellsWhoWaitsWithTheBodyToGoOnOrNotTo) {
  boost::asio::io_context io;
  tcp::socket socket = in_the_middle(io);
  say(socket, "[]");
  EXPECT_TRUE(hear(socket, "\r\n\r\n").starts_with("HTTP/1.1 200 "));
  const auto too_large =
      raw("POST /api/events HTTP/1.1\r\n" + host() +
          "Content-Type: application/json\r\nContent-Length: 99999999\r\nExpect: 100-continue\r\n\r\n");
  EXPECT_TRUE(too_large.starts_with("HTTP/1.1 413 ")) << too_large;
  EXPECT_TRUE(raw("GET / HTTP/1.1\r\n" + host() + "Expect: a-miracle\r\n\r\n").starts_with("HTTP/1.1 417 "));
}

TEST_F(HostileTest, ConnectionsBeyondTheLimitAreToldSo) {
  auto o = options();
  o.most_connections = 4;
  begin_again(std::move(o));
  boost::asio::io_context io;
  std::vector<tcp::socket> held;
  for (int i = 0; i < 4; ++i) held.push_back(in_the_middle(io));
  const auto answer = get("/api/about");
  EXPECT_EQ(answer.result_int(), 503u);
  EXPECT_FALSE(answer["Retry-After"].empty());
  say(held.back(), "[]");
  EXPECT_TRUE(hear(held.back(), "\r\n\r\n").starts_with("HTTP/1.1 200 "));
}

TEST_F(HostileTest, SilentConnectionsMakeRoom) {
  auto o = options();
  o.most_connections = 4;
  begin_again(std::move(o));
  boost::asio::io_context io;
  std::vector<tcp::socket> silent;
  for (int i = 0; i < 12; ++i) {
    silent.push_back(connected(io));
    EXPECT_EQ(get("/api/about").result_int(), 200u) << i;
  }
}

TEST_F(HostileTest, ListenersLeaveRoomForWhoAsks) {
  auto o = options();
  o.most_connections = 4;
  begin_again(std::move(o));
  boost::asio::io_context io;
  std::vector<tcp::socket> listeners;
  for (int i = 0; i < 3; ++i) {
    listeners.push_back(connected(io));
    say(listeners.back(), "GET /api/live HTTP/1.1\r\n" + host() + "\r\n");
    EXPECT_TRUE(hear(listeners.back(), "event: looked").starts_with("HTTP/1.1 200 "));
  }
  EXPECT_TRUE(raw("GET /api/live HTTP/1.1\r\n" + host() + "\r\n").starts_with("HTTP/1.1 503 "));
  EXPECT_EQ(get("/api/about").result_int(), 200u);
}

/// At most so many descriptors, until it goes.
class FewDescriptors {
 public:
  explicit FewDescriptors(rlim_t most) {
    getrlimit(RLIMIT_NOFILE, &before_);
    const rlimit few{most, before_.rlim_max};
    setrlimit(RLIMIT_NOFILE, &few);
  }
  FewDescriptors(const FewDescriptors&) = delete;
  FewDescriptors& operator=(const FewDescriptors&) = delete;
  ~FewDescriptors() { setrlimit(RLIMIT_NOFILE, &before_); }

 private:
  rlimit before_{};
};

// Accepting fails at once and again while there is no descriptor: once that took the whole thread, and nobody was
// answered. The time of the processor is counted, not the time that passes.
TEST_F(HostileTest, WithoutDescriptorsSomebodyIsToldAndTheServerRests) {
  if (std::string_view(DWELL_SANITIZE).find("address") != std::string_view::npos)
    GTEST_SKIP() << "the sanitizers need descriptors of their own to look at memory";
  boost::asio::io_context io;
  tcp::socket probe = connected(io);
  EXPECT_EQ(get("/api/about").result_int(), 200u);
  {
    tcp::socket turned_away(io), waiting(io);
    turned_away.open(tcp::v4());
    waiting.open(tcp::v4());
    const auto highest = static_cast<rlim_t>(std::max(turned_away.native_handle(), waiting.native_handle()));
    // Fill what is free below the highest, so that the next descriptor would be above it.
    std::vector<tcp::socket> filling;
    const FewDescriptors few(highest + 1);
    boost::system::error_code none_left;
    while (!none_left) filling.emplace_back(io).open(tcp::v4(), none_left);
    const tcp::endpoint server{boost::asio::ip::make_address("127.0.0.1"), server_->port()};
    turned_away.connect(server);
    EXPECT_TRUE(hear(turned_away, "\r\n\r\n").starts_with("HTTP/1.1 503 "));
    waiting.connect(server);
    rusage before{}, after{};
    getrusage(RUSAGE_SELF, &before);
    std::this_thread::sleep_for(std::chrono::seconds(1));
    getrusage(RUSAGE_SELF, &after);
    const auto used = [](const rusage& r) {
      return static_cast<double>(r.ru_utime.tv_sec + r.ru_stime.tv_sec) +
             static_cast<double>(r.ru_utime.tv_usec + r.ru_stime.tv_usec) / 1e6;
    };
    EXPECT_LT(used(after) - used(before), 0.5) << "seconds of the processor in one";
  }
  EXPECT_EQ(get("/api/about").result_int(), 200u) << "and goes on when there are some again";
}

// Two long sums once stopped every page for a minute.
TEST_F(HostileTest, LongWorkHoldsUpNeitherChartingNorTheWard) {
  std::promise<void> release;
  const std::shared_future<void> released = release.get_future().share();
  auto o = options();
  o.note_pdf = [released](const document::Note&, const said::Reader&) {
    released.wait();
    return std::string("%PDF-note");
  };
  begin_again(std::move(o));
  const std::string line = some_line();
  std::vector<std::future<unsigned>> papers;
  for (int i = 0; i < 40; ++i)
    papers.push_back(
        std::async(std::launch::async, [&] { return get("/api/lines/" + line + "/note.pdf").result_int(); }));
  // More than the lane holds: some are told to come again, while the others still wait.
  const auto told_already = [&] {
    return std::count_if(papers.begin(), papers.end(), [](std::future<unsigned>& paper) {
      return paper.wait_for(std::chrono::seconds(0)) == std::future_status::ready;
    });
  };
  for (int tries = 0; tries < 3000 && told_already() < 8; ++tries)
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  const auto busy = get("/api/engine");
  EXPECT_EQ(busy.result_int(), 503u);
  EXPECT_FALSE(busy["Retry-After"].empty());
  EXPECT_EQ(post("/api/events", note(line, 1)).result_int(), 200u);
  EXPECT_EQ(get("/api/ward").result_int(), 200u);
  EXPECT_NE(get("/api/lines/" + line).body().find("all is well"), std::string::npos);
  release.set_value();
  int printed = 0, told = 0;
  for (auto& paper : papers) {
    const unsigned status = paper.get();
    printed += status == 200 ? 1 : 0;
    told += status == 503 ? 1 : 0;
  }
  EXPECT_EQ(printed + told, 40);
  EXPECT_EQ(printed, 32);
}

TEST_F(HostileTest, AListOfNothingCostsLittle) {
  std::string text = "[{}";
  while (text.size() < 250 * 1000) text += ",{}";
  const auto many = post("/api/engine/statistics.learn", "{\"rows\":" + text + "]}");
  EXPECT_EQ(many.result_int(), 422u);
  EXPECT_LT(many.body().size(), 1000u) << "more values than a call may hold";
  std::string fewer = "[{}";
  for (int i = 0; i < 10'000; ++i) fewer += ",{}";
  const auto answer = post("/api/engine/statistics.learn", "{\"rows\":" + fewer + "]}");
  EXPECT_EQ(answer.result_int(), 422u);
  EXPECT_LE(body(answer).at("errors").as_array().size(), 51u);
  EXPECT_EQ(post("/api/engine/statistics.learn", std::string(1100 * 1024, ' ')).result_int(), 413u);
  EXPECT_EQ(post("/api/engine/statistics.learn", std::string(200'000, '[')).result_int(), 422u);
}

TEST_F(HostileTest, AForeignPageReadsNothing) {
  Ask a;
  for (const auto& target :
       {std::string("/api/ward"), std::string("/api/live"), std::string("/"), "/api/photos/" + std::string(64, '0')}) {
    a.target = target;
    a.headers = {};
    a.origin = "http://ward.example";
    EXPECT_EQ(ask(a).result_int(), 403u) << target;
    a.origin.clear();
    a.headers = {{"Sec-Fetch-Site", "cross-site"}};
    EXPECT_EQ(ask(a).result_int(), 403u) << target;
    a.headers = {{"Sec-Fetch-Site", "same-site"}};
    EXPECT_EQ(ask(a).result_int(), 403u) << target;
    a.headers = {{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Mode", "navigate"}, {"Sec-Fetch-Dest", "iframe"}};
    EXPECT_EQ(ask(a).result_int(), 403u) << target;
  }
  // A link from elsewhere leads to the page, and to nothing but the page.
  a.headers = {{"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Mode", "navigate"}, {"Sec-Fetch-Dest", "document"}};
  a.target = "/";
  EXPECT_EQ(ask(a).result_int(), 200u);
  a.target = "/api/ward";
  EXPECT_EQ(ask(a).result_int(), 403u);
  a.headers = {{"Sec-Fetch-Site", "none"}};
  EXPECT_EQ(ask(a).result_int(), 200u);
}

}  // namespace
}  // namespace dwell::server
