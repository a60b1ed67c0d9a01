#include "ledger/heads.h"

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>

#include "ledger/chain.h"
#include "ledger/copy.h"
#include "ledger/test_notes.h"

namespace dwell::ledger {
namespace {

namespace fs = std::filesystem;

class Heads : public testing::Test, protected Notes {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-heads-test-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  [[nodiscard]] std::string in_folder(const char* name) const { return (folder_ / name).string(); }
  [[nodiscard]] std::unique_ptr<Ledger> open(const char* name = "ward.sqlite") const {
    return std::move(open_sqlite(in_folder(name)).value());
  }
  void sql(const std::string& statement) const {
    sqlite3* db = nullptr;
    ASSERT_EQ(sqlite3_open(in_folder("ward.sqlite").c_str(), &db), SQLITE_OK);
    EXPECT_EQ(sqlite3_exec(db, statement.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(db);
    sqlite3_close(db);
  }
  [[nodiscard]] Verification against_heads() const {
    std::map<std::int64_t, std::string> known;
    const auto heads = read_heads(in_folder("heads"));
    for (const auto& head : *heads) known[head.sequence] = head.hash;
    return open()->verify([](VerifyProgress) {}, known);
  }

  fs::path folder_;
};

TEST_F(Heads, ACutEndIsNoticed) {
  const auto key = SigningKey::load_or_make(in_folder("key"));
  ASSERT_TRUE(open()->append(notes(5), moment()));
  ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
  EXPECT_FALSE(against_heads().first_bad);
  sql("DELETE FROM event WHERE sequence > 3");
  EXPECT_FALSE(verified(*open()).first_bad);  // what is left is a whole chain
  EXPECT_EQ(against_heads().first_bad, 4);
  EXPECT_NE(against_heads().reason.find("gone"), std::string::npos);
}

TEST_F(Heads, ARewrittenHistoryIsNoticed) {
  const auto key = SigningKey::load_or_make(in_folder("key"));
  ASSERT_TRUE(open()->append(notes(3), moment()));
  ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
  // Somebody writes the whole chain anew, with hashes that fit.
  sql("DELETE FROM event");
  ASSERT_TRUE(open()->append(notes(3), moment()));
  EXPECT_FALSE(verified(*open()).first_bad);
  EXPECT_EQ(against_heads().first_bad, 3);
}

TEST_F(Heads, TheSameHeadIsSignedOnceAndAnEmptyLedgerNever) {
  const auto key = SigningKey::load_or_make(in_folder("key"));
  ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
  EXPECT_TRUE(read_heads(in_folder("heads"))->empty());
  ASSERT_TRUE(open()->append(notes(1), moment()));
  for (int i = 0; i < 3; ++i) ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
  EXPECT_EQ(read_heads(in_folder("heads"))->size(), 1u);
}

TEST_F(Heads, AChangedLineIsRefusedWithItsNumberAndACutOneIsLeftOut) {
  const auto key = SigningKey::load_or_make(in_folder("key"));
  for (int i = 0; i < 2; ++i) {
    ASSERT_TRUE(open()->append(notes(1), moment()));
    ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
  }
  std::ifstream in(in_folder("heads"));
  std::string text(std::istreambuf_iterator<char>(in), {});
  std::ofstream(in_folder("heads")) << text << "{\"sequence\":3,\"ha";
  EXPECT_EQ(read_heads(in_folder("heads"))->size(), 2u);
  text.replace(text.find("\"sequence\":2"), 12, "\"sequence\":7");
  std::ofstream(in_folder("heads")) << text;
  const auto refused = read_heads(in_folder("heads"));
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().front().found.find("line 2"), std::string::npos);
}

TEST_F(Heads, AKeyThatOthersMayReadIsRefused) {
  const auto first = SigningKey::load_or_make(in_folder("key"));
  EXPECT_EQ(SigningKey::load_or_make(in_folder("key"))->public_key(), first->public_key());
  fs::permissions(in_folder("key"), fs::perms::owner_read | fs::perms::group_read);
  EXPECT_NE(SigningKey::load_or_make(in_folder("key")).error().front().expected.find("only its owner"),
            std::string::npos);
  std::ofstream(in_folder("other")) << "not a key\n";
  ASSERT_EQ(chmod(in_folder("other").c_str(), 0600), 0);
  EXPECT_FALSE(SigningKey::load_or_make(in_folder("other")));
  EXPECT_FALSE(SigningKey::load_or_make(in_folder("no/where")));
}

TEST_F(Heads, ACopyHoldsTheSameChainAndCanBeContinued) {
  const auto from = open(), to = open("copy.sqlite");
  ASSERT_TRUE(from->append(notes(30), moment()));
  ASSERT_EQ(copy_chain(*from, *to, [](VerifyProgress) {}).value(), 30);
  ASSERT_TRUE(from->append(notes(5), moment()));
  ASSERT_EQ(copy_chain(*from, *to, [](VerifyProgress) {}).value(), 35);
  EXPECT_EQ(verified(*to).head, verified(*from).head);
  ASSERT_TRUE(to->append(notes(1), moment()));
  ASSERT_TRUE(from->append(notes(1), moment()));
  EXPECT_FALSE(copy_chain(*from, *to, [](VerifyProgress) {}));  // they have parted
}

TEST_F(Heads, AStoredEntryThatDoesNotFollowIsRefused) {
  const auto from = open(), to = open("copy.sqlite");
  ASSERT_TRUE(from->append(notes(3), moment()));
  auto entries = from->stored_after(0, 3);
  entries[1].json += " ";
  EXPECT_EQ(to->append_stored(entries).error().front().path, "/2");
  EXPECT_EQ(to->last_sequence(), 0);
}

// RFC 8032, section 7.1, tests 1 and 2 (values from memory).
TEST(Ed25519, KnownVectors) {
  const auto first = SigningKey::from_seed("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60");
  EXPECT_EQ(first.public_key(), "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a");
  EXPECT_EQ(
      first.sign(""),
      "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595b"
      "be24655141438e7a100b");
  const auto second = SigningKey::from_seed("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb");
  EXPECT_EQ(second.public_key(), "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c");
  EXPECT_EQ(
      second.sign("\x72"),
      "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb430"
      "2aeeb00d291612bb0c00");
  EXPECT_TRUE(signature_fits(first.public_key(), "", first.sign("")));
  EXPECT_FALSE(signature_fits(first.public_key(), "x", first.sign("")));
  EXPECT_FALSE(signature_fits("short", "", first.sign("")));
}

}  // namespace
}  // namespace dwell::ledger
