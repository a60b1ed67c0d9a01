// People, sign-in, PIN and sessions, on both engines; what is tried here are attacks on them.
#include "accounts/accounts.h"

#include <gtest/gtest.h>
#include <soci/postgresql/soci-postgresql.h>
#include <soci/sqlite3/soci-sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <thread>

#include "accounts/audit.h"

namespace dwell::accounts {
namespace {

using namespace std::chrono_literals;

enum class Engine { sqlite, postgresql };

const std::string passphrase = "three blue herons at dawn", pin = "481516";

class AccountsTest : public testing::TestWithParam<Engine> {
 protected:
  void SetUp() override {
    if (GetParam() == Engine::sqlite) {
      folder_ = std::filesystem::temp_directory_path() / ("dwell-accounts-test-" + std::to_string(getpid()));
      std::filesystem::remove_all(folder_);
      std::filesystem::create_directories(folder_);
      record_ = (folder_ / "ward.sqlite").string();
    } else {
      const char* server = std::getenv("DWELL_TEST_POSTGRESQL");
      if (!server) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
      record_ = server;
      raw("DROP SCHEMA IF EXISTS dwell_accounts CASCADE");
    }
    EXPECT_FALSE(Store::exists(record_));
    store_ = *Store::open(record_);
    EXPECT_TRUE(Store::exists(record_));
    Rules rules;
    rules.cost = {1, 8192};
    accounts_ = std::make_unique<Accounts>(store_, rules);
  }
  void TearDown() override {
    accounts_.reset();
    store_.reset();
    if (GetParam() == Engine::sqlite)
      std::filesystem::remove_all(folder_);
    else if (!record_.empty())
      raw("DROP SCHEMA IF EXISTS dwell_accounts CASCADE");
  }
  /// As somebody with the file or the database in her hands.
  void raw(const std::string& statement) const {
    if (GetParam() == Engine::sqlite) {
      soci::session sql(soci::sqlite3, "db=" + record_ + ".accounts timeout=10");
      sql << statement;
    } else {
      soci::session sql(soci::postgresql, record_);
      if (!statement.starts_with("DROP")) sql << "SET search_path = dwell_accounts";
      sql << statement;
    }
  }

  [[nodiscard]] Person first() {
    return *accounts_->accept({accounts_->invite_first(now_), passphrase, pin, "admin", "A. Ngo", "AN"}, now_);
  }
  [[nodiscard]] Person nurse(const std::string& sign_in = "rokoro", const std::string& name = "R. Okoro") {
    const auto person = *accounts_->keep({"", sign_in, name, "RO", Role::nurse, {"North"}, true});
    return *accounts_->accept({*accounts_->invite(person.id, now_), passphrase, pin, {}, {}, {}}, now_);
  }
  [[nodiscard]] SignedIn in(const std::string& sign_in = "rokoro") {
    return *accounts_->sign_in(sign_in, passphrase, "", now_);
  }
  [[nodiscard]] static std::string path(const FieldErrors& errors) { return errors.front().path; }

  std::filesystem::path folder_;
  std::string record_;
  std::shared_ptr<Store> store_;
  std::unique_ptr<Accounts> accounts_;
  Instant now_ = *parse_instant("2026-11-25T08:00:00Z");
};

TEST_P(AccountsTest, TheFirstLinkMakesTheFirstAdministratorOnce) {
  EXPECT_FALSE(accounts_->has_administrator());
  const auto old = accounts_->invite_first(now_), link = accounts_->invite_first(now_);
  EXPECT_FALSE(accounts_->invited(old, now_)) << "a newer link voids the older";
  ASSERT_TRUE(accounts_->invited(link, now_));
  EXPECT_FALSE(accounts_->invited(link, now_ + accounts_->rules().invitation + 1s));
  EXPECT_FALSE(accounts_->invited(std::string(64, '0'), now_));
  const Acceptance given{link, passphrase, pin, "Admin", "A. Ngo", "AN"};
  ASSERT_TRUE(accounts_->accept(given, now_));
  EXPECT_TRUE(accounts_->has_administrator());
  EXPECT_FALSE(accounts_->accept(given, now_)) << "a link counts once";
  const auto another = accounts_->invite_first(now_);
  EXPECT_FALSE(accounts_->invited(another, now_)) << "there is an administrator";
}

TEST_P(AccountsTest, NothingSecretIsKeptAsItIs) {
  const auto person = nurse();
  const auto session = in();
  const auto link = *accounts_->invite(person.id, now_);
  std::string all;
  store_->reading([&](soci::session& sql) {
    for (const char* columns :
         {"password || pin FROM person", "token FROM session", "token FROM invitation", "who FROM attempt"}) {
      std::string one;
      soci::statement select = (sql.prepare << std::string("SELECT ") + columns, soci::into(one));
      select.execute();
      while (select.fetch()) all += one + "\n";
    }
    return true;
  });
  EXPECT_NE(all.find("$argon2id$"), std::string::npos);
  for (const auto& secret : {passphrase, pin, session.token, link}) EXPECT_EQ(all.find(secret), std::string::npos);
  if (GetParam() == Engine::sqlite) {
    struct stat facts {};
    ASSERT_EQ(::stat((record_ + ".accounts").c_str(), &facts), 0);
    EXPECT_EQ(facts.st_mode & 0777, 0600u);
  }
}

TEST_P(AccountsTest, PasswordsThatAreTriedFirstAreRefusedWhateverTheirLength) {
  const Person person{"", "rokoro", "Rosalind Okoro", "RO", Role::nurse, {"North"}, true};
  for (const char* password :
       {"", "short", "passwordpassword", "123456789012345", "qwertyuiopasdfgh", "aaaaaaaaaaaaaaaaaaaa",
        "rosalind okoro north", "letmeinletmeinletmein", "Password1234567"})
    EXPECT_FALSE(check_password(password, person, 15).empty()) << password;
  for (const char* password : {"three blue herons at dawn", "el gato duerme en la ventana", "blue teacup window"})
    EXPECT_TRUE(check_password(password, person, 15).empty()) << password << ": no rules of composition";
  EXPECT_FALSE(check_password("blue teacup window", person, 30).empty()) << "a house may ask for more";
  for (const char* weak : {"", "12345", "123456", "987654", "111111", "121212", "12a456", "1234567890123"})
    EXPECT_FALSE(check_pin(weak).empty()) << weak;
  EXPECT_TRUE(check_pin(pin).empty());
  for (const auto& wrong : check_password("correct-guess", person, 15)) EXPECT_EQ(wrong.found, "") << "never said back";
}

TEST_P(AccountsTest, ANameThatNobodyHasTakesTheSameWork) {
  static_cast<void>(nurse());
  const int before = accounts_->looks();
  const auto wrong = accounts_->sign_in("rokoro", "not this one at all", "", now_);
  const int known = accounts_->looks() - before;
  const auto nobody = accounts_->sign_in("nobody", "not this one at all", "", now_);
  EXPECT_EQ(accounts_->looks() - before - known, known);
  EXPECT_EQ(known, 1);
  ASSERT_FALSE(wrong);
  ASSERT_FALSE(nobody);
  EXPECT_EQ(wrong.error(), nobody.error()) << "and the same words";
}

TEST_P(AccountsTest, GuessingIsSlowedDownForNamesThatAreThereAndForThoseThatAreNot) {
  static_cast<void>(nurse());
  for (const char* name : {"rokoro", "nobody"}) {
    for (int i = 0; i < 5; ++i)
      EXPECT_EQ(path(accounts_->sign_in(name, "wrong", "", now_).error()), "/password") << name << i;
    const int looks = accounts_->looks();
    EXPECT_EQ(path(accounts_->sign_in(name, passphrase, "", now_).error()), "/wait") << "even with the right one";
    EXPECT_EQ(accounts_->looks(), looks) << "and nothing was looked at";
  }
  // It grows, and it has an end: nobody is locked out for good by whoever knows her name.
  auto at = now_;
  for (int i = 0; i < 20; ++i) {
    at += 15min;
    EXPECT_EQ(path(accounts_->sign_in("rokoro", "wrong", "", at).error()), "/password") << i;
  }
  EXPECT_EQ(path(accounts_->sign_in("rokoro", passphrase, "", at + 14min).error()), "/wait");
  EXPECT_TRUE(accounts_->sign_in("ROkoro ", passphrase, "", at + 15min));
  EXPECT_TRUE(accounts_->sign_in("rokoro", passphrase, "", at + 15min)) << "the count begins anew";
}

TEST_P(AccountsTest, AnotherWardIsOpenedInAnEmergencyForAWhileAndWithAReason) {
  const auto person = nurse();
  static_cast<void>(accounts_->keep({"", "mhale", "Mira Hale", "MH", Role::nurse, {"South"}, true}));
  const auto session = in();
  EXPECT_FALSE(session.session.sees("South"));
  EXPECT_EQ(path(accounts_->open_ward(person, "South", "", now_).error()), "/reason");
  EXPECT_EQ(path(accounts_->open_ward(person, "South", std::string(201, 'x'), now_).error()), "/reason");
  EXPECT_EQ(path(accounts_->open_ward(person, "North", "called to help there", now_).error()), "/ward") << "it is hers";
  EXPECT_EQ(path(accounts_->open_ward(person, "East", "called to help there", now_).error()), "/ward");
  const auto opened = accounts_->open_ward(person, "South", "called to help there", now_);
  ASSERT_TRUE(opened);
  EXPECT_EQ(opened->until, now_ + 60min);
  const auto now_sees = accounts_->session(session.token, now_);
  ASSERT_TRUE(now_sees);
  EXPECT_TRUE(now_sees->sees("South"));
  ASSERT_EQ(now_sees->opened.size(), 1u);
  EXPECT_EQ(now_sees->opened.front().until, now_ + 60min);
  accounts_->stays(session.token, now_ + 9min);
  EXPECT_TRUE(accounts_->session(session.token, now_ + 60min - 1ms)->sees("South"));
  EXPECT_FALSE(accounts_->session(session.token, now_ + 60min)->sees("South")) << "and then it is closed again";
}

TEST_P(AccountsTest, WhoLooksAfterNobodyOpensNoWard) {
  static_cast<void>(nurse());
  for (const Role role : {Role::administrator, Role::policy_owner, Role::quality_analyst}) {
    Person person{"x", "someone", "Some One", "SO", role, {}, true};
    EXPECT_EQ(path(accounts_->open_ward(person, "North", "called to help there", now_).error()), "/role");
  }
}

TEST_P(AccountsTest, WhatWasOpenedIsClosedWithEverySessionOfHers) {
  const auto person = nurse();
  static_cast<void>(accounts_->keep({"", "mhale", "Mira Hale", "MH", Role::nurse, {"South"}, true}));
  ASSERT_TRUE(accounts_->open_ward(person, "South", "called to help there", now_));
  accounts_->end_everywhere(person.id);
  EXPECT_FALSE(in().session.sees("South"));
}

TEST_P(AccountsTest, ManyTriesAtOnceAreNoMoreTries) {
  static_cast<void>(nurse());
  const int before = accounts_->looks();
  std::vector<std::thread> all;
  for (int i = 0; i < 24; ++i)
    all.emplace_back([&] { static_cast<void>(accounts_->sign_in("rokoro", "wrong", "", now_)); });
  for (auto& one : all) one.join();
  EXPECT_LE(accounts_->looks() - before, 5);
}

TEST_P(AccountsTest, SigningInGivesAnotherTokenThanCameWithTheRequest) {
  static_cast<void>(nurse());
  const auto planted = in();
  const auto fresh = *accounts_->sign_in("rokoro", passphrase, planted.token, now_);
  EXPECT_NE(fresh.token, planted.token);
  EXPECT_FALSE(accounts_->session(planted.token, now_)) << "what was planted is void";
  EXPECT_TRUE(accounts_->session(fresh.token, now_));
  EXPECT_EQ(fresh.token.size(), 64u);
  for (const std::string& forged : {std::string(), std::string("0"), std::string(64, '0'), fresh.token + "0",
                                    fresh.token.substr(1), kept_of_token(fresh.token)})
    EXPECT_FALSE(accounts_->session(forged, now_)) << forged;
}

TEST_P(AccountsTest, AnIdleSessionIsLockedAndThePinOpensItUnderAnotherToken) {
  static_cast<void>(nurse());
  const auto session = in();
  EXPECT_FALSE(accounts_->session(session.token, now_ + 9min)->locked);
  accounts_->stays(session.token, now_ + 9min);
  EXPECT_FALSE(accounts_->session(session.token, now_ + 18min)->locked);
  const auto later = now_ + 19min;
  EXPECT_TRUE(accounts_->session(session.token, later)->locked);
  accounts_->stays(session.token, later);
  EXPECT_TRUE(accounts_->session(session.token, later)->locked) << "staying opens nothing";
  EXPECT_EQ(path(accounts_->open_again(session.token, "999111", later).error()), "/pin");
  const auto open = accounts_->open_again(session.token, pin, later);
  ASSERT_TRUE(open);
  EXPECT_NE(open->token, session.token);
  EXPECT_FALSE(accounts_->session(session.token, later));
  EXPECT_FALSE(accounts_->session(open->token, later)->locked);
}

TEST_P(AccountsTest, ASessionEndsHoweverBusySheIs) {
  static_cast<void>(nurse());
  auto token = in().token;
  const auto end = now_ + accounts_->rules().longest;
  token = accounts_->open_again(token, pin, end - 1min)->token;
  EXPECT_TRUE(accounts_->session(token, end - 1s));
  EXPECT_FALSE(accounts_->session(token, end)) << "the PIN makes it no longer";
  EXPECT_FALSE(accounts_->open_again(token, pin, end));
}

TEST_P(AccountsTest, GuessingThePinEndsTheSession) {
  static_cast<void>(nurse());
  const auto session = in();
  accounts_->lock(session.token);
  for (int i = 0; i < 5; ++i) EXPECT_EQ(path(accounts_->open_again(session.token, "000001", now_).error()), "/pin");
  EXPECT_EQ(path(accounts_->open_again(session.token, pin, now_).error()), "/session");
  EXPECT_FALSE(accounts_->session(session.token, now_));
}

TEST_P(AccountsTest, AWrongPinLocksWhatWasOpen) {
  static_cast<void>(nurse());
  const auto session = in();
  EXPECT_FALSE(accounts_->open_again(session.token, "000001", now_));
  EXPECT_TRUE(accounts_->session(session.token, now_)->locked);
}

TEST_P(AccountsTest, SignedOutIsSignedOutHereOrEverywhere) {
  const auto person = nurse();
  const auto here = in(), there = in(), home = in();
  accounts_->end(here.token);
  EXPECT_FALSE(accounts_->session(here.token, now_));
  EXPECT_TRUE(accounts_->session(there.token, now_));
  accounts_->end_everywhere(person.id);
  EXPECT_FALSE(accounts_->session(there.token, now_));
  EXPECT_FALSE(accounts_->session(home.token, now_));
}

TEST_P(AccountsTest, WhoMayDoLessIsSignedOutAtOnce) {
  static_cast<void>(first());
  auto person = nurse();
  for (const auto& change : {+[](Person& p) { p.wards = {"South"}; }, +[](Person& p) { p.role = Role::policy_owner; },
                             +[](Person& p) { p.active = false; }}) {
    const auto session = in();
    change(person);
    ASSERT_TRUE(accounts_->keep(person));
    EXPECT_FALSE(accounts_->session(session.token, now_));
  }
  EXPECT_FALSE(accounts_->sign_in("rokoro", passphrase, "", now_)) << "she is active no longer";
  EXPECT_FALSE(accounts_->invite(person.id, now_));
}

TEST_P(AccountsTest, ANewPasswordEndsWhatWasOpenWithTheOldOne) {
  const auto person = nurse();
  const auto session = in();
  const auto link = *accounts_->invite(person.id, now_);
  EXPECT_TRUE(accounts_->session(session.token, now_)) << "being invited changes nothing yet";
  ASSERT_TRUE(accounts_->accept({link, "another seven grey geese", pin, {}, {}, {}}, now_));
  EXPECT_FALSE(accounts_->session(session.token, now_));
  EXPECT_FALSE(accounts_->sign_in("rokoro", passphrase, "", now_));
  EXPECT_TRUE(accounts_->sign_in("rokoro", "another seven grey geese", "", now_));
}

TEST_P(AccountsTest, WhoFollowsALinkChangesNothingButHerSecrets) {
  const auto person = *accounts_->keep({"", "rokoro", "R. Okoro", "RO", Role::nurse, {"North"}, true});
  const auto link = *accounts_->invite(person.id, now_);
  const auto accepted = *accounts_->accept({link, passphrase, pin, "admin", "A. Ngo", "AN"}, now_);
  EXPECT_EQ(accepted.name, "R. Okoro");
  EXPECT_EQ(accepted.sign_in, "rokoro");
  EXPECT_EQ(accepted.role, Role::nurse);
}

TEST_P(AccountsTest, NoTwoAreCalledAlikeAndTheHouseKeepsAnAdministrator) {
  auto admin = first();
  const auto person = nurse();
  EXPECT_EQ(path(accounts_->keep({"", "rokoro", "Another", "A", Role::nurse, {"North"}, true}).error()), "/sign_in");
  EXPECT_EQ(path(accounts_->keep({"", "other", "r. okoro", "A", Role::nurse, {"North"}, true}).error()), "/name");
  auto renamed = person;
  renamed.name = "Somebody Else";
  EXPECT_EQ(path(accounts_->keep(renamed).error()), "/name") << "entries name their author";
  admin.active = false;
  EXPECT_EQ(path(accounts_->keep(admin).error()), "/role");
  EXPECT_FALSE(accounts_->keep({"", "x y", "", "", Role::nurse, {}, true}));
}

TEST_P(AccountsTest, AnAuditThatWasEditedDoesNotFollow) {
  Audit audit(store_);
  for (int i = 0; i < 5; ++i) audit.add({now_, "p" + std::to_string(i), "nurse", "GET /api/lines/{line}", {"l"}, 200});
  std::vector<AuditRow> rows;
  const auto whole = audit.walk([&](const AuditRow& row) { rows.push_back(row); });
  EXPECT_EQ(whole.rows, 5);
  EXPECT_EQ(whole.broken, 0);
  EXPECT_EQ(rows.at(3).who, "p3");
  EXPECT_EQ(rows.at(3).lines, std::vector<std::string>{"l"});
  const auto broken_at = [&] { return audit.walk([](const AuditRow&) {}).broken; };
  raw("UPDATE audit SET who = 'p9' WHERE sequence = 3");
  EXPECT_EQ(broken_at(), 3);
  raw("UPDATE audit SET who = 'p2' WHERE sequence = 3");
  EXPECT_EQ(broken_at(), 0);
  raw("DELETE FROM audit WHERE sequence = 2");
  EXPECT_EQ(broken_at(), 3);
}

INSTANTIATE_TEST_SUITE_P(Each, AccountsTest, testing::Values(Engine::sqlite, Engine::postgresql),
                         [](const auto& engine) { return engine.param == Engine::sqlite ? "Sqlite" : "Postgresql"; });

}  // namespace
}  // namespace dwell::accounts
