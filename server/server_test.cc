// The server over real sockets on the loopback.
#include "server/server.h"
#include "exchange/said/said.h"

#include <poll.h>
#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>

#include <cstdlib>
#include <set>

#include "ledger/chain.h"
#include "procedure/practice.h"
#include "server/test_ledger.h"
#include "server/test_server.h"
#include "server/ward.h"

namespace dwell::server {
namespace {

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
  EXPECT_EQ(ward.at("due").as_array().size(), 16u);
  EXPECT_FALSE(ward.at("visits").as_array().empty());
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

TEST_F(ServerTest, OneBadEntryDoesNotHoldUpTheOthers) {
  auto batch = json::parse_text(note(some_line(), 50))->as_array();
  auto second = json::parse_text(note(some_line(), 51))->as_array().front();
  auto future = second;
  future.as_object()["id"] = line::make_id(moment(), {9});
  future.as_object()["occurred_at"] = "2027-01-01T00:00:00.000Z";
  auto taken = batch.front();
  taken.as_object()["author"] = "somebody else";
  batch.push_back(future);
  batch.push_back(json::Object{{"id", "x"}});
  batch.push_back(taken);
  batch.push_back(second);
  ASSERT_EQ(post("/api/events", note(some_line(), 50)).result_int(), 200u);
  const auto answer = post("/api/events", json::to_text(batch));
  ASSERT_EQ(answer.result_int(), 200u) << answer.body();
  const auto body = *json::parse_text(answer.body());
  ASSERT_EQ(body.at("written").as_array().size(), 1u);
  EXPECT_EQ(body.at("written").at(0), second.at("id"));
  EXPECT_EQ(body.at("already_there").as_array().size(), 1u);
  const auto& refused = body.at("refused").as_array();
  ASSERT_EQ(refused.size(), 3u);
  const auto of = [&](int index) {
    for (const auto& one : refused)
      if (one.at("index").to_number<int>() == index) return one.at("errors").at(0).at("path").as_string();
    return boost::json::string("nothing");
  };
  EXPECT_EQ(of(1), "/occurred_at");
  EXPECT_EQ(of(2), "/line") << "the first field that is missing";
  EXPECT_EQ(of(3), "/id");
}

TEST_F(ServerTest, WhatBelongsTogetherIsKeptTogetherOrNotAtAll) {
  auto batch = json::parse_text(note(some_line(), 70))->as_array();
  auto future = json::parse_text(note(some_line(), 71))->as_array().front();
  future.as_object()["occurred_at"] = "2027-01-01T00:00:00.000Z";
  batch.push_back(future);
  const auto before = ledger_->last_sequence();
  const auto answer = post("/api/events?together", json::to_text(batch));
  EXPECT_EQ(answer.result_int(), 422u);
  EXPECT_EQ(body(answer).at("refused").at(0).at("index"), 1);
  EXPECT_EQ(body(answer).at("refused").at(0).at("errors").at(0).at("path"), "/occurred_at");
  EXPECT_EQ(ledger_->last_sequence(), before);
}

TEST_F(ServerTest, KeepsAPictureByItsHash) {
  Ask a;
  a.method = "POST";
  a.target = "/api/photos";
  a.content_type = "image/jpeg";
  a.body = std::string(2 * 1024 * 1024, 'p');
  const auto kept = ask(a);
  ASSERT_EQ(kept.result_int(), 200u) << kept.body();
  const std::string hash(json::parse_text(kept.body())->at("written").at(0).as_string());
  EXPECT_EQ(hash, ledger::blake2b_256(a.body));
  const auto back = get("/api/photos/" + hash);
  EXPECT_EQ(back.body(), a.body);
  EXPECT_EQ(back["Content-Type"], "image/jpeg");
  EXPECT_EQ(back["Cache-Control"], "private, no-store") << "the page seals what it keeps";
  EXPECT_EQ(get("/api/photos/" + std::string(64, '0')).result_int(), 404u);
  a.content_type = "image/svg+xml";
  EXPECT_EQ(ask(a).result_int(), 415u);
  a.content_type = "image/jpeg";
  a.body = std::string(line::largest_photo + 1, 'p');
  EXPECT_EQ(ask(a).result_int(), 413u);
}

TEST_F(ServerTest, NamesTheNextLinesOfAll) {
  const auto all = json::parse_text(get("/api/due?first=1000").body())->at("lines").as_array();
  EXPECT_EQ(all.size(), 16u);
  int last = 1001;
  for (const auto& line : all) {
    const int urgency = line.at("urgency").to_number<int>();
    EXPECT_LE(urgency, last);
    last = urgency;
  }
  EXPECT_EQ(json::parse_text(get("/api/due?first=3").body())->at("lines").as_array().size(), 3u);
  EXPECT_EQ(get("/api/due?first=none").result_int(), 422u);
}

TEST_F(ServerTest, GivesTheHandoverSheet) {
  const auto sheet = get("/api/handover?since=2026-11-25T00:00:00Z&until=2026-11-25T15:00:00Z");
  ASSERT_EQ(sheet.result_int(), 200u) << sheet.body();
  EXPECT_NE(sheet.body().find("handover"), std::string::npos);
  // A line that ends within the shift is named as gone.
  line::Event death = json::decode<std::vector<line::Event>>(*json::parse_text(note(some_line(), 80)))->front();
  line::Removed removed;
  removed.reason = line::RemovalReason::death;
  removed.remover = "M. Koller";
  death.body = removed;
  ASSERT_TRUE(ledger_->append({death}, moment()));
  ASSERT_EQ(post("/api/events", note(some_line(), 81)).result_int(), 200u);
  EXPECT_NE(get("/api/handover").body().find("heading_ended"), std::string::npos);
  EXPECT_EQ(get("/api/handover.pdf").body(), "%PDF-handover-en");
  EXPECT_EQ(get("/api/handover.pdf?language=es").body(), "%PDF-handover-es");
  const auto unknown_language = get("/api/handover.pdf?language=xx");
  EXPECT_EQ(unknown_language.result_int(), 422u);
  EXPECT_NE(unknown_language.body().find("en, es"), std::string::npos);
  EXPECT_EQ(get("/api/handover?since=2026-11-26T00:00:00Z").result_int(), 422u);
  EXPECT_EQ(get("/api/handover?since=1990-01-01T00:00:00Z").result_int(), 422u) << "a shift is not a history";
  EXPECT_EQ(get("/api/handover?until=tomorrow").result_int(), 422u);
  EXPECT_NE(get("/api/handover?nurse=nobody%20of%20that%20name").body().find("heading_no_open_line"),
            std::string::npos);
}

/// A server that starts on the cache shows what one shows that read the whole record.
TEST_F(ServerTest, AWardFromTheCacheIsTheWardFromTheRecord) {
  const auto& library = exchange::default_library();
  Ward from_record(*ledger_, library, moment());
  ASSERT_TRUE(from_record.keep());
  const auto body = json::decode<std::vector<line::Event>>(*json::parse_text(note(some_line(), 60)));
  ASSERT_TRUE(ledger_->append(*body, moment()));
  from_record.catch_up(moment());
  Ward from_cache(*ledger_, library, moment());
  ASSERT_EQ(from_cache.sequence(), from_record.sequence());
  const auto a = from_record.open_states(), b = from_cache.open_states();
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i) EXPECT_EQ(json::encode(*a[i]), json::encode(*b[i]));
  EXPECT_EQ(from_record.rows(moment()), from_cache.rows(moment()));
  const auto first_a = from_record.first(99, moment()), first_b = from_cache.first(99, moment());
  ASSERT_EQ(first_a.size(), first_b.size());
  for (std::size_t i = 0; i < first_a.size(); ++i) {
    EXPECT_EQ(first_a[i].line, first_b[i].line);
    EXPECT_EQ(first_a[i].urgency, first_b[i].urgency);
  }
}

TEST_F(ServerTest, ScoresARunOfPracticeAndKeepsItApartFromTheLines) {
  const auto before = ledger_->last_sequence();
  procedure::PracticeRun run;
  run.id = line::make_id(moment(), {9, 9, 9});
  run.skill = procedure::Skill::removing;
  run.learner = "A. Learner";
  run.observer = "B. Observer";
  run.begun_at = run.ended_at = moment();
  const auto kept = post("/api/practice", json::to_text(json::encode(run)));
  EXPECT_EQ(kept.result_int(), 200u) << kept.body();
  EXPECT_NE(kept.body().find(R"("passed":false)"), std::string::npos) << "nothing was done";
  EXPECT_EQ(post("/api/practice", json::to_text(json::encode(run))).result_int(), 200u) << "a resend is harmless";
  EXPECT_NE(get("/api/practice?learner=A.%20Learner").body().find(run.id), std::string::npos);
  EXPECT_EQ(get("/api/practice?learner=nobody").body(), R"({"runs":[]})");
  EXPECT_EQ(ledger_->last_sequence(), before + 1) << "an entry of the record";
  EXPECT_TRUE(ledger_->lines_after(before).empty()) << "and of no line";
  run.observer = run.learner;
  const auto refused = post("/api/practice", json::to_text(json::encode(run)));
  EXPECT_EQ(refused.result_int(), 422u);
  EXPECT_NE(refused.body().find("/observer"), std::string::npos);
}

TEST_F(ServerTest, APolicyPutIntoForceCountsAtOnceAndAfterTheNextStart) {
  auto changed = exchange::default_library().policy;
  changed.watch.site_check[policy::SiteCheckClass::adult_infusing] = {std::chrono::minutes{97}, "our ward",
                                                                      Mark::practice};
  std::uint8_t made = 0;
  const auto change = [&](const std::string& reason) {
    return json::to_text(json::Object{{"id", line::make_id(moment(), {8, 8, ++made})},
                                      {"policy", json::encode(changed)},
                                      {"who", "C. Head"},
                                      {"after", ""},
                                      {"reason", reason}});
  };
  const auto without = post("/api/policy", change(""));
  EXPECT_EQ(without.result_int(), 422u);
  EXPECT_NE(without.body().find("/reason"), std::string::npos);
  EXPECT_EQ(get("/api/library").body().find("1 h 37 min"), std::string::npos);
  const auto kept = post("/api/policy", change("agreed in the ward's meeting"));
  ASSERT_EQ(kept.result_int(), 200u) << kept.body();
  EXPECT_NE(get("/api/library").body().find("1 h 37 min"), std::string::npos);
  EXPECT_NE(get("/api/ward").body().find(R"([["1","h"],["37","min"]])"), std::string::npos) << "what is due follows it";
  const auto in_force = json::parse_text(get("/api/policy").body())->as_object().at("paper");
  EXPECT_EQ(json::parse_text(get("/api/ward").body())->as_object().at("policy"), in_force)
      << "a device that missed the news finds out";
  const auto page = get("/api/policy").body();
  EXPECT_NE(page.find("/watch/site_check/adult_infusing"), std::string::npos);
  EXPECT_NE(page.find("agreed in the ward's meeting"), std::string::npos);
  const auto crossed = post("/api/policy", change("I began before that"));
  EXPECT_EQ(crossed.result_int(), 422u) << "who changes at the same time looks again";
  EXPECT_NE(crossed.body().find("/after"), std::string::npos);
  EXPECT_NE(crossed.body().find("C. Head"), std::string::npos);
  changed.remove.pressure.value = Interval{1};
  const auto dangerous = post("/api/policy", change("in a hurry"));
  EXPECT_EQ(dangerous.result_int(), 422u);
  EXPECT_NE(dangerous.body().find("/policy/remove/pressure"), std::string::npos);
  begin_again(options());
  EXPECT_NE(get("/api/library").body().find("1 h 37 min"), std::string::npos);
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

TEST_F(ServerTest, CompressesWhatIsLongForWhoAsks) {
  Ask a;
  a.target = "/api/library";
  const auto plain = ask(a);
  a.headers["Accept-Encoding"] = "gzip, br";
  const auto packed = ask(a);
  EXPECT_EQ(packed["Content-Encoding"], "gzip");
  EXPECT_LT(packed.body().size() * 5, plain.body().size());
  EXPECT_TRUE(packed.body().starts_with("\x1f\x8b"));
  a.target = "/api/nothing";
  EXPECT_EQ(ask(a)["Content-Encoding"], "") << "one packet is one packet";
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

// With the database away the ward once answered with a fresh time.
TEST_F(ServerTest, OldNewsSaysThatItIsOld) {
  const auto failing = std::make_shared<FailingLedger>(ledger_);
  const auto clock = std::make_shared<std::atomic<std::int64_t>>(0);
  auto o = options();
  o.ledger = failing;
  o.clock = [clock] { return moment() + std::chrono::minutes(clock->load()); };
  o.ping_every = std::chrono::milliseconds(50);
  o.proof = [] { return std::string("the record was not proven today"); };
  begin_again(std::move(o));
  boost::asio::io_context io;
  tcp::socket socket = connected(io);
  boost::asio::write(socket, boost::asio::buffer(std::string("GET /api/live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")));
  std::string heard;
  ASSERT_TRUE(hears(socket, R"("reachable":true})", heard)) << heard;
  ASSERT_EQ(get("/api/ward").result_int(), 200u) << "and so all is in memory";
  failing->reads_fail = true;
  ASSERT_TRUE(hears(socket, R"("reachable":false})", heard)) << heard;
  clock->store(12);
  const std::string line = some_line();
  EXPECT_EQ(body(get("/api/lines/" + line)).at("true_at"), json::Value(iso(moment())));
  EXPECT_EQ(get("/api/lines/" + line + "/note.txt").result_int(), 503u) << "paper cannot say it later";
  const auto due = body(get("/api/due"));
  EXPECT_EQ(due.at("now"), json::Value(iso(moment() + std::chrono::minutes(12))));
  EXPECT_EQ(due.at("true_at"), json::Value(iso(moment())));
  EXPECT_EQ(due.at("sequence").as_int64(), ledger_->last_sequence());
  EXPECT_EQ(due.at("proof"), "the record was not proven today");
  EXPECT_EQ(get("/readyz").result_int(), 503u);
  EXPECT_EQ(get("/healthz").result_int(), 200u) << "it lives, and tells what it knows";
  for (const char* measure : {"dwell_record_reachable 0\n", "dwell_record_proof_holds 0\n"})
    EXPECT_NE(get("/metrics").body().find(measure), std::string::npos) << measure;
  failing->reads_fail = false;
  heard.clear();
  ASSERT_TRUE(hears(socket, R"("reachable":true})", heard)) << heard;
  EXPECT_EQ(get("/readyz").result_int(), 200u);
  for (const auto& target :
       {std::string("/api/ward"), std::string("/api/due"), "/api/lines/" + line, "/api/lines/" + line + "/events",
        std::string("/api/handover"), std::string("/api/learn"), std::string("/api/indicators")}) {
    const auto answer = body(get(target));
    EXPECT_EQ(answer.at("true_at"), json::Value(iso(moment() + std::chrono::minutes(12)))) << target;
    EXPECT_EQ(answer.at("sequence").as_int64(), ledger_->last_sequence()) << target;
  }
}

// 100,000 open lines were one answer of 97 MB.
TEST_F(ServerTest, AHospitalsLinesComeInParts) {
  const auto opened = ledger_->read_line(some_line()).events.front();
  std::vector<line::Event> events;
  for (std::uint8_t i = 0; i < 250; ++i)
    for (std::uint8_t j = 0; j < 3; ++j) {
      auto event = opened;
      event.id = line::make_id(moment(), {7, i, 7, j});
      event.line = line::make_id(moment(), {6, i, 6, j});
      event.receipt.reset();
      events.push_back(std::move(event));
    }
  ASSERT_EQ(post("/api/events", json::to_text(json::encode(events))).result_int(), 200u);
  std::set<std::string> seen;
  std::string after;
  for (int part = 0; part < 5; ++part) {
    const auto answer = body(get("/api/ward" + after));
    EXPECT_LE(answer.at("states").as_array().size(), 500u);
    for (const auto& state : answer.at("states").as_array()) seen.emplace(state.at("id").as_string());
    if (!answer.as_object().contains("next")) break;
    after = "?after=" + std::string(answer.at("next").as_string());
  }
  EXPECT_EQ(seen.size(), 16u + 750u);
}

TEST_F(ServerTest, TheEntriesOfALineComeInParts) {
  const std::string line = some_line();
  const auto all = body(get("/api/lines/" + line)).at("events").as_array();
  ASSERT_GT(all.size(), 3u);
  json::Array parts;
  std::string after = "0";
  for (std::size_t part = 0; part < all.size(); ++part) {
    const auto answer = body(get("/api/lines/" + line + "/events?first=2&after=" + after));
    for (const auto& event : answer.at("events").as_array()) parts.push_back(event);
    if (!answer.as_object().contains("next")) break;
    after = std::to_string(answer.at("next").as_int64());
  }
  EXPECT_EQ(parts, all);
  EXPECT_EQ(get("/api/lines/" + line + "/events?first=0").result_int(), 422u);
  EXPECT_EQ(get("/api/lines/nobody/events").result_int(), 404u);
}

TEST_F(ServerTest, ALongHistoryIsCutAndSaysSo) {
  const std::string line = some_line();
  std::vector<line::Event> notes;
  for (std::uint64_t i = 0; i < 2100; ++i)
    notes.push_back(json::decode<std::vector<line::Event>>(*json::parse_text(note(line, 10'000 + i)))->front());
  const auto before = ledger_->read_line(line).events.size();
  ASSERT_TRUE(ledger_->append(notes, moment()));
  ASSERT_EQ(post("/api/events", note(line, 9'999)).result_int(), 200u);
  const auto answer = body(get("/api/lines/" + line));
  EXPECT_EQ(answer.at("events").as_array().size(), 2000u);
  EXPECT_EQ(answer.at("state").at("history").as_array().size(), 2000u);
  EXPECT_EQ(answer.at("earlier").to_number<std::size_t>(), before + 2101 - 2000);
  EXPECT_GT(body(get("/api/ward")).at("earlier").at(line).to_number<int>(), 0);
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

/// Two servers on one database: what is written at one is heard at the other, by its word and not by looking.
TEST(TwoServers, HearOfEachOthersEntriesAtOnce) {
  const char* database = std::getenv("DWELL_TEST_POSTGRESQL");
  if (!database) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
  const std::string schema = "dwell_two_servers_" + std::to_string(getpid());
  const auto at_database = [&](const std::string& statement) {
    soci::session session(soci::postgresql, database);
    session << "SET client_min_messages = warning";
    session << statement;
  };
  at_database("CREATE SCHEMA " + schema);
  const std::string where = std::string(database) + "&options=-csearch_path%3D" + schema;
  auto announced = ledger::Announcements::listen(where);
  ASSERT_TRUE(announced) << said::in_english(announced.error().front().expected);
  {
    const auto ledger = std::move(*ledger::open_postgresql(where));
    ASSERT_TRUE(ledger->append(demo::demo_ward(moment(), 5), moment()));
    const int descriptor = (*announced)->descriptor();
    pollfd waited{descriptor, POLLIN, 0};
    ASSERT_EQ(poll(&waited, 1, 5000), 1);
    EXPECT_EQ((*announced)->take(), ledger::Announcements::Heard::entries);
    EXPECT_EQ((*announced)->take(), ledger::Announcements::Heard::nothing);
    at_database("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN dwell%'");
    auto heard = ledger::Announcements::Heard::nothing;
    while (heard == ledger::Announcements::Heard::nothing && poll(&waited, 1, 5000) == 1) heard = (*announced)->take();
    EXPECT_EQ(heard, ledger::Announcements::Heard::lost);
  }
  at_database("DROP SCHEMA " + schema + " CASCADE");
}

}  // namespace
}  // namespace dwell::server
