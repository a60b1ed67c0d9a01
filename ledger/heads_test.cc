#include "ledger/heads.h"
#include "exchange/said/said.h"

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>

#include "ledger/chain.h"
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
    for (const auto& head : heads->heads) known[head.sequence] = head.hash;
    return open()->verify([](VerifyProgress) {}, known);
  }
  [[nodiscard]] std::string file(const char* name) const {
    std::ifstream in(in_folder(name));
    return {std::istreambuf_iterator<char>(in), {}};
  }
  /// So many entries, the head signed after each.
  void sign_each_of(int count) {
    const auto key = SigningKey::load_or_make(in_folder("key"));
    for (int i = 0; i < count; ++i) {
      ASSERT_TRUE(open()->append(notes(1), moment()));
      ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
    }
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
  EXPECT_TRUE(read_heads(in_folder("heads"))->heads.empty());
  ASSERT_TRUE(open()->append(notes(1), moment()));
  for (int i = 0; i < 3; ++i) ASSERT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
  EXPECT_EQ(read_heads(in_folder("heads"))->heads.size(), 1u);
}

TEST_F(Heads, AChangedLineIsNamedAndHidesNoOther) {
  sign_each_of(3);
  std::string text = file("heads");
  text.replace(text.find("\"sequence\":2"), 12, "\"sequence\":7");
  std::ofstream(in_folder("heads")) << "not a head\n" << text;
  const auto kept = read_heads(in_folder("heads"));
  ASSERT_TRUE(kept);
  EXPECT_EQ(kept->heads.size(), 2u);
  ASSERT_EQ(kept->changed.size(), 2u);
  EXPECT_NE(kept->changed[0].found.find("line 1"), std::string::npos);
  EXPECT_NE(kept->changed[1].found.find("line 3"), std::string::npos);
}

// A power cut in the middle of a line: at each place where it can be cut, the next head is added as if it had not been.
TEST_F(Heads, ATornEndIsMendedBeforeTheNextHead) {
  sign_each_of(2);
  const std::string text = file("heads");
  const auto second = text.find('\n') + 1;
  const SignedHead third = SigningKey::load_or_make(in_folder("key"))->sign_head(3, genesis_hash(), moment());
  for (std::size_t cut = second + 1; cut < text.size(); ++cut) {
    std::ofstream(in_folder("heads"), std::ios::trunc) << text.substr(0, cut);
    ASSERT_EQ(read_heads(in_folder("heads"))->torn, 1) << cut;
    ASSERT_EQ(read_heads(in_folder("heads"))->heads.size(), 1u) << cut;
    ASSERT_TRUE(keep_head(in_folder("heads"), third));
    const auto kept = read_heads(in_folder("heads"));
    ASSERT_EQ(kept->heads.size(), 2u) << cut;
    ASSERT_EQ(kept->heads.back(), third) << cut;
    ASSERT_TRUE(kept->changed.empty()) << cut;
    ASSERT_EQ(kept->torn, 0) << cut;
  }
}

// What a power cut leaves may hold anything, also an end of line: it is torn, and nobody's change.
TEST_F(Heads, ATornEndMayHoldAnything) {
  sign_each_of(2);
  const std::string text = file("heads");
  const SignedHead third = SigningKey::load_or_make(in_folder("key"))->sign_head(3, genesis_hash(), moment());
  for (const std::string& piece : {std::string("\n"), std::string(40, '\0') + "\n", std::string("}\n{\n\n"),
                                   std::string(200, '\xff'), std::string("{\"sequence\":3,\"hash\n")}) {
    std::ofstream(in_folder("heads"), std::ios::trunc) << text << piece;
    const auto torn = read_heads(in_folder("heads"));
    ASSERT_EQ(torn->torn, 1);
    ASSERT_EQ(torn->heads.size(), 2u);
    ASSERT_TRUE(torn->changed.empty());
    ASSERT_TRUE(keep_head(in_folder("heads"), third));
    const auto kept = read_heads(in_folder("heads"));
    ASSERT_EQ(kept->heads.size(), 3u);
    ASSERT_EQ(kept->torn, 0);
  }
  // More than the one head that can be torn is something else.
  std::ofstream(in_folder("heads"), std::ios::trunc) << text << std::string(1500, 'x') << '\n';
  EXPECT_EQ(read_heads(in_folder("heads"))->changed.size(), 1u);
}

TEST_F(Heads, AHeadBehindATornOneIsReadAsOlderVersionsLeftIt) {
  sign_each_of(2);
  std::string text = file("heads");
  const auto second = text.find('\n') + 1;
  std::ofstream(in_folder("heads")) << text.substr(0, second - 40) << text.substr(second);
  const auto kept = read_heads(in_folder("heads"));
  ASSERT_EQ(kept->heads.size(), 1u);
  EXPECT_EQ(kept->heads.front().sequence, 2);
  EXPECT_EQ(kept->torn, 1);
  EXPECT_TRUE(kept->changed.empty());
}

TEST_F(Heads, ARecordThatContradictsItsLastHeadIsNotSigned) {
  sign_each_of(5);
  const auto key = SigningKey::load_or_make(in_folder("key"));
  const std::string before = file("heads");
  EXPECT_TRUE(fits_last_head(*open(), key->public_key(), in_folder("heads")));

  sql("DELETE FROM event WHERE sequence > 3");
  const auto shorter = sign_now(*open(), *key, in_folder("heads"), moment());
  ASSERT_FALSE(shorter);
  EXPECT_EQ(shorter.error().front().path, "/heads");
  EXPECT_NE(shorter.error().front().found.find("ends at entry 3"), std::string::npos);

  ASSERT_TRUE(open()->append(notes(4), moment()));  // longer than what was signed, but another history
  EXPECT_FALSE(sign_now(*open(), *key, in_folder("heads"), moment()));
  EXPECT_EQ(file("heads"), before) << "nothing was signed on top";

  fs::rename(in_folder("heads"), in_folder("heads-contradicted"));  // what a person does who has decided
  EXPECT_TRUE(sign_now(*open(), *key, in_folder("heads"), moment()));
}

TEST_F(Heads, AForeignHeadIsNotSignedOver) {
  sign_each_of(1);
  const auto foreign = SigningKey::load_or_make(in_folder("foreign"));
  const auto refused = sign_now(*open(), *foreign, in_folder("heads"), moment());
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().front().found.find("another key"), std::string::npos);
}

TEST_F(Heads, TheKeyIsPinnedWhenItIsMade) {
  EXPECT_FALSE(pinned_key(in_folder("key"))->has_value());
  const auto first = SigningKey::load_or_make(in_folder("key"));
  ASSERT_TRUE(first);
  EXPECT_EQ(pinned_key(in_folder("key"))->value(), first->public_key());

  fs::rename(in_folder("key"), in_folder("key-lost"));
  const auto gone = SigningKey::load_or_make(in_folder("key"));
  ASSERT_FALSE(gone) << "no other key is made in its place";
  EXPECT_NE(said::in_english(gone.error().front().expected).find(first->public_key()), std::string::npos);
  EXPECT_FALSE(fs::exists(in_folder("key")));

  ASSERT_TRUE(SigningKey::load_or_make(in_folder("other")));
  fs::copy(in_folder("other"), in_folder("key"));
  ASSERT_EQ(chmod(in_folder("key").c_str(), 0600), 0);
  EXPECT_FALSE(SigningKey::load_or_make(in_folder("key"))) << "exchanged";

  fs::rename(in_folder("key-lost"), in_folder("key"));
  EXPECT_EQ(SigningKey::load_or_make(in_folder("key"))->public_key(), first->public_key());
}

TEST_F(Heads, AKeyThatOthersMayReadIsRefused) {
  const auto first = SigningKey::load_or_make(in_folder("key"));
  EXPECT_EQ(SigningKey::load_or_make(in_folder("key"))->public_key(), first->public_key());
  fs::permissions(in_folder("key"), fs::perms::owner_read | fs::perms::group_read);
  EXPECT_NE(
      said::in_english(SigningKey::load_or_make(in_folder("key")).error().front().expected).find("only its owner"),
      std::string::npos);
  std::ofstream(in_folder("other")) << "not a key\n";
  ASSERT_EQ(chmod(in_folder("other").c_str(), 0600), 0);
  EXPECT_FALSE(SigningKey::load_or_make(in_folder("other")));
  EXPECT_FALSE(SigningKey::load_or_make(in_folder("no/where")));
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
