// Nothing is lost between a device and the record: what the answer names, and what it leaves unnamed.
#include "server/charting.h"

#include "server/test_ledger.h"
#include "server/test_server.h"

namespace dwell::server {
namespace {

class ChartingTest : public ServerTest {
 protected:
  void SetUp() override {
    ServerTest::SetUp();
    failing_ = std::make_shared<FailingLedger>(ledger_);
    auto o = options();
    o.ledger = failing_;
    begin_again(std::move(o));
  }

  /// The note with this number, as JSON.
  [[nodiscard]] json::Value one(std::uint64_t number) const {
    return json::parse_text(note(some_line(), number))->at(0);
  }
  [[nodiscard]] static json::Value from_the_future(json::Value event) {
    event.as_object()["occurred_at"] = "2027-01-01T00:00:00.000Z";
    return event;
  }
  [[nodiscard]] json::Value opening(const std::string& line, std::uint64_t number) const {
    auto event = one(number);
    event.as_object()["line"] = line;
    event.as_object()["body"] = ledger_opening();
    return event;
  }
  [[nodiscard]] json::Value ledger_opening() const {
    return json::encode(ledger_->read_line(some_line()).events.front().body);
  }
  [[nodiscard]] static std::vector<int> places(const json::Value& answer) {
    std::vector<int> all;
    for (const auto& refused : answer.at("refused").as_array()) all.push_back(refused.at("index").to_number<int>());
    return all;
  }
  static void expect_shape(const json::Value& answer) {
    for (const auto* member : {"written", "already_there", "refused", "said"})
      EXPECT_TRUE(answer.at(member).is_array()) << member;
    EXPECT_TRUE(answer.at("ok").is_bool());
    EXPECT_GT(answer.at("sequence").as_int64(), 0);
    for (const auto& refused : answer.at("refused").as_array()) EXPECT_FALSE(refused.at("errors").as_array().empty());
  }

  std::shared_ptr<FailingLedger> failing_;
  const std::string unheard_of_ = "019abb2c-9999-7999-8999-999999999999";
};

TEST_F(ChartingTest, AWardOnWhichNoOtherLineIsIsSaid) {
  const auto moved_to = [&](const std::string& line, std::uint64_t number, const std::string& unit) {
    auto event = one(number);
    event.as_object()["line"] = line;
    event.as_object()["body"] = json::encode(line::Body(line::Moved{{"", unit, "4"}}));
    return body(post("/api/events", json::to_text(json::Array{event}))).at("said").as_array();
  };
  const std::string other = "019abb2c-0009-7999-8999-999999999999";
  ASSERT_TRUE(body(post("/api/events", json::to_text(json::Array{opening(other, 51)}))).at("ok").as_bool());
  const auto said = moved_to(other, 52, "Wrad 3");
  ASSERT_EQ(said.size(), 1u);
  EXPECT_EQ(said.front().at("path").as_string(), "/body/place/unit");
  const auto home = ledger_->read_line(some_line()).events.front();
  EXPECT_TRUE(moved_to(other, 53, std::get<line::Opened>(home.body).place.unit).empty());
}

TEST_F(ChartingTest, ANameThatLooksLikeAnotherOfTheWardIsSaid) {
  const auto named = [&](const char* line, std::uint64_t number, const std::string& name) {
    auto event = opening(line, number);
    event.as_object()["body"].as_object()["patient"].as_object()["family"] = name;
    return body(post("/api/events", json::to_text(json::Array{event})));
  };
  EXPECT_TRUE(named("019abb2c-0001-7999-8999-999999999999", 31, "ROHNER").at("said").as_array().empty());
  const auto other = named("019abb2c-0002-7999-8999-999999999999", 32, "R\u041eHNER");  // a Cyrillic O
  EXPECT_EQ(other.at("written").as_array().size(), 1u);
  ASSERT_FALSE(other.at("said").as_array().empty());
  EXPECT_EQ(other.at("said").at(0).at("path").as_string(), "/body/patient/family");
  EXPECT_EQ(other.at("said").at(0).at("id"), other.at("written").at(0));
}

TEST_F(ChartingTest, OneShapeForEveryAnswerToAList) {
  const auto kept = post("/api/events", json::to_text(json::Array{one(1)}));
  EXPECT_EQ(kept.result_int(), 200u);
  expect_shape(body(kept));
  const auto none = post("/api/events", json::to_text(json::Array{from_the_future(one(2)), json::Object{{"id", 7}}}));
  EXPECT_EQ(none.result_int(), 422u);
  expect_shape(body(none));
  EXPECT_EQ(places(body(none)), (std::vector{0, 1}));
  EXPECT_EQ(body(none).at("refused").at(0).at("id"), one(2).at("id"));
  EXPECT_TRUE(body(none).at("refused").at(1).at("id").is_null());
  const auto together = post("/api/events?together", json::to_text(json::Array{one(3), from_the_future(one(4))}));
  EXPECT_EQ(together.result_int(), 422u);
  expect_shape(body(together));
  EXPECT_EQ(places(body(together)), std::vector{1}) << "the other has no fault of its own";
  EXPECT_TRUE(body(together).at("written").as_array().empty());
  EXPECT_EQ(post("/api/events", "[]").result_int(), 200u);
  EXPECT_EQ(post("/api/events", "{}").result_int(), 422u);
}

TEST_F(ChartingTest, ARecordThatCannotBeWrittenRefusesNothing) {
  failing_->writes_fail = true;
  for (const std::string target : {"/api/events", "/api/events?together"}) {
    const auto answer = post(target, json::to_text(json::Array{one(1), from_the_future(one(2)), one(3)}));
    EXPECT_EQ(answer.result_int(), 503u);
    EXPECT_FALSE(answer["Retry-After"].empty());
    EXPECT_FALSE(body(answer).as_object().contains("refused"));
    EXPECT_FALSE(body(answer).at("errors").as_array().empty());
  }
  failing_->writes_fail = false;
  EXPECT_EQ(post("/api/events", json::to_text(json::Array{one(1), one(3)})).result_int(), 200u);
}

TEST_F(ChartingTest, WhatWasCommittedIsAnsweredSoWhateverComesAfter) {
  failing_->reads_fail = true;
  const auto answer = post("/api/events", json::to_text(json::Array{one(1)}));
  EXPECT_EQ(answer.result_int(), 200u) << answer.body();
  EXPECT_EQ(body(answer).at("written").as_array().size(), 1u);
  EXPECT_EQ(body(answer).at("sequence").as_int64(), ledger_->last_sequence());
  failing_->reads_fail = false;
  EXPECT_NE(get("/api/lines/" + some_line()).body().find("all is well"), std::string::npos)
      << "healed by the next look";
}

TEST_F(ChartingTest, ALineThatWasNeverOpenedTakesNothing) {
  auto stray = one(1);
  stray.as_object()["line"] = unheard_of_;
  const auto refused = post("/api/events", json::to_text(json::Array{stray, one(2)}));
  EXPECT_EQ(refused.result_int(), 200u);
  ASSERT_EQ(places(body(refused)), std::vector{0});
  EXPECT_EQ(body(refused).at("refused").at(0).at("errors").at(0).at("path"), "/line");
  EXPECT_EQ(get("/api/lines/" + unheard_of_).result_int(), 404u);
  auto no_id = one(5);
  no_id.as_object()["line"] = std::string("no\0id", 5);
  EXPECT_EQ(places(body(post("/api/events", json::to_text(json::Array{no_id, one(6)})))), std::vector{0});
  const auto opened = post("/api/events", json::to_text(json::Array{opening(unheard_of_, 3), stray}));
  EXPECT_EQ(body(opened).at("written").as_array().size(), 2u) << opened.body();
  EXPECT_EQ(get("/api/lines/" + unheard_of_).result_int(), 200u);
}

TEST_F(ChartingTest, WhatFollowsARefusedOpeningWaits) {
  auto behind = one(1);
  behind.as_object()["line"] = unheard_of_;
  for (const bool unreadable : {false, true}) {
    auto opened = from_the_future(opening(unheard_of_, 2));
    if (unreadable) opened.as_object()["author"] = 3;
    const auto answer = post("/api/events", json::to_text(json::Array{opened, behind, one(unreadable ? 4 : 3)}));
    EXPECT_EQ(answer.result_int(), 200u);
    EXPECT_EQ(places(body(answer)), std::vector{0}) << answer.body();
    EXPECT_EQ(body(answer).at("written").as_array().size(), 1u);
  }
}

// Once 28 s for 3,500 of them, and charting stood still meanwhile: the record was asked once for each.
TEST_F(ChartingTest, ManyConflictsAreFoundInFewQuestions) {
  json::Array many;
  for (std::uint64_t i = 0; i < 500; ++i) many.push_back(one(1000 + i));
  ASSERT_EQ(post("/api/events", json::to_text(many)).result_int(), 200u);
  for (auto& event : many) event.as_object()["author"] = "somebody else";
  many.push_back(one(2000));
  failing_->appends = 0;
  const auto answer = post("/api/events", json::to_text(many));
  EXPECT_EQ(body(answer).at("written").as_array().size(), 1u);
  EXPECT_EQ(body(answer).at("refused").as_array().size(), 500u) << "each is named";
  EXPECT_LE(failing_->appends, 4);
}

TEST_F(ChartingTest, TwoReadingsOfOneEntryAreRefused) {
  std::string text = json::to_text(json::Array{one(1)});
  text.insert(text.find("\"author\""), "\"author\":\"somebody else\",");
  const auto answer = post("/api/events", text);
  EXPECT_EQ(answer.result_int(), 422u);
  EXPECT_EQ(body(answer).at("errors").at(0).at("path"), "/0/author");
}

TEST_F(ChartingTest, AnswersToAMillionFaultsAreShort) {
  std::string text = "[{}";
  while (text.size() < 1000 * 1000) text += ",{}";
  const auto many = post("/api/events", text + "]");
  EXPECT_EQ(many.result_int(), 422u) << "more values than one request may hold";
  std::string fewer = "[{}";
  for (std::size_t i = 1; i < Charting::most_events; ++i) fewer += ",{}";
  const auto answer = post("/api/events", fewer + "]");
  EXPECT_EQ(answer.result_int(), 422u);
  EXPECT_EQ(body(answer).at("refused").as_array().size(), Charting::most_events);
  EXPECT_LT(answer.body().size(), 2'000'000u);
}

}  // namespace
}  // namespace dwell::server
