#pragma once
// Who asks: the session behind a request, what it lets her do, and the book of who looked at which patient. Without
// accounts (on the machine itself) everybody may do everything, as before.
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "accounts/accounts.h"
#include "accounts/audit.h"
#include "server/message.h"

namespace dwell::server {

/// Whose a request is. Each row of the route table says it; there is no usual.
class Whose {
 public:
  /// Also who is not signed in.
  [[nodiscard]] static constexpr Whose anybodys() { return Whose(~0U, true); }
  /// Everybody who is signed in.
  [[nodiscard]] static constexpr Whose everybodys() { return Whose(~0U, false); }
  template <class... Roles>
  [[nodiscard]] static constexpr Whose of(Roles... roles) {
    return Whose((bit(roles) | ...), false);
  }
  /// Of those who look after patients.
  [[nodiscard]] static constexpr Whose bedside() {
    return of(accounts::Role::nurse, accounts::Role::charge_nurse, accounts::Role::educator);
  }
  [[nodiscard]] constexpr bool is_anybodys() const { return anybody_; }
  [[nodiscard]] constexpr bool is_everybodys() const { return !anybody_ && roles_ == ~0U; }
  [[nodiscard]] constexpr bool has(accounts::Role role) const { return (roles_ & bit(role)) != 0; }

 private:
  constexpr Whose(unsigned roles, bool anybody) : roles_(roles), anybody_(anybody) {}
  [[nodiscard]] static constexpr unsigned bit(accounts::Role role) { return 1U << static_cast<unsigned>(role); }
  unsigned roles_;
  bool anybody_;
};

/// Who asks, as far as it is known.
struct Asker {
  std::string token;                         ///< as it came; empty: none
  std::optional<accounts::Session> session;  ///< empty: nobody is signed in
  bool checked = false;                      ///< there are accounts: what she may is limited
  /// Whose page asks, by its own word (X-Dwell): another tab may have signed in somebody else since. Empty: it does not
  /// say.
  std::string page_of = {};

  [[nodiscard]] bool sees(const std::string& ward) const { return !checked || (session && session->sees(ward)); }
  [[nodiscard]] const accounts::Person* person() const { return session ? &session->person : nullptr; }
};

class Gate {
 public:
  Gate(std::shared_ptr<accounts::Accounts> accounts, std::shared_ptr<accounts::Audit> audit)
      : accounts_(std::move(accounts)), audit_(std::move(audit)) {}

  [[nodiscard]] bool has_accounts() const { return accounts_ != nullptr; }
  [[nodiscard]] accounts::Accounts& accounts() const { return *accounts_; }
  [[nodiscard]] Asker asker(const Request& request, Instant now) const;
  /// Nothing, or why she may not: 401 when nobody is signed in or the session is locked, 403 when it is not hers.
  [[nodiscard]] std::optional<Reply> refuse(const Asker& asker, Whose whose) const;
  /// Nothing, or the refusal of a request that another site's page could have sent in her name.
  [[nodiscard]] std::optional<Reply> refuse_forged(const Request& request) const;
  /// What was asked, of which lines, and what came of it. The same look by the same person is written once in ten
  /// minutes.
  void write_down(const Asker& asker, const std::string& act, const std::vector<std::string>& lines, unsigned status,
                  Instant now);

 private:
  [[nodiscard]] std::vector<std::string> not_yet_written(const std::string& look, const std::vector<std::string>& lines,
                                                         Instant now);

  std::shared_ptr<accounts::Accounts> accounts_;
  std::shared_ptr<accounts::Audit> audit_;
  std::mutex mutex_;
  std::map<std::string, Instant> written_;  ///< by look and line
};

/// The cookie that carries a token; an empty one takes it away.
[[nodiscard]] std::string session_cookie(const std::string& token);

}  // namespace dwell::server
