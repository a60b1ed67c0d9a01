// What must not stop the others: an entry that cannot be read, a request that the engine does not take, a cache that
// was changed. On both engines.
#include <atomic>
#include <thread>

#include "demo/demo_ward.h"
#include "ledger/chain.h"
#include "ledger/copy.h"
#include "ledger/projection.h"
#include "ledger/test_engines.h"

namespace dwell::ledger {
namespace {

class Attack : public EachEngine {
 protected:
  /// Puts an entry at the end that fits the chain and that this program cannot read.
  static StoredEntry add_unreadable(Ledger& ledger, const StoredEntry& like) {
    StoredEntry entry = like;
    entry.sequence = ledger.last_sequence() + 1;
    entry.previous_hash = ledger.stored_after(entry.sequence - 2, 1).front().hash;
    entry.hash = chain_hash(entry.previous_hash, entry.kind, entry.received, entry.json);
    const auto kept = ledger.append_stored({entry});
    EXPECT_TRUE(kept) << "a copy takes what the chain holds, readable or not";
    return entry;
  }
  StoredEntry of_a_newer_kind(const std::string& line) {
    const auto id = ids_.next(moment());
    return {0,
            id,
            line,
            event_entry,
            iso(moment()),
            R"({"id":")" + id + R"(","line":")" + line + R"(","body":{"kind":"of a newer program"}})",
            "",
            ""};
  }
};

INSTANTIATE_TEST_SUITE_P(Ledger, Attack, each_engine, engine_name);

TEST_P(Attack, AnEntryThatCannotBeReadIsSetAsideAndAllElseGoesOn) {
  const auto& library = exchange::default_library();
  const auto ledger = open();
  const auto ward = demo::demo_ward(moment(), 5);
  ASSERT_TRUE(ledger->append(ward, moment()));
  const auto& line = ward.front().line;
  const auto before = ledger->read_line(line).events.size();
  const auto bad = add_unreadable(*ledger, of_a_newer_kind(line));
  const auto alone = add_unreadable(*ledger, of_a_newer_kind("019abb2c-9999-7111-8111-111111111111"));

  const auto entries = ledger->read_line(line);
  EXPECT_EQ(entries.events.size(), before);
  ASSERT_EQ(entries.set_aside.size(), 1u);
  EXPECT_EQ(entries.set_aside.front().id, bad.id);
  EXPECT_EQ(entries.set_aside.front().sequence, bad.sequence);
  EXPECT_NE(entries.set_aside.front().reason, "");
  EXPECT_EQ(ledger->read_after(0, 10'000).size(), ward.size() + 2);
  EXPECT_FALSE(verified(*ledger).first_bad) << "the chain itself is whole";

  const auto made = rebuild(*ledger, library.policy, library.infusates, moment(), [](VerifyProgress) {});
  ASSERT_TRUE(made);
  EXPECT_EQ(made->lines, 17) << "also a line of which nothing can be read";
  const auto cache = check_cache(*ledger, library.policy, library.infusates, moment(), [](VerifyProgress) {});
  EXPECT_TRUE(cache.compared);
  EXPECT_TRUE(cache.wrong.empty());
  EXPECT_EQ(cache.set_aside.size(), 2u) << "named";
  const auto to = std::move(open_sqlite(":memory:").value());
  ASSERT_TRUE(copy_chain(*ledger, *to, [](VerifyProgress) {}));
  EXPECT_EQ(to->stored_after(0, 10'000), ledger->stored_after(0, 10'000));

  const auto state = folded(alone.line, ledger->read_line(alone.line), library.policy);
  EXPECT_EQ(state.id, alone.line);
  EXPECT_EQ(state.set_aside.size(), 1u);
  // Taking it back is the answer to it.
  auto answer = notes(1).front();
  answer.line = line;
  answer.corrects = bad.id;
  answer.body = line::Retracted{"could not be read"};
  ASSERT_TRUE(ledger->append({answer}, moment()));
  EXPECT_TRUE(folded(line, ledger->read_line(line), library.policy).set_aside.empty());
}

TEST_P(Attack, APolicyThatCannotBeReadLeavesTheOneBeforeInForceAndCanBeFollowed) {
  const auto ledger = open();
  const auto first = change(ids_.next(moment()), "A. Head", "first");
  ASSERT_TRUE(ledger->keep_paper(paper_of(first, moment()), "", moment()));
  const auto id = ids_.next(moment());
  const auto bad = add_unreadable(
      *ledger,
      {0, id, "", policy_paper, iso(moment()),
       R"({"id":")" + id + R"(","kind":"policy","who":"A","at":"2026-11-25T08:00:00.000Z","content":{}})", "", ""});
  ASSERT_TRUE(policy_in_force(*ledger));
  EXPECT_EQ(policy_in_force(*ledger)->id, first.id);
  const auto all = ledger->papers(policy_paper);
  EXPECT_EQ(all.papers.size(), 1u);
  ASSERT_EQ(all.set_aside.size(), 1u);
  EXPECT_EQ(all.set_aside.front().id, bad.id);
  EXPECT_NE(ledger->read_after(1, 1).front().unreadable, "");
  const auto next = change(ids_.next(moment()), "B. Head", "second");
  ASSERT_TRUE(ledger->keep_paper(paper_of(next, moment()), first.id, moment())) << "nobody is locked out";
  EXPECT_EQ(policy_in_force(*ledger)->id, next.id);
}

TEST_P(Attack, TheReceiptIsTheServersAndCannotBeChangedUnseen) {
  const auto ledger = open();
  const auto events = notes(2);
  const auto appended = ledger->append(events, moment());
  ASSERT_TRUE(appended);
  EXPECT_EQ(appended->entries[1].event->receipt, (line::Receipt{2, moment()}));
  const auto read = ledger->read_line(events[0].line).events;
  ASSERT_EQ(read.size(), 2u);
  EXPECT_EQ(read[0].receipt, (line::Receipt{1, moment()}));
  const auto later = moment() + std::chrono::hours{3};
  EXPECT_EQ(ledger->append(events, later)->already_there.size(), 2u) << "a resend is harmless";
  EXPECT_EQ(ledger->append(read, later)->already_there.size(), 2u) << "also of what was read here";
  EXPECT_EQ(ledger->read_line(events[0].line).events[0].receipt, (line::Receipt{1, moment()}));
  auto pretended = notes(1);
  pretended.front().receipt = line::Receipt{9, moment()};
  EXPECT_EQ(ledger->append(pretended, moment()).error().front().path, "/0/receipt");
  sql("UPDATE event SET received = '2026-11-25T07:00:00.000Z' WHERE sequence = 1");
  EXPECT_EQ(verified(*ledger).first_bad, 1);
  EXPECT_EQ(verified(*ledger).reason, "its content does not fit its hash");
}

TEST_P(Attack, IdsOfOddCharactersAreRefusedAndTheirNeighboursKept) {
  const auto ledger = open();
  const std::vector<std::string> odd{"",
                                     "a\",\"b",
                                     "'; DROP TABLE event; --",
                                     "{1,2}",
                                     "a,b",
                                     "\xFF\xFE",
                                     std::string("zero\0byte", 9),
                                     "~",
                                     std::string(100'000, 'x'),
                                     "019ABB2C-1111-7111-8111-111111111111"};
  std::vector<std::vector<line::Event>> shares;
  for (int t = 0; t < 6; ++t) shares.push_back(notes(20));
  std::atomic<std::size_t> refused = 0;
  {
    std::vector<std::jthread> threads;
    for (const auto& share : shares)
      threads.emplace_back([&] {
        for (std::size_t i = 0; i + 1 < share.size(); i += 2) {
          EXPECT_TRUE(ledger->append({share[i], share[i + 1]}, moment()));
          EXPECT_TRUE(ledger->append({share[i], share[i + 1]}, moment())) << "a resend";
        }
      });
    threads.emplace_back([&] {
      for (const auto& id : odd) {
        auto event = shares.front().front();
        event.id = id;
        const auto answer = ledger->append({event}, moment());
        if (!answer && answer.error().front().path == "/0/id") ++refused;
        const auto paper = ledger->keep_paper({id, practice_paper, id, moment(), "{}"}, "", moment());
        EXPECT_FALSE(paper);
      }
    });
  }
  EXPECT_EQ(refused, odd.size());
  EXPECT_EQ(verified(*ledger).entries, 120);
  EXPECT_FALSE(verified(*ledger).first_bad);
}

TEST_P(Attack, OddIdsOfACopiedChainAreNoHindrance) {
  const auto ledger = open();
  const auto events = notes(4);
  ASSERT_TRUE(ledger->append({events[0], events[1]}, moment()));
  for (const std::string id : {"~", "a,b", "a\\\",\\\"b", "_"}) {
    auto odd = of_a_newer_kind(events[0].line);
    odd.json.replace(odd.json.find(odd.id), odd.id.size(), id);
    odd.id = id == "a\\\",\\\"b" ? "a\",\"b" : id;
    add_unreadable(*ledger, odd);
  }
  const auto again = ledger->append(events, moment());
  ASSERT_TRUE(again);
  EXPECT_EQ(again->already_there.size(), 2u);
  EXPECT_EQ(again->entries.size(), 2u);
  EXPECT_EQ(ledger->append(events, moment())->already_there.size(), 4u);
  EXPECT_EQ(ledger->read_line(events[0].line).set_aside.size(), 4u);
  EXPECT_FALSE(verified(*ledger).first_bad);
}

/// The engine refuses a whole commit because of one request: each is then tried by itself.
TEST_P(Attack, WhatTheEngineDoesNotTakeHoldsUpNobodyElse) {
  const auto ledger = open();
  if (GetParam() == Engine::sqlite)
    sql("CREATE TRIGGER poison BEFORE INSERT ON event WHEN NEW.json LIKE '%poison%' BEGIN SELECT RAISE(ABORT, 'no'); "
        "END");
  else
    sql("ALTER TABLE event ADD CHECK (json NOT LIKE '%poison%')");
  auto bad = notes(20);
  for (auto& event : bad) std::get<line::Noted>(event.body).text = "poison";
  std::vector<std::vector<line::Event>> shares;
  for (int t = 0; t < 8; ++t) shares.push_back(notes(20));
  std::atomic<std::size_t> unreachable = 0;
  {
    std::vector<std::jthread> threads;
    for (const auto& share : shares)
      threads.emplace_back([&] {
        for (const auto& event : share) EXPECT_TRUE(ledger->append({event}, moment()));
      });
    threads.emplace_back([&] {
      for (const auto& event : bad) {
        try {
          static_cast<void>(ledger->append({event}, moment()));
        } catch (const Unreachable&) {
          ++unreachable;
        }
      }
    });
  }
  EXPECT_EQ(unreachable, bad.size()) << "it is not known whose fault it is: to be sent again, not thrown away";
  EXPECT_EQ(verified(*ledger).entries, 160);
  EXPECT_FALSE(verified(*ledger).first_bad);
}

/// The cache of a ward with open and closed lines, and what somebody did to it past the program.
class CacheAttack : public Attack {
 protected:
  void SetUp() override {
    Attack::SetUp();
    if (IsSkipped()) return;
    ledger_ = open();
    ASSERT_TRUE(ledger_->append(demo::demo_ward(moment(), 5), moment()));
    ASSERT_TRUE(ledger_->append(demo::demo_history(moment(), 6, 4), moment()));
    make_again();
    ASSERT_EQ(check().wrong, std::vector<std::string>());
    ASSERT_TRUE(check().as_kept && check().compared);
  }
  void TearDown() override {
    ledger_.reset();
    Attack::TearDown();
  }
  void make_again() const {
    ASSERT_TRUE(rebuild(*ledger_, library_.policy, library_.infusates, moment(), [](VerifyProgress) {}));
  }
  [[nodiscard]] CacheCheck check() const {
    return check_cache(*ledger_, library_.policy, library_.infusates, moment(), [](VerifyProgress) {});
  }
  [[nodiscard]] std::string a_line(bool open) const {
    for (const auto& row : ledger_->projected(false).lines)
      if (row.open == open && !row.row.empty()) return row.line;
    throw std::logic_error("no such line");
  }

  const engine::Library& library_ = exchange::default_library();
  std::unique_ptr<Ledger> ledger_;
};

INSTANTIATE_TEST_SUITE_P(Ledger, CacheAttack, each_engine, engine_name);

TEST_P(CacheAttack, ARowThatIsGoneOrChangedIsFoundAtTheStartAndByVerify) {
  const std::string of_open = " WHERE line = '" + a_line(true) + "'";
  for (const std::string change :
       {"DELETE FROM line_now", "UPDATE line_now SET open = 0", "UPDATE line_now SET unit = 'Ward 99'",
        "UPDATE line_now SET bed = '99'", "UPDATE line_now SET learned = '{}'"}) {
    const std::string line = a_line(true);
    sql(change + of_open);
    EXPECT_FALSE(ledger_->projected(true).as_kept) << change;
    EXPECT_FALSE(check().as_kept) << change;
    EXPECT_EQ(check().wrong, std::vector{line}) << change;
    make_again();
  }
  sql("UPDATE line_now SET clocks = ''" + of_open);
  EXPECT_FALSE(ledger_->projected(true).as_kept) << "clocks";
  make_again();
  sql("DELETE FROM line_now WHERE open = 1");
  EXPECT_FALSE(ledger_->projected(true).as_kept) << "all of them";
  EXPECT_EQ(check().wrong.size(), 16u);
}

TEST_P(CacheAttack, AClosedRowIsFoundWhenTheClosedAreRead) {
  const std::string line = a_line(false), of_closed = " WHERE line = '" + line + "'";
  for (const std::string change : {"DELETE FROM line_now", "UPDATE line_now SET learned = ''",
                                   "UPDATE line_now SET unit = 'Ward 99'", "UPDATE line_now SET open = 1"}) {
    sql(change + of_closed);
    EXPECT_FALSE(ledger_->projected(false).as_kept) << change;
    EXPECT_EQ(check().wrong, std::vector{line}) << change;
    make_again();
  }
}

TEST_P(CacheAttack, AMarkThatReachesTooFarOrARowOfNoLineIsFound) {
  sql("UPDATE meta SET value = '999999' WHERE name = 'projected_to'");
  EXPECT_FALSE(ledger_->projected(true).as_kept);
  make_again();
  sql("INSERT INTO line_now (line, open, unit, bed, clocks, learned) VALUES ('nobody', 1, '', '', '', '')");
  EXPECT_FALSE(ledger_->projected(true).as_kept);
  EXPECT_EQ(check().wrong, std::vector<std::string>{"nobody"});
}

TEST_P(CacheAttack, ARowThatWasKeptWrongFitsItsSealButNotItsEntries) {
  auto row = ledger_->projected(true).lines.front();
  const auto mark = ledger_->projected(true).mark;
  row.open = false;
  ASSERT_TRUE(ledger_->keep_projection(mark, {row}, mark));
  EXPECT_TRUE(ledger_->projected(false).as_kept);
  EXPECT_EQ(check().wrong, std::vector{row.line});
}

TEST_P(CacheAttack, ARowThatKnowsMoreThanTheMarkPromisesIsRight) {
  const auto mark = ledger_->projected(true).mark;
  const auto line = a_line(true);
  auto moved = notes(1).front();
  moved.line = line;
  moved.body = line::Moved{{"Hill Hospital", "Ward 4", "7"}};
  ASSERT_TRUE(ledger_->append({moved}, moment()));
  EXPECT_TRUE(check().wrong.empty()) << "behind is not wrong";
  const auto state = folded(line, ledger_->read_line(line), library_.policy);
  ASSERT_TRUE(ledger_->keep_projection(mark, {project(state, library_.policy, library_.infusates, moment())}, mark));
  EXPECT_TRUE(check().wrong.empty()) << "ahead is not wrong either";
}

TEST_P(CacheAttack, OneRebuildAtATime) {
  // A second one begins while the first is between its batches: the first gives way.
  const auto& library = library_;
  bool begun = false;
  std::vector<line::Event> many;
  for (int i = 0; i < 2001; ++i) {
    auto event = notes(1).front();
    many.push_back(std::move(event));
  }
  ASSERT_TRUE(ledger_->append(many, moment()));
  const auto first = rebuild(*ledger_, library.policy, library.infusates, moment(), [&](VerifyProgress) {
    if (!begun) begun = true, make_again();
  });
  EXPECT_FALSE(first);
  EXPECT_TRUE(check().as_kept);
  EXPECT_TRUE(check().wrong.empty());
}

}  // namespace
}  // namespace dwell::ledger
