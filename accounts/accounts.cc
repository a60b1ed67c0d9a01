#include "accounts/accounts.h"

#include <algorithm>

#include "ledger/chain.h"
#include "say/accounts.h"

namespace dwell::accounts {
namespace {

using soci::into;
using soci::use;

constexpr int free_tries = 5, most_pin_tries = 5;
constexpr std::chrono::seconds longest_wait{15 * 60};

long long number(Instant at) { return at.time_since_epoch().count(); }

std::string wards_text(const std::vector<std::string>& wards) { return json::to_text(json::encode(wards)); }

struct Kept {
  Person person;
  std::string password, pin;
};

/// Rows of `person` for which the condition holds for `value`.
std::vector<Kept> kept_where(soci::session& sql, const std::string& condition, const std::string& value) {
  std::vector<Kept> all;
  Kept row;
  std::string role, wards;
  int active = 0;
  soci::statement select =
      (sql.prepare << "SELECT id, sign_in, name, initials, role, wards, active, password, pin FROM person WHERE " +
                          condition + " ORDER BY name",
       use(value, "value"), into(row.person.id), into(row.person.sign_in), into(row.person.name),
       into(row.person.initials), into(role), into(wards), into(active), into(row.password), into(row.pin));
  select.execute();
  while (select.fetch()) {
    const auto known = json::Codec<Role>::from_name(role);
    row.person.active = active != 0 && known.has_value();  // a role of a newer Dwell lets nobody in
    row.person.role = known.value_or(Role::quality_analyst);
    row.person.wards = *json::parse_text(wards).and_then(
        [](const json::Value& list) { return json::decode<std::vector<std::string>>(list); });
    all.push_back(row);
  }
  return all;
}

std::optional<Kept> kept_of(soci::session& sql, const std::string& column, const std::string& value) {
  auto found = kept_where(sql, column + " = :value", value);
  return found.empty() ? std::nullopt : std::optional(std::move(found.front()));
}

void run(soci::session& sql, const std::string& statement, const std::string& value) { sql << statement, use(value); }

void put(soci::session& sql, const Kept& kept, bool is_new) {
  const auto& person = kept.person;
  const std::string role(json::name_of(person.role)), wards = wards_text(person.wards);
  const int active = person.active ? 1 : 0;
  sql << (is_new ? "INSERT INTO person (sign_in, name, initials, role, wards, active, password, pin, id) "
                   "VALUES (:a, :b, :c, :d, :e, :f, :g, :h, :i)"
                 : "UPDATE person SET sign_in = :a, name = :b, initials = :c, role = :d, wards = :e, active = :f, "
                   "password = :g, pin = :h WHERE id = :i"),
      use(person.sign_in), use(person.name), use(person.initials), use(role), use(wards), use(active),
      use(kept.password), use(kept.pin), use(person.id);
}

/// What another has already.
FieldErrors taken(soci::session& sql, const Person& person) {
  FieldErrors wrong;
  const auto by_sign_in = kept_of(sql, "sign_in", person.sign_in);
  if (by_sign_in && by_sign_in->person.id != person.id)
    wrong.push_back({"/sign_in", person.sign_in, say::name_that_nobody_else_has()});
  // Entries name their author, and so two may not be called alike, however the letters are written.
  const auto by_name = kept_of(sql, "lower(name)", [&] {
    std::string lower;
    std::string name = person.name;
    sql << "SELECT lower(:n)", use(name), into(lower);
    return lower;
  }());
  if (by_name && by_name->person.id != person.id)
    wrong.push_back({"/name", person.name, say::name_of_an_author_alone()});
  return wrong;
}

bool is_last_administrator(soci::session& sql, const std::string& id) {
  int others = 0;
  sql << "SELECT count(*) FROM person WHERE role = 'administrator' AND active = 1 AND password <> '' AND id <> :id",
      use(id), into(others);
  return others == 0;
}

struct Invitation {
  std::string person;
  long long ends = 0;
};

std::optional<Invitation> invitation(soci::session& sql, const std::string& token) {
  const std::string kept = kept_of_token(token);
  Invitation found;
  soci::statement select = (sql.prepare << "SELECT person, ends FROM invitation WHERE token = :token", use(kept),
                            into(found.person), into(found.ends));
  select.execute();
  const bool there = select.fetch();
  return there ? std::optional(found) : std::nullopt;
}

void add_invitation(soci::session& sql, const std::string& person, const std::string& token, Instant ends) {
  run(sql, "DELETE FROM invitation WHERE person = :person", person);
  const std::string kept = kept_of_token(token);
  const long long at = number(ends);
  sql << "INSERT INTO invitation (token, person, ends) VALUES (:t, :p, :e)", use(kept), use(person), use(at);
}

tl::unexpected<FieldErrors> void_link() { return refuse("/token", "", say::an_unused_link()); }

tl::unexpected<FieldErrors> wrong_words() { return refuse("/password", "", say::sign_in_name_and_password()); }

std::set<std::string> wards_of_others(soci::session& sql, const Person& person) {
  std::set<std::string> others;
  if (!is_clinical(person.role)) return others;  // who sees no patient asks for none
  for (const auto& kept : kept_where(sql, "id <> :value AND active = 1", person.id))
    others.insert(kept.person.wards.begin(), kept.person.wards.end());
  for (const auto& own : person.wards) others.erase(own);
  return others;
}

std::vector<OpenedWard> opened_by(soci::session& sql, const std::string& person, Instant now) {
  std::vector<OpenedWard> all;
  OpenedWard one;
  long long until = 0;
  const long long at = number(now);
  soci::statement select =
      (sql.prepare
           << "SELECT ward, max(until) FROM opened WHERE person = :p AND until > :now GROUP BY ward ORDER BY ward",
       use(person), use(at), into(one.ward), into(until));
  select.execute();
  while (select.fetch()) {
    one.until = Instant(std::chrono::milliseconds(until));
    all.push_back(one);
  }
  return all;
}

/// As she stands now: which wards are not hers, and which of those she opened.
Session session_of(soci::session& sql, const Person& person, bool locked, Instant ends, Instant now) {
  Session session{person, locked, ends, wards_of_others(sql, person), opened_by(sql, person.id, now)};
  std::erase_if(session.opened, [&](const OpenedWard& one) { return session.elsewhere.erase(one.ward) == 0; });
  return session;
}

struct SessionRow {
  std::string person;
  long long begun = 0, seen = 0;
  int locked = 0, pin_failures = 0;
};

std::optional<SessionRow> session_row(soci::session& sql, const std::string& token) {
  const std::string kept = kept_of_token(token);
  SessionRow row;
  soci::statement select =
      (sql.prepare << "SELECT person, begun, seen, locked, pin_failures FROM session WHERE token = :token", use(kept),
       into(row.person), into(row.begun), into(row.seen), into(row.locked), into(row.pin_failures));
  select.execute();
  const bool there = select.fetch();
  return there ? std::optional(row) : std::nullopt;
}

}  // namespace

Accounts::Accounts(std::shared_ptr<Store> store, Rules rules)
    : store_(std::move(store)), rules_(rules), nobody_(hashed(fresh_token(), rules.cost)) {}

bool Accounts::has_administrator() {
  return store_->reading([](soci::session& sql) { return !is_last_administrator(sql, ""); });
}

std::vector<Person> Accounts::people() {
  return store_->reading([](soci::session& sql) {
    std::vector<Person> all;
    for (auto& kept : kept_where(sql, "id <> :value", "")) all.push_back(std::move(kept.person));
    return all;
  });
}

Checked<Person> Accounts::keep(Person person) {
  person.sign_in = normal_sign_in(person.sign_in);
  if (auto wrong = check(person); !wrong.empty()) return refuse(std::move(wrong));
  return store_->writing([&](soci::session& sql) -> Checked<Person> {
    const auto before = person.id.empty() ? std::nullopt : kept_of(sql, "id", person.id);
    if (!person.id.empty() && !before) return refuse("/id", person.id, say::a_person_who_is_here());
    if (auto wrong = taken(sql, person); !wrong.empty()) return refuse(std::move(wrong));
    const bool administers = person.role == Role::administrator && person.active;
    if (before && before->person.role == Role::administrator && !administers && is_last_administrator(sql, person.id))
      return refuse("/role", std::string(json::name_of(before->person.role)), say::another_administrator_first());
    // What she charted stands under her name: whoever waits to send entries must find herself again.
    if (before && before->person.name != person.name)
      return refuse("/name", person.name, say::the_name_that_entries_bear());
    Kept kept = before.value_or(Kept{});
    const bool changes = before && (before->person.role != person.role || before->person.wards != person.wards ||
                                    before->person.active != person.active);
    if (person.id.empty()) person.id = fresh_token().substr(0, 16);
    kept.person = person;
    put(sql, kept, !before);
    if (changes) {
      run(sql, "DELETE FROM session WHERE person = :person", person.id);
      run(sql, "DELETE FROM opened WHERE person = :person", person.id);
    }
    return person;
  });
}

Checked<std::string> Accounts::invite(const std::string& person, Instant now) {
  const std::string token = fresh_token();
  return store_->writing([&](soci::session& sql) -> Checked<std::string> {
    if (const auto kept = kept_of(sql, "id", person); !kept || !kept->person.active)
      return refuse("/id", person, say::a_person_who_is_active());
    add_invitation(sql, person, token, now + rules_.invitation);
    return token;
  });
}

std::string Accounts::invite_first(Instant now) {
  const std::string token = fresh_token();
  return store_->writing([&](soci::session& sql) {
    add_invitation(sql, "", token, now + rules_.invitation);
    return token;
  });
}

Checked<Person> Accounts::invited(const std::string& token, Instant now) {
  return store_->reading([&](soci::session& sql) -> Checked<Person> {
    const auto found = invitation(sql, token);
    if (!found || found->ends < number(now)) return void_link();
    if (found->person.empty()) {
      if (!is_last_administrator(sql, "")) return void_link();
      Person first;
      first.role = Role::administrator;
      return first;
    }
    const auto kept = kept_of(sql, "id", found->person);
    if (!kept || !kept->person.active) return void_link();
    return kept->person;
  });
}

Checked<Person> Accounts::accept(const Acceptance& given, Instant now) {
  auto person = invited(given.token, now);
  if (!person) return person;
  const bool is_first = person->id.empty();
  if (is_first) {
    person->sign_in = normal_sign_in(given.sign_in.value_or(""));
    person->name = given.name.value_or("");
    person->initials = given.initials.value_or("");
  }
  auto wrong = is_first ? check(*person) : FieldErrors();
  for (auto& one : check_password(given.password, *person, rules_.least_password)) wrong.push_back(std::move(one));
  for (auto& one : check_pin(given.pin)) wrong.push_back(std::move(one));
  if (!wrong.empty()) return refuse(std::move(wrong));
  const std::string password = hashed(given.password, rules_.cost), pin = hashed(given.pin, rules_.cost);
  return store_->writing([&](soci::session& sql) -> Checked<Person> {
    // Looked at again under the lock: a link counts once.
    if (!invitation(sql, given.token) || (is_first && !is_last_administrator(sql, ""))) return void_link();
    if (is_first) {
      if (auto theirs = taken(sql, *person); !theirs.empty()) return refuse(std::move(theirs));
      person->id = fresh_token().substr(0, 16);
    } else if (const auto kept = kept_of(sql, "id", person->id); !kept || !kept->person.active) {
      return void_link();
    }
    put(sql, {*person, password, pin}, is_first);
    run(sql, "DELETE FROM invitation WHERE token = :token", kept_of_token(given.token));
    // Whoever is sent a new link may have lost a device as well.
    run(sql, "DELETE FROM passkey WHERE person = :person", person->id);
    run(sql, "DELETE FROM session WHERE person = :person", person->id);
    run(sql, "DELETE FROM attempt WHERE who = :who", kept_of_token(person->sign_in));
    return *person;
  });
}

Checked<OpenedWard> Accounts::open_ward(const Person& person, const std::string& ward, const std::string& reason,
                                        Instant now) {
  constexpr std::size_t shortest = 8, longest = 200;
  if (!is_clinical(person.role))
    return refuse("/role", std::string(json::name_of(person.role)), say::who_looks_after_patients());
  // What was typed may name a patient: it is not said back.
  if (reason.size() < shortest || reason.size() > longest)
    return refuse("/reason", "", say::why_without_a_name(shortest, longest));
  return store_->writing([&](soci::session& sql) -> Checked<OpenedWard> {
    if (!wards_of_others(sql, person).contains(ward)) return refuse("/ward", ward, say::a_ward_that_is_not_yours());
    const OpenedWard opened{ward, now + rules_.emergency};
    const long long until = number(opened.until), over = number(now);
    sql << "DELETE FROM opened WHERE until <= :now", use(over);
    sql << "INSERT INTO opened (person, ward, until) VALUES (:p, :w, :u)", use(person.id), use(ward), use(until);
    return opened;
  });
}

std::string Accounts::challenge(const std::string& person, Instant now) {
  const std::string fresh = base64url(fresh_token()), kept = kept_of_token(fresh);
  const long long ends = number(now + rules_.challenge), over = number(now);
  store_->writing([&](soci::session& sql) {
    sql << "DELETE FROM challenge WHERE ends <= :now", use(over);
    // Whoever asks for challenges without end fills no disk; the password stays a way in.
    sql << "DELETE FROM challenge WHERE person = '' AND challenge NOT IN "
           "(SELECT challenge FROM challenge WHERE person = '' ORDER BY ends DESC LIMIT 5000)";
    sql << "INSERT INTO challenge (challenge, person, ends) VALUES (:c, :p, :e)", use(kept), use(person), use(ends);
    return true;
  });
  return fresh;
}

bool Accounts::use_up(const std::string& challenge, const std::string& person, Instant now) {
  const std::string kept = kept_of_token(challenge);
  const long long at = number(now);
  return store_->writing([&](soci::session& sql) {
    int there = 0;
    sql << "SELECT count(*) FROM challenge WHERE challenge = :c AND person = :p AND ends > :now", use(kept),
        use(person), use(at), into(there);
    run(sql, "DELETE FROM challenge WHERE challenge = :c", kept);
    return there == 1;
  });
}

namespace {

constexpr std::string_view for_making = "webauthn.create", for_coming_in = "webauthn.get";

tl::unexpected<FieldErrors> too_late() { return refuse("/passkey", "", say::a_passkey_asked_just_now()); }

}  // namespace

Checked<std::string> Accounts::begin_passkey(const Person& person, const std::string& password, Instant now) {
  const std::string who = kept_of_token(person.sign_in);
  if (const auto wait = count_try(who, now))
    return refuse("/wait", std::to_string(wait->count()), say::wait_after_many_tries());
  const auto kept = store_->reading([&](soci::session& sql) { return kept_of(sql, "id", person.id); });
  if (!kept || !looked(password, kept->password)) return wrong_words();
  store_->writing([&](soci::session& sql) {
    run(sql, "DELETE FROM attempt WHERE who = :who", who);
    return true;
  });
  return challenge(person.id, now);
}

Checked<Passkey> Accounts::keep_passkey(const Person& person, const PasskeyMade& made, const RelyingParty& party,
                                        Instant now) {
  constexpr std::size_t longest_name = 60;
  constexpr int most = 10;
  if (made.name.empty() || made.name.size() > longest_name)
    return refuse("/name", made.name.substr(0, longest_name), say::a_name_of_at_most(longest_name));
  const auto asked = challenge_of(made.client_data, for_making, party);
  if (!asked) return refuse(asked.error());
  if (!use_up(*asked, person.id, now)) return too_late();
  const auto key = made_key(made, party, Seen::her);
  if (!key) return refuse(key.error());
  return store_->writing([&](soci::session& sql) -> Checked<Passkey> {
    int there = 0, hers = 0;
    sql << "SELECT count(*) FROM passkey WHERE id = :id", use(key->id), into(there);
    sql << "SELECT count(*) FROM passkey WHERE person = :p", use(person.id), into(hers);
    if (there > 0 || hers >= most) return refuse("/passkey", "", say::a_new_device(most));
    const long long count = key->count, at = number(now);
    sql << "INSERT INTO passkey (id, person, name, algorithm, public_key, count, made) VALUES (:i, :p, :n, :a, :k, :c, "
           ":m)",
        use(key->id), use(person.id), use(made.name), use(key->algorithm), use(key->key), use(count), use(at);
    return Passkey{key->id, made.name, now};
  });
}

std::vector<Passkey> Accounts::passkeys(const std::string& person) {
  return store_->reading([&](soci::session& sql) {
    std::vector<Passkey> all;
    Passkey one;
    long long made = 0;
    soci::statement select = (sql.prepare << "SELECT id, name, made FROM passkey WHERE person = :p ORDER BY made, id",
                              use(person), into(one.id), into(one.name), into(made));
    select.execute();
    while (select.fetch()) {
      one.made = Instant(std::chrono::milliseconds(made));
      all.push_back(one);
    }
    return all;
  });
}

void Accounts::forget_passkey(const std::string& person, const std::string& id) {
  store_->writing([&](soci::session& sql) {
    sql << "DELETE FROM passkey WHERE person = :p AND id = :i", use(person), use(id);
    return true;
  });
}

std::string Accounts::begin_sign_in(Instant now) { return challenge("", now); }

Checked<SignedIn> Accounts::sign_in_by_passkey(const PasskeyUsed& used, const RelyingParty& party,
                                               const std::string& before, Instant now) {
  const auto asked = challenge_of(used.client_data, for_coming_in, party);
  if (!asked) return refuse(asked.error());
  if (!use_up(*asked, "", now)) return too_late();
  struct Known {
    PublicKey key;
    std::string person;
    long long count = 0;
  };
  const auto known = store_->reading([&](soci::session& sql) -> std::optional<Known> {
    Known one;
    one.key.id = used.id;
    soci::statement select =
        (sql.prepare << "SELECT person, algorithm, public_key, count FROM passkey WHERE id = :i", use(used.id),
         into(one.person), into(one.key.algorithm), into(one.key.key), into(one.count));
    select.execute();
    if (!select.fetch()) return std::nullopt;
    one.key.count = static_cast<std::uint32_t>(one.count);
    return one;
  });
  const auto count = used_key(used, known ? known->key : PublicKey{}, party, Seen::her);
  if (!count) return refuse(count.error());
  // Counted under the lock: the same signature at two servers at once comes in once, by its challenge; a copy of the
  // key by its count.
  const auto person = store_->writing([&](soci::session& sql) -> std::optional<Person> {
    const long long now_counts = *count;
    sql << "UPDATE passkey SET count = :c WHERE id = :i", use(now_counts), use(used.id);
    const auto kept = kept_of(sql, "id", known->person);
    if (!kept || !kept->person.active) return std::nullopt;
    return kept->person;
  });
  if (!person) return wrong_words();
  return begin(*person, before, now, now);
}

bool Accounts::looked(const std::string& secret, const std::string& hash) {
  ++looks_;
  return fits(secret, hash);
}

std::optional<std::chrono::seconds> Accounts::count_try(const std::string& who, Instant now) {
  return store_->writing([&](soci::session& sql) -> std::optional<std::chrono::seconds> {
    int failures = 0;
    long long wait_until = 0;
    sql << "SELECT failures, wait_until FROM attempt WHERE who = :who", use(who), into(failures), into(wait_until);
    if (wait_until > number(now))
      return std::chrono::ceil<std::chrono::seconds>(std::chrono::milliseconds(wait_until - number(now)));
    ++failures;
    constexpr int most_doublings = 12;
    const std::chrono::seconds wait =
        failures < free_tries
            ? std::chrono::seconds(0)
            : std::min(longest_wait, std::chrono::seconds(1LL << std::min(failures - free_tries, most_doublings)));
    wait_until = number(now + wait);
    // Forgotten after a day, so that names made up by whoever tries do not gather.
    const long long yesterday = number(now - std::chrono::hours(24));
    sql << "DELETE FROM attempt WHERE wait_until < :y", use(yesterday);
    sql << "DELETE FROM attempt WHERE who = :who", use(who);
    sql << "INSERT INTO attempt (who, failures, wait_until) VALUES (:w, :f, :u)", use(who), use(failures),
        use(wait_until);
    return std::nullopt;
  });
}

Checked<SignedIn> Accounts::sign_in(const std::string& name, const std::string& password, const std::string& before,
                                    Instant now) {
  const std::string sign_in = normal_sign_in(name), who = kept_of_token(sign_in);
  if (const auto wait = count_try(who, now))
    return refuse("/wait", std::to_string(wait->count()), say::wait_after_many_tries());
  const auto kept = store_->reading([&](soci::session& sql) { return kept_of(sql, "sign_in", sign_in); });
  const bool may = kept && kept->person.active && !kept->password.empty();
  // Looked at in any case, so that nobody can tell by the time which names there are.
  const bool right = looked(password, may ? kept->password : nobody_);
  if (!may || !right) return wrong_words();
  store_->writing([&](soci::session& sql) {
    run(sql, "DELETE FROM attempt WHERE who = :who", who);
    return true;
  });
  return begin(kept->person, before, now, now);
}

SignedIn Accounts::begin(const Person& person, const std::string& before, Instant begun, Instant now) {
  const std::string token = fresh_token(), kept = kept_of_token(token), old = kept_of_token(before);
  const long long from = number(begun), seen = number(now), too_old = number(now - rules_.longest);
  return store_->writing([&](soci::session& sql) {
    sql << "DELETE FROM session WHERE token = :old OR begun < :too_old", use(old), use(too_old);
    sql << "INSERT INTO session (token, person, begun, seen, locked, pin_failures) VALUES (:t, :p, :b, :s, 0, 0)",
        use(kept), use(person.id), use(from), use(seen);
    return SignedIn{token, session_of(sql, person, false, begun + rules_.longest, now)};
  });
}

Checked<SignedIn> Accounts::open_again(const std::string& token, const std::string& pin, Instant now) {
  const auto current = session(token, now);
  if (!current) return refuse("/session", "", say::a_session_that_has_not_ended());
  const std::string kept_token = kept_of_token(token);
  // Counted before it is looked at, so that many at once are no more tries.
  const auto row = store_->writing([&](soci::session& sql) {
    auto found = session_row(sql, token);
    if (!found) return found;
    const int tries = found->pin_failures + 1;
    sql << "UPDATE session SET pin_failures = :n, locked = 1 WHERE token = :t", use(tries), use(kept_token);
    if (tries > most_pin_tries) {
      run(sql, "DELETE FROM session WHERE token = :t", kept_token);
      found.reset();
    }
    return found;
  });
  if (!row) return refuse("/session", "", say::a_session_that_has_not_ended());
  const auto kept = store_->reading([&](soci::session& sql) { return kept_of(sql, "id", row->person); });
  if (!kept || !looked(pin, kept->pin)) {
    const int left = most_pin_tries - row->pin_failures - 1;
    return refuse("/pin", "", say::the_pin_with_tries_left(left));
  }
  return begin(kept->person, token, Instant(std::chrono::milliseconds(row->begun)), now);
}

std::optional<Session> Accounts::session(const std::string& token, Instant now) {
  if (token.empty()) return std::nullopt;
  return store_->reading([&](soci::session& sql) -> std::optional<Session> {
    const auto row = session_row(sql, token);
    if (!row) return std::nullopt;
    const Instant ends = Instant(std::chrono::milliseconds(row->begun)) + rules_.longest;
    if (ends <= now) return std::nullopt;
    const auto kept = kept_of(sql, "id", row->person);
    if (!kept || !kept->person.active) return std::nullopt;
    const bool idle = Instant(std::chrono::milliseconds(row->seen)) + rules_.idle <= now;
    return session_of(sql, kept->person, row->locked != 0 || idle, ends, now);
  });
}

void Accounts::stays(const std::string& token, Instant now) {
  const std::string kept = kept_of_token(token);
  const long long seen = number(now), idle_since = number(now - rules_.idle);
  store_->writing([&](soci::session& sql) {
    // What was idle for too long is locked, and staying opens nothing.
    sql << "UPDATE session SET seen = :s WHERE token = :t AND locked = 0 AND seen > :i", use(seen), use(kept),
        use(idle_since);
    return true;
  });
}

void Accounts::lock(const std::string& token) {
  store_->writing([&](soci::session& sql) {
    run(sql, "UPDATE session SET locked = 1 WHERE token = :t", kept_of_token(token));
    return true;
  });
}

void Accounts::end(const std::string& token) {
  store_->writing([&](soci::session& sql) {
    run(sql, "DELETE FROM session WHERE token = :t", kept_of_token(token));
    return true;
  });
}

void Accounts::end_everywhere(const std::string& person) {
  store_->writing([&](soci::session& sql) {
    run(sql, "DELETE FROM session WHERE person = :p", person);
    run(sql, "DELETE FROM opened WHERE person = :p", person);
    return true;
  });
}

}  // namespace dwell::accounts
