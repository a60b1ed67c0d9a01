#pragma once
// People, how they come in, and who is in: on the store beside the record.
#include <atomic>
#include <chrono>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "accounts/passkey.h"
#include "accounts/person.h"
#include "accounts/secret.h"
#include "accounts/store.h"
#include "quantity/time.h"

namespace dwell::accounts {

struct Rules {
  std::size_t least_password = 15;
  std::chrono::milliseconds idle = std::chrono::minutes(10);       ///< then a session is locked until the PIN
  std::chrono::milliseconds longest = std::chrono::hours(13);      ///< then it ends: a shift and its handover
  std::chrono::milliseconds invitation = std::chrono::hours(72);   ///< for as long a link to a first password holds
  std::chrono::milliseconds challenge = std::chrono::minutes(5);   ///< for as long a device may take to be unlocked
  std::chrono::milliseconds emergency = std::chrono::minutes(60);  ///< for as long another ward stays open
  Cost cost;
};

/// Of somebody who reads the accounts and lets nobody in: a password then costs next to nothing.
[[nodiscard]] inline Rules rules_to_read() {
  Rules rules;
  rules.cost = {1, 8192};
  return rules;
}

/// A ward that is not hers, which she opened in an emergency.
struct OpenedWard {
  std::string ward;
  Instant until{};
};
BOOST_DESCRIBE_STRUCT(OpenedWard, (), (ward, until))

/// Who is in, by a token that she showed.
struct Session {
  Person person;
  bool locked = false;  ///< only the PIN goes on
  Instant ends{};
  /// Wards of the house that are not hers. What is of no ward, or of one that nobody has (it may be mistyped), is
  /// everybody's: a line must never fall out of sight.
  std::set<std::string> elsewhere;
  /// Of those, which she opened in an emergency; they are not in `elsewhere` meanwhile.
  std::vector<OpenedWard> opened;

  [[nodiscard]] bool sees(const std::string& ward) const { return !elsewhere.contains(ward); }
};

/// A session that began or went on under a new token.
struct SignedIn {
  std::string token;
  Session session;
};

/// What somebody says of herself who follows her link. Name, initials and sign-in are asked of the first administrator
/// only; of the others they stand.
struct Acceptance {
  std::string token, password, pin;
  std::optional<std::string> sign_in, name, initials;
};
BOOST_DESCRIBE_STRUCT(Acceptance, (), (token, password, pin, sign_in, name, initials))

/// A passkey as its owner sees it.
struct Passkey {
  std::string id, name;
  Instant made{};
};
BOOST_DESCRIBE_STRUCT(Passkey, (), (id, name, made))

class Accounts {
 public:
  Accounts(std::shared_ptr<Store> store, Rules rules);

  // ---- people ----

  /// Is there an administrator who can sign in?
  [[nodiscard]] bool has_administrator();
  [[nodiscard]] std::vector<Person> people();
  /// Makes or changes one. Refuses a name or sign-in that another has, and to leave the house without an
  /// administrator. Who may do less from now on, or is active no longer, is signed out.
  [[nodiscard]] Checked<Person> keep(Person person);
  /// The token of a link with which she sets a password and a PIN, once. What was invited before for her is void. Until
  /// she does, the old password holds.
  [[nodiscard]] Checked<std::string> invite(const std::string& person, Instant now);
  /// The same for the first administrator, who is nobody yet.
  [[nodiscard]] std::string invite_first(Instant now);
  /// Who is invited by this token; a person without a name for the first administrator.
  [[nodiscard]] Checked<Person> invited(const std::string& token, Instant now);
  /// The token is used up, and every session of hers has ended.
  [[nodiscard]] Checked<Person> accept(const Acceptance& given, Instant now);

  /// Opens a ward of others to somebody who looks after patients, at once and for a while: nobody waits for an
  /// administrator at a stranger's bed. Refuses a ward that is hers or nobody's, and no reason. Whoever calls it writes
  /// it into the audit.
  [[nodiscard]] Checked<OpenedWard> open_ward(const Person& person, const std::string& ward, const std::string& reason,
                                              Instant now);

  // ---- passkeys ----

  /// What a device is to sign for a new key of hers. Asks for the password again, and counts as a try: whoever finds a
  /// workstation open may not make a key for herself.
  [[nodiscard]] Checked<std::string> begin_passkey(const Person& person, const std::string& password, Instant now);
  [[nodiscard]] Checked<Passkey> keep_passkey(const Person& person, const PasskeyMade& made, const RelyingParty& party,
                                              Instant now);
  [[nodiscard]] std::vector<Passkey> passkeys(const std::string& person);
  void forget_passkey(const std::string& person, const std::string& id);
  /// What a device is to sign so that its owner comes in.
  [[nodiscard]] std::string begin_sign_in(Instant now);
  /// As sign_in(): the key says who it is, and that she was seen.
  [[nodiscard]] Checked<SignedIn> sign_in_by_passkey(const PasskeyUsed& used, const RelyingParty& party,
                                                     const std::string& before, Instant now);

  // ---- sessions ----

  /// `before`: the token that came with the request; it is void afterwards, whatever it was. Takes as long for a name
  /// that nobody has.
  [[nodiscard]] Checked<SignedIn> sign_in(const std::string& name, const std::string& password,
                                          const std::string& before, Instant now);
  /// Opens a locked session with the PIN, under a new token. After five wrong ones it has ended.
  [[nodiscard]] Checked<SignedIn> open_again(const std::string& token, const std::string& pin, Instant now);
  /// Nothing: no such session, or it has ended.
  [[nodiscard]] std::optional<Session> session(const std::string& token, Instant now);
  /// She is at it: the idle time begins anew.
  void stays(const std::string& token, Instant now);
  void lock(const std::string& token);
  void end(const std::string& token);
  void end_everywhere(const std::string& person);

  [[nodiscard]] const Rules& rules() const { return rules_; }
  /// How many passwords and PINs were looked at, for tests.
  [[nodiscard]] int looks() const { return looks_; }

 private:
  /// Kept until it is used up, by hash: one for each act, of this person (empty: of whoever comes).
  [[nodiscard]] std::string challenge(const std::string& person, Instant now);
  /// Whether it was asked of this person and not too long ago; never again after that.
  [[nodiscard]] bool use_up(const std::string& challenge, const std::string& person, Instant now);
  [[nodiscard]] bool looked(const std::string& secret, const std::string& hash);
  /// Counts a try before it is made; how long to wait when there were too many.
  [[nodiscard]] std::optional<std::chrono::seconds> count_try(const std::string& who, Instant now);
  [[nodiscard]] SignedIn begin(const Person& person, const std::string& before, Instant begun, Instant now);

  std::shared_ptr<Store> store_;
  Rules rules_;
  std::string nobody_;  ///< a hash that no password has: for names that nobody has
  std::atomic<int> looks_{0};
};

}  // namespace dwell::accounts
