#include "ledger/copy.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <stdexcept>

#include "ledger/chain.h"
#include "ledger/open.h"
#include "ledger/test_engines.h"
#include "ledger/test_notes.h"

namespace dwell::ledger {
namespace {

void nothing(VerifyProgress) {}

class Copies : public testing::Test, protected Notes {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-copy-test-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  [[nodiscard]] std::string in_folder(const char* name) const { return (folder_ / name).string(); }
  [[nodiscard]] std::unique_ptr<Ledger> open(const char* name) const {
    return std::move(open_sqlite(in_folder(name)).value());
  }
  void sql(const char* name, const std::string& statement) const {
    soci::session session(soci::sqlite3, "db=\"" + in_folder(name) + "\"");
    session << statement;
  }
  /// A copy that ends in the middle, as by a signal.
  static void interrupt(Ledger& from, Ledger& to) {
    EXPECT_THROW(static_cast<void>(copy_record(from, to, [](VerifyProgress) { throw std::runtime_error("stopped"); })),
                 std::runtime_error);
  }
  /// Two notes of pictures, and the pictures themselves.
  void append_pictures(Ledger& ledger) {
    auto events = notes(2);
    for (std::size_t i = 0; i < events.size(); ++i) {
      const std::string bytes = "picture " + std::to_string(i);
      events[i].body = line::Photographed{blake2b_256(bytes), "image/jpeg", static_cast<int>(bytes.size()), ""};
      ASSERT_TRUE(ledger.keep_photo({blake2b_256(bytes), "image/jpeg", bytes}));
    }
    ASSERT_TRUE(ledger.append(events, moment()));
  }

  fs::path folder_;
};

TEST_F(Copies, ACopyHoldsTheSameChainAndCanBeContinued) {
  const auto from = open("ward"), to = open("copy");
  ASSERT_TRUE(from->append(notes(30), moment()));
  EXPECT_EQ(copy_record(*from, *to, nothing)->proof.entries, 30);
  ASSERT_TRUE(from->append(notes(5), moment()));
  const auto again = copy_record(*from, *to, nothing);
  EXPECT_EQ(again->proof.entries, 35);
  EXPECT_TRUE(again->is_proven());
  EXPECT_EQ(again->proof.head, verified(*from).head);
  ASSERT_TRUE(to->append(notes(1), moment()));
  ASSERT_TRUE(from->append(notes(1), moment()));
  EXPECT_EQ(copy_record(*from, *to, nothing).error().front().path, "/to") << "they have parted";
  EXPECT_FALSE(is_unfinished_copy(*to)) << "what is refused is left as it is";
}

TEST_F(Copies, AnInterruptedCopySaysSoOfItselfUntilItIsEnded) {
  const auto from = open("ward");
  ASSERT_TRUE(from->append(notes(30), moment()));
  interrupt(*from, *open("copy"));
  EXPECT_TRUE(is_unfinished_copy(*open("copy"))) << "also when it is opened anew";
  EXPECT_FALSE(verified(*open("copy")).first_bad) << "what is there looks whole";
  const auto refused = copy_record(*open("copy"), *open("restored"), nothing);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/from");
  EXPECT_EQ(open("restored")->last_sequence(), 0);

  EXPECT_TRUE(copy_record(*from, *open("copy"), nothing)->is_proven());
  EXPECT_FALSE(is_unfinished_copy(*open("copy")));
  EXPECT_TRUE(copy_record(*open("copy"), *open("restored"), nothing)->is_proven());
}

TEST_F(Copies, AnInterruptedCopyCanBeTakenAsFarAsItGoes) {
  const auto from = open("ward");
  ASSERT_TRUE(from->append(notes(30), moment()));
  interrupt(*from, *open("copy"));
  const auto taken = copy_record(*open("copy"), *open("restored"), nothing, true);
  ASSERT_TRUE(taken);
  EXPECT_EQ(taken->proof.entries, 30);
  EXPECT_FALSE(is_unfinished_copy(*open("restored")));
}

TEST_F(Copies, OneRecordUnderTwoNamesIsNotCopiedOntoItself) {
  ASSERT_TRUE(open("ward")->append(notes(3), moment()));
  fs::create_symlink(in_folder("ward"), in_folder("link"));
  for (const char* name : {"ward", "link"}) {
    const auto refused = copy_record(*open("ward"), *open(name), nothing);
    ASSERT_FALSE(refused) << name;
    EXPECT_EQ(refused.error().front().path, "/to");
  }
  EXPECT_FALSE(is_unfinished_copy(*open("ward")));
}

TEST_F(Copies, PicturesThatAreLostOrChangedAtHomeAreNamedAndStopNoOther) {
  const auto from = open("ward");
  append_pictures(*from);
  EXPECT_EQ(copy_record(*from, *open("good"), nothing)->pictures, 2);
  // Neither what it was nor readable; readable, but another; gone.
  for (const char* change :
       {"UPDATE photo SET content = '!'", "UPDATE photo SET content = 'AAAA'", "DELETE FROM photo"}) {
    sql("ward", std::string(change) + " WHERE hash = '" + blake2b_256("picture 0") + "'");
    fs::remove(in_folder("copy"));
    const auto copied = copy_record(*from, *open("copy"), nothing);
    ASSERT_TRUE(copied) << change;
    EXPECT_EQ(copied->pictures, 1) << change;
    EXPECT_FALSE(copied->is_proven()) << change;
    EXPECT_EQ(copied->proof.lost_pictures, std::vector{blake2b_256("picture 0")}) << change;
  }
}

TEST_F(Copies, AStoredEntryThatDoesNotFollowIsRefused) {
  const auto from = open("ward"), to = open("copy");
  ASSERT_TRUE(from->append(notes(3), moment()));
  auto entries = from->stored_after(0, 3);
  entries[1].json += " ";
  EXPECT_EQ(to->append_stored(entries).error().front().path, "/2");
  EXPECT_EQ(to->last_sequence(), 0);
}

TEST_F(Copies, ABrokenRecordLeavesAnUnfinishedCopy) {
  const auto from = open("ward");
  ASSERT_TRUE(from->append(notes(3), moment()));
  sql("ward", "UPDATE event SET json = json || ' ' WHERE sequence = 2");
  EXPECT_FALSE(copy_record(*from, *open("copy"), nothing));
  EXPECT_TRUE(is_unfinished_copy(*open("copy")));
}

using CopiesOnEach = EachEngine;
INSTANTIATE_TEST_SUITE_P(Engines, CopiesOnEach, each_engine, engine_name);

TEST_P(CopiesOnEach, OneRecordReachedTwiceIsNotCopiedOntoItself) {
  const auto here = open(), there = open();
  ASSERT_TRUE(here->append(notes(3), moment()));
  const auto refused = copy_record(*here, *there, nothing);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/to");
  EXPECT_FALSE(is_unfinished_copy(*here));
}

TEST_P(CopiesOnEach, ACopyIntoEachEngineIsUnfinishedUntilItsEnd) {
  const auto from = std::move(open_sqlite(":memory:").value());
  ASSERT_TRUE(from->append(notes(30), moment()));
  EXPECT_THROW(
      static_cast<void>(copy_record(*from, *open(), [](VerifyProgress) { throw std::runtime_error("stopped"); })),
      std::runtime_error);
  EXPECT_TRUE(is_unfinished_copy(*open()));
  EXPECT_TRUE(copy_record(*from, *open(), nothing)->is_proven());
  EXPECT_FALSE(is_unfinished_copy(*open()));
}

TEST_P(CopiesOnEach, ARecordIsMadeOnlyWhereItMayBe) {
  for (const auto access : {Access::untouched, Access::reading, Access::existing})
    EXPECT_FALSE(open_ledger(where(), access)) << static_cast<int>(access);
  EXPECT_TRUE(open_ledger(where(), Access::made)->is_new);
  EXPECT_FALSE(open_ledger(where(), Access::made)->is_new);
  EXPECT_TRUE(open_ledger(where(), Access::existing));
}

TEST_P(CopiesOnEach, WhatIsOpenedToReadIsNotWrittenTo) {
  ASSERT_TRUE(open()->append(notes(3), moment()));
  for (const auto access : {Access::untouched, Access::reading}) {
    const auto opened = open_ledger(where(), access);
    ASSERT_TRUE(opened);
    EXPECT_THROW(static_cast<void>(opened->ledger->append(notes(1), moment())), Unreachable);
    EXPECT_EQ(verified(*opened->ledger).entries, 3);
  }
  EXPECT_EQ(open()->last_sequence(), 3);
}

}  // namespace
}  // namespace dwell::ledger
