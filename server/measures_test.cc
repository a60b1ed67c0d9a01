// The numbers that a hospital's watching reads, and the two questions that it asks of a server.
#include "server/measures.h"

#include "server/test_server.h"

namespace dwell::server {
namespace {

TEST(Measures, CountsByRouteAndStatus) {
  Measures measures;
  measures.answered("GET", "/api/ward", 200, std::chrono::milliseconds(3));
  measures.answered("GET", "/api/ward", 200, std::chrono::milliseconds(700));
  measures.answered("GET", "/api/ward", 503, std::chrono::milliseconds(1));
  const std::string text = measures.text();
  EXPECT_NE(text.find(R"(dwell_requests_total{method="GET",route="/api/ward",status="200"} 2)"), std::string::npos)
      << text;
  EXPECT_NE(text.find(R"(dwell_requests_total{method="GET",route="/api/ward",status="503"} 1)"), std::string::npos);
  EXPECT_NE(text.find(R"(dwell_request_seconds_bucket{route="/api/ward",le="0.5"} 2)"), std::string::npos);
  EXPECT_NE(text.find(R"(dwell_request_seconds_count{route="/api/ward"} 3)"), std::string::npos);
}

TEST(Measures, AClientDoesNotMakeNumbersByThinkingOfMethods) {
  Measures measures;
  for (int i = 0; i < 1000; ++i) measures.answered("M" + std::to_string(i), "page", 405, std::chrono::seconds(0));
  EXPECT_LT(measures.text().size(), 20'000u);
}

TEST(Measures, SaysHowTheRecordStands) {
  Measures measures;
  EXPECT_NE(measures.text().find("dwell_record_reachable 1\n"), std::string::npos);
  measures.record({false, *parse_instant("2026-11-25T08:00:00Z"), false});
  const std::string text = measures.text();
  EXPECT_NE(text.find("dwell_record_reachable 0\n"), std::string::npos);
  EXPECT_NE(text.find("dwell_record_proof_holds 0\n"), std::string::npos);
  EXPECT_NE(text.find("dwell_record_read_timestamp_seconds 1795593600\n"), std::string::npos) << text;
}

using WatchedServer = ServerTest;

TEST_F(WatchedServer, LivesAndIsReadyAndTellsItsNumbersToThisMachine) {
  EXPECT_EQ(get("/healthz").result_int(), 200u);
  EXPECT_EQ(get("/readyz").result_int(), 200u);
  static_cast<void>(get("/api/ward"));
  const auto measures = get("/metrics");
  EXPECT_EQ(measures.result_int(), 200u);
  EXPECT_EQ(measures[http::field::content_type], "text/plain; version=0.0.4; charset=utf-8");
  EXPECT_NE(measures.body().find(R"(route="/api/ward",status="200"} 1)"), std::string::npos);
}

TEST_F(WatchedServer, NothingOfAPatientIsAmongTheNumbers) {
  static_cast<void>(get("/api/lines/Berg-12"));
  static_cast<void>(get("/Berg?name=Berg"));
  EXPECT_EQ(get("/metrics").body().find("Berg"), std::string::npos);
}

// A ward's board once cost 2.3 ms of the processor for each who asked.
TEST_F(WatchedServer, ABoardIsMadeOnceForAllWhoAskUntilSomethingIsCharted) {
  auto seconds = std::make_shared<std::atomic<int>>(0);
  Options o = options();
  o.clock = [=] { return moment() + std::chrono::milliseconds(seconds->load()); };
  begin_again(std::move(o));
  const auto made = [&] {
    const std::string text(get("/metrics").body()), name = "\ndwell_ward_answers_made_total ";
    return std::stoi(text.substr(text.find(name) + name.size()));
  };
  const auto first = get("/api/ward");
  EXPECT_EQ(get("/api/ward").body(), first.body());
  EXPECT_EQ(made(), 1);
  Ask packed;
  packed.target = "/api/ward";
  packed.headers["Accept-Encoding"] = "gzip";
  EXPECT_LT(ask(packed).body().size(), first.body().size() / 4);
  EXPECT_EQ(made(), 1) << "packed or not";
  static_cast<void>(get("/api/ward?unit=Nowhere"));
  EXPECT_EQ(made(), 2) << "another ward is another answer";
  ASSERT_EQ(post("/api/events", note(some_line(), 1)).result_int(), 200u);
  const auto after = get("/api/ward");
  EXPECT_NE(after.body(), first.body()) << "who charted sees it at once";
  EXPECT_GE(made(), 3);
  const int before = made();
  seconds->store(999);
  static_cast<void>(get("/api/ward"));
  seconds->store(2500);
  static_cast<void>(get("/api/ward"));
  EXPECT_GT(made(), before) << "what falls due moves with the clock";
}

TEST_F(WatchedServer, EveryAnswerHasAnIdOfItsOwn) {
  const auto first = get("/api/about"), second = get("/nothing/here");
  EXPECT_FALSE(first["X-Request-Id"].empty());
  EXPECT_NE(first["X-Request-Id"], second["X-Request-Id"]);
}

TEST_F(WatchedServer, WhatWentWrongIsOneLineOfJsonWithTheIdOfTheAnswer) {
  testing::internal::CaptureStderr();
  const auto refused = get("/api/lines/Berg-12");
  const std::string log = testing::internal::GetCapturedStderr();
  ASSERT_EQ(refused.result_int(), 404u);
  const auto line = json::parse_text(log.substr(0, log.find('\n')));
  ASSERT_TRUE(line) << log;
  EXPECT_EQ(line->at("request").as_string(), std::string_view(refused["X-Request-Id"]));
  EXPECT_EQ(line->at("route"), "/api/lines/{line}");
  EXPECT_EQ(log.find("Berg"), std::string::npos);
}

}  // namespace
}  // namespace dwell::server
