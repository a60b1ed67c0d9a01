#include "ledger/readable.h"

#include <gtest/gtest.h>

#include <random>
#include <set>

#include "exchange/library.h"
#include "ledger/chain.h"
#include "ledger/invented_entries.h"
#include "ledger/policy_change.h"
#include "ledger/test_notes.h"
#include "say/common.h"

namespace dwell::ledger {
namespace {

constexpr std::size_t kinds = boost::mp11::mp_size<line::Body>::value;

/// Everything that the ledger takes keeps its promises, whatever was tried on it; and it takes every kind of event.
TEST(Accepted, IsReadFoldedRebuiltCopiedAndVerified) {
  const auto& library = exchange::default_library();
  constexpr int rounds = 8, tries = 300, papers = 12;
  std::mt19937 random(20261128);
  Inventor inventor([&] { return static_cast<std::uint8_t>(random()); }, moment());
  std::set<std::string_view> accepted_kinds;
  int accepted = 0, kept_papers = 0;
  std::size_t policies = 0;
  for (int round = 0; round < rounds; ++round) {
    const auto ledger = std::move(open_sqlite(":memory:").value());
    std::vector<std::string> ids;
    for (int i = 0; i < tries; ++i) {
      const auto event = inventor.event(ids);
      ids.push_back(event.id);
      if (!ledger->append({event}, moment())) continue;
      ++accepted;
      accepted_kinds.insert(line::kind_of(event.body));
    }
    const auto policy_json = [&](const std::string& id) {
      return json::to_text(json::encode(PolicyChange{id, library.policy, "A. Head", "why", {}}));
    };
    for (int i = 0; i < papers; ++i)
      kept_papers += ledger->keep_paper(inventor.paper(policy_json), std::nullopt, moment()) ? 1 : 0;
    policies += ledger->papers(policy_paper).papers.size();
    ASSERT_EQ(broken_promise(*ledger, library.policy, library.infusates, moment()), "") << "round " << round;
  }
  EXPECT_EQ(accepted_kinds.size(), kinds);
  EXPECT_GT(accepted, rounds * tries / 4);
  EXPECT_LT(accepted, rounds * tries);
  EXPECT_GT(kept_papers, rounds);
  EXPECT_GT(policies, 0u);
}

/// A record from before numbers were shown in another way: its papers are read, and its entries may be sent again.
TEST(Accepted, HowQuantitiesWereShownDoesNotMatterAfterwards) {
  const auto shown_otherwise = [](std::string text) {
    // Whatever stands in the place of the words beside value and unit.
    for (auto at = text.find("\"text\":\""); at != std::string::npos; at = text.find("\"text\":\"", at + 1)) {
      const auto from = at + 8, end = text.find('"', from);
      if (text.rfind("\"unit\":", at) != std::string::npos && at - text.rfind("\"unit\":", at) < 30)
        text.replace(from, end - from, "1,000 as before");
    }
    return text;
  };
  const std::string id = "019a0000-0000-7000-8000-000000000001";
  const Paper paper{
      id, std::string(policy_paper), "A. Head", moment(),
      json::to_text(json::encode(PolicyChange{id, exchange::default_library().policy, "A. Head", "why", {}}))};
  const std::string kept = readable_json(paper).value();
  const std::string before = shown_otherwise(kept);
  ASSERT_NE(before, kept);
  EXPECT_TRUE(says_the_same(before, kept));
  EXPECT_FALSE(says_the_same(before, "{}"));
  StoredEntry stored;
  stored.id = id;
  stored.kind = policy_paper;
  stored.json = before;
  EXPECT_TRUE(read_paper(stored)) << "accepted once, read for ever";
  auto lying = paper;
  lying.json = shown_otherwise(lying.json);
  EXPECT_FALSE(readable_json(lying)) << "what comes in shows what it says";
}

/// What holds only what a form can give is never refused for how its numbers are written.
TEST(Accepted, NoFigureIsRefusedBecauseItIsWrittenInDecimals) {
  std::mt19937 random(7);
  Inventor inventor([&] { return static_cast<std::uint8_t>(random()); }, moment());
  int looked_at = 0;
  for (int i = 0; i < 3000; ++i) {
    const auto event = inventor.event({});
    if (!line::check(event, moment()).empty()) continue;
    // As it comes from a device: written, and read here.
    const auto sent = json::parse_text(canonical_json(event)).and_then([](const json::Value& value) {
      return json::decode<line::Event>(value);
    });
    if (!sent || !line::check(*sent, moment()).empty()) continue;
    ++looked_at;
    const auto text = readable_json(*sent);
    ASSERT_TRUE(text) << reason_of(text.error()) << '\n' << canonical_json(*sent);
  }
  EXPECT_GT(looked_at, 500);
}

TEST(Readable, WhatWouldComeBackAsSomethingElseIsRefused) {
  demo::IdSource ids(1);
  std::vector<line::Event> events;
  demo::Story(ids, events, moment()).at(moment(), line::Noted{"slept well"}, "M. Koller");
  auto event = events.front();
  EXPECT_TRUE(readable_json(event));
  std::get<line::Noted>(event.body).text = "half a character \xC3";
  EXPECT_FALSE(readable_json(event));
  std::get<line::Noted>(event.body).text = std::string("with a zero \0 byte", 18);
  EXPECT_TRUE(readable_json(event)) << "JSON has a way to write it";
  line::Placed placed;  // no gauge yet, and no length
  event.body = placed;
  EXPECT_FALSE(readable_json(event));
}

StoredEntry stored(const line::Event& event) {
  return {7, event.id, event.line, event_entry, iso(moment()), canonical_json(event), genesis_hash(), genesis_hash()};
}

TEST(ReadEntry, GivesTheReceiptOrSaysWhyItCannotBeRead) {
  demo::IdSource ids(1);
  std::vector<line::Event> events;
  demo::Story(ids, events, moment()).at(moment(), line::Noted{"slept well"}, "M. Koller");
  const auto good = stored(events.front());
  ASSERT_TRUE(read_entry(good).event);
  EXPECT_EQ(read_entry(good).event->receipt, (line::Receipt{7, moment()}));

  auto old = good;
  old.kind = old.received = "";
  EXPECT_EQ(read_entry(old).kind, event_entry);
  EXPECT_EQ(read_entry(old).event->receipt, (line::Receipt{7, std::nullopt}));

  const auto refuses = [&](auto change) {
    auto bad = good;
    change(bad);
    const auto entry = read_entry(bad);
    return !entry.event && !entry.unreadable.empty() && entry.id == bad.id && entry.sequence == 7;
  };
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.json = "{"; }));
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.json = ""; }));
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.json.replace(e.json.find("noted"), 5, "sung!"); })) << "a newer kind";
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.id = "another"; }));
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.line = "another"; }));
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.kind = "song"; }));
  EXPECT_TRUE(refuses([](StoredEntry& e) { e.kind = policy_paper; }));
}

TEST(ReasonOf, SaysWhatWasExpectedAndNothingOfWhatWasFound) {
  const FieldErrors errors{{"/a", "Ada Marsh", say::symbol("one")},
                           {"/b", "", say::symbol("two")},
                           {"/c", "", say::symbol("three")},
                           {"/d", "", say::symbol("four")}};
  EXPECT_EQ(reason_of(errors), "/a: expected one; /b: expected two; /c: expected three; and 1 more");
}

}  // namespace
}  // namespace dwell::ledger
