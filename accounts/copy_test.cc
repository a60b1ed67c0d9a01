// A copy of the accounts: who was let in is let in there too, nobody is signed in by it, and the audit is the same
// book.
#include "accounts/copy.h"

#include <gtest/gtest.h>
#include <soci/sqlite3/soci-sqlite3.h>
#include <unistd.h>

#include <filesystem>

#include "accounts/accounts.h"
#include "ledger/open.h"

namespace dwell::accounts {
namespace {

const std::string passphrase = "three blue herons at dawn", pin = "481516";

class CopiedAccountsTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / ("dwell-accounts-copy-" + std::to_string(getpid()));
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
    from_ = *Store::open(path("ward.sqlite"));
    const auto person = *people(from_).keep({"", "rokoro", "Rosalind Okoro", "RO", Role::nurse, {"North"}, true});
    const auto token = *people(from_).invite(person.id, now_);
    EXPECT_TRUE(people(from_).accept({token, passphrase, pin, {}, {}, {}}, now_));
    look("GET /api/lines/{line}");
    look("POST /api/events");
  }
  void TearDown() override {
    from_.reset();
    std::filesystem::remove_all(folder_);
  }

  [[nodiscard]] std::string path(const std::string& name) const { return (folder_ / name).string(); }
  static Accounts people(const std::shared_ptr<Store>& store) {
    Rules rules;
    rules.cost = {1, 8192};
    return {store, rules};
  }
  void look(const std::string& act) { Audit(from_).add({now_, "someone", "nurse", act, {"line-1"}, 200}); }
  /// As somebody with the file in her hands.
  void raw(const std::string& name, const std::string& statement) const {
    soci::session sql(soci::sqlite3, "db=" + path(name) + ".accounts timeout=10");
    sql << statement;
  }
  [[nodiscard]] Checked<CopiedAccounts> copy(const std::string& name) const {
    return copy_accounts(from_, *Store::open(path(name)));
  }

  std::filesystem::path folder_;
  std::shared_ptr<Store> from_;
  Instant now_ = *parse_instant("2026-11-25T08:00:00Z");
};

TEST_F(CopiedAccountsTest, WhoWasLetInIsLetInThereAndNobodyIsSignedInByIt) {
  const auto session = people(from_).sign_in("rokoro", passphrase, "", now_);
  ASSERT_TRUE(session);
  const auto copied = copy("copy.sqlite");
  ASSERT_TRUE(copied);
  EXPECT_EQ(copied->people, 1);
  EXPECT_EQ(copied->audit.rows, 2);
  EXPECT_TRUE(copied->is_proven());
  const auto there = *Store::open(path("copy.sqlite"));
  EXPECT_FALSE(people(there).session(session->token, now_));
  const auto anew = people(there).sign_in("rokoro", passphrase, "", now_);
  ASSERT_TRUE(anew);
  EXPECT_EQ(anew->session.person.wards, std::vector<std::string>{"North"});
}

TEST_F(CopiedAccountsTest, AgainAddsWhatIsNewAndTakesOutWhoWasChanged) {
  ASSERT_TRUE(copy("copy.sqlite"));
  look("GET /api/lines/{line}/note.pdf");
  auto person = people(from_).people().front();
  person.active = false;
  ASSERT_TRUE(people(from_).keep(person));
  const auto copied = copy("copy.sqlite");
  ASSERT_TRUE(copied);
  EXPECT_EQ(copied->people, 1);
  EXPECT_EQ(copied->audit.rows, 3);
  EXPECT_EQ(copied->audit.head, Audit(from_).walk([](const AuditRow&) {}).head);
  const auto there = *Store::open(path("copy.sqlite"));
  EXPECT_FALSE(people(there).sign_in("rokoro", passphrase, "", now_)) << "whoever left has left there too";
}

TEST_F(CopiedAccountsTest, ManyRowsComeWhole) {
  for (int i = 0; i < 2100; ++i) look("GET /api/ward");
  const auto copied = copy("copy.sqlite");
  ASSERT_TRUE(copied);
  EXPECT_EQ(copied->audit.rows, 2102);
  EXPECT_TRUE(copied->is_proven());
}

TEST_F(CopiedAccountsTest, ARowThatWasChangedIsCopiedAsItIsAndNamed) {
  raw("ward.sqlite", "UPDATE audit SET who = 'another' WHERE sequence = 1");
  const auto copied = copy("copy.sqlite");
  ASSERT_TRUE(copied);
  EXPECT_EQ(copied->audit.rows, 2);
  EXPECT_EQ(copied->audit.broken, 1);
  EXPECT_FALSE(copied->is_proven());
}

TEST_F(CopiedAccountsTest, AnotherBookIsNeverWrittenOver) {
  const auto other = *Store::open(path("other.sqlite"));
  Audit(other).add({now_, "someone else", "nurse", "GET /api/ward", {}, 200});
  static_cast<void>(people(other).keep({"", "mhale", "Mira Hale", "MH", Role::nurse, {"South"}, true}));
  const auto refused = copy("other.sqlite");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/audit");
  EXPECT_EQ(people(other).people().front().sign_in, "mhale") << "nothing was changed there";
}

TEST_F(CopiedAccountsTest, ABookThatIsAheadIsNoEarlierCopy) {
  ASSERT_TRUE(copy("copy.sqlite"));
  Audit(*Store::open(path("copy.sqlite"))).add({now_, "someone", "nurse", "GET /api/ward", {}, 200});
  EXPECT_FALSE(copy("copy.sqlite"));
}

TEST_F(CopiedAccountsTest, ACopyIsReadWithoutWritingToItOrBesideIt) {
  ASSERT_TRUE(copy("copy.sqlite"));
  const auto before = ledger::stamp(path("copy.sqlite.accounts"));
  std::filesystem::permissions(folder_ / "copy.sqlite.accounts", std::filesystem::perms::owner_read);
  const auto untouched = Store::open_untouched(path("copy.sqlite"));
  ASSERT_TRUE(untouched);
  EXPECT_EQ(people(*untouched).people().size(), 1u);
  EXPECT_EQ(copy_accounts(*untouched, *Store::open(path("third.sqlite")))->audit.rows, 2);
  EXPECT_EQ(ledger::stamp(path("copy.sqlite.accounts")), before);
  EXPECT_FALSE(std::filesystem::exists(path("copy.sqlite.accounts-wal")));
  EXPECT_FALSE(Store::open_untouched(path("nothing.sqlite"))) << "and none is made";
  EXPECT_FALSE(std::filesystem::exists(path("nothing.sqlite.accounts")));
}

}  // namespace
}  // namespace dwell::accounts
