// What is tried against sign-in, sessions and the wards of others. Each test is named for what it tries.
#include <algorithm>
#include <set>

#include "accounts/audit.h"
#include "server/routes.h"
#include "server/test_secure.h"

namespace dwell::server {
namespace {

using accounts::Person;
using accounts::Role;
using namespace std::chrono_literals;

const std::string passphrase = "three blue herons at dawn", pin = "481516";
constexpr std::string_view cookie_name = "__Host-dwell=";

/// The clock of the server, moved by the test.
std::atomic<std::int64_t> moved{0};
Instant moved_clock() { return moment() + std::chrono::milliseconds(moved.load()); }

class AccountsAttack : public SecureServerTest {
 protected:
  void SetUp() override {
    moved = 0;
    SecureServerTest::SetUp();
    ward_ = demo::demo_place().unit;
    elsewhere_ = "Nowhere Else";
    for (const auto& [sign_in, role] : {std::pair{"nurse", Role::nurse},
                                        {"charge", Role::charge_nurse},
                                        {"educator", Role::educator},
                                        {"analyst", Role::quality_analyst},
                                        {"owner", Role::policy_owner},
                                        {"admin", Role::administrator}})
      add(sign_in, role, {ward_});
    add("other", Role::nurse, {elsewhere_});
  }
  Options secure_options() const override {
    Options o = SecureServerTest::secure_options();
    store_ = *accounts::Store::open(path_);
    accounts::Rules rules;
    rules.cost = {1, 8192};
    o.accounts = std::make_shared<accounts::Accounts>(store_, rules);
    o.audit = std::make_shared<accounts::Audit>(store_);
    accounts_ = o.accounts;
    o.demo = false;
    o.clock = moved_clock;
    return o;
  }
  Person add(const std::string& sign_in, Role role, const std::vector<std::string>& wards) {
    const auto person = *accounts_->keep({"", sign_in, "Name of " + sign_in, "NO", role, wards, true});
    return *accounts_->accept({*accounts_->invite(person.id, moment()), passphrase, pin, {}, {}, {}}, moment());
  }

  /// As the page asks: from its own origin, with its own header.
  [[nodiscard]] Ask from_page(const std::string& method, const std::string& target, const std::string& token,
                              const std::string& body = "") const {
    Ask a;
    a.method = method;
    a.target = target;
    a.body = body;
    a.origin = "https://127.0.0.1:" + std::to_string(server_->port());
    a.headers["X-Dwell"] = "page";
    if (!token.empty()) a.headers["Cookie"] = std::string(cookie_name) + token;
    return a;
  }
  [[nodiscard]] Response get_as(const std::string& token, const std::string& target) const {
    return secure_ask(from_page("GET", target, token));
  }
  [[nodiscard]] Response post_as(const std::string& token, const std::string& target, const std::string& body) const {
    return secure_ask(from_page("POST", target, token, body));
  }
  [[nodiscard]] static std::string sign_in_body(const std::string& name, const std::string& password) {
    return json::to_text(json::Object{{"sign_in", name}, {"password", password}});
  }
  [[nodiscard]] static std::string token_in(const Response& response) {
    const std::string cookie(response["Set-Cookie"]);
    return cookie.substr(cookie_name.size(), cookie.find(';') - cookie_name.size());
  }
  [[nodiscard]] std::string in(const std::string& name) const {
    const auto answer = post_as("", "/api/session", sign_in_body(name, passphrase));
    EXPECT_EQ(answer.result_int(), 200u) << answer.body();
    return token_in(answer);
  }
  [[nodiscard]] std::string note_by(const std::string& author, const std::string& line, int number) const {
    auto list = json::parse_text(note(line, static_cast<std::uint64_t>(number)))->as_array();
    list.front().as_object()["author"] = author;
    return json::to_text(list);
  }
  [[nodiscard]] std::string event_by(const std::string& author, const std::string& line, int number,
                                     const line::Body& body) const {
    line::Event e;
    e.id = line::make_id(moment(), {7, 7, static_cast<std::uint8_t>(number)});
    e.line = line;
    e.occurred_at = e.recorded_at = moment();
    e.author = author;
    e.device = "test";
    e.body = body;
    return json::to_text(json::encode(std::vector{e}));
  }
  [[nodiscard]] static std::string first_path(const Response& response) {
    const auto said = body(response);
    const auto* refused = said.as_object().if_contains("refused");
    const auto& errors = refused && !refused->as_array().empty() ? refused->at(0).at("errors") : said.at("errors");
    return std::string(errors.at(0).at("path").as_string());
  }

  mutable std::shared_ptr<accounts::Store> store_;
  mutable std::shared_ptr<accounts::Accounts> accounts_;
  std::string ward_, elsewhere_;
};

/// Which roles may ask what. A row of the route table that is not here fails: somebody must decide.
const std::map<std::string, std::set<Role>>& expected() {
  static const std::set<Role> bedside{Role::nurse, Role::charge_nurse, Role::educator},
      all{Role::nurse,           Role::charge_nurse, Role::educator,
          Role::quality_analyst, Role::policy_owner, Role::administrator},
      learners{Role::nurse, Role::charge_nurse, Role::educator, Role::quality_analyst},
      policy{Role::nurse, Role::charge_nurse, Role::educator, Role::policy_owner}, owner{Role::policy_owner},
      administrator{Role::administrator};
  static const std::map<std::string, std::set<Role>> rows{
      {"POST /api/events", bedside},
      {"POST /api/photos", bedside},
      {"GET /api/ward", bedside},
      {"GET /api/due", bedside},
      {"GET /api/lines/{line}", bedside},
      {"GET /api/lines/{line}/events", bedside},
      {"GET /api/lines/{line}/note.txt", bedside},
      {"GET /api/lines/{line}/note.pdf", bedside},
      {"GET /api/lines/{line}/label.txt", bedside},
      {"GET /api/lines/{line}/label.pdf", bedside},
      {"GET /api/photos/{hash}", bedside},
      {"GET /api/library", all},
      {"GET /api/engine", all},
      {"POST /api/engine/{function}", all},
      {"GET /api/handover", bedside},
      {"GET /api/handover.pdf", bedside},
      {"GET /api/learn", learners},
      {"GET /api/indicators", learners},
      {"GET /api/practice", bedside},
      {"POST /api/practice", bedside},
      {"GET /api/policy", policy},
      {"POST /api/policy", owner},
      {"GET /api/live", bedside},
      {"GET /api/openapi.json", all},
      {"GET /api", all},
      {"POST /api/session/stay", all},
      {"POST /api/session/ward", bedside},
      {"GET /api/passkeys", all},
      {"POST /api/passkeys", all},
      {"POST /api/passkeys/begin", all},
      {"POST /api/passkeys/forget", all},
      {"POST /api/session/end-everywhere", all},
      {"GET /api/people", administrator},
      {"POST /api/people", administrator},
      {"POST /api/people/{person}/invitation", administrator},
  };
  return rows;
}
const std::set<std::string>& anybodys() {
  static const std::set<std::string> rows{"GET /api/about",
                                          "GET /api/page",
                                          "GET /api/session",
                                          "POST /api/session",
                                          "POST /api/session/pin",
                                          "POST /api/session/lock",
                                          "POST /api/session/end",
                                          "POST /api/invitation",
                                          "POST /api/invitation/accept",
                                          "GET /healthz",
                                          "GET /readyz",
                                          "GET /metrics",
                                          "POST /api/session/passkey/begin",
                                          "POST /api/session/passkey"};
  return rows;
}

TEST(RolesOfRoutes, EveryRowSaysWhoseItIsAndItIsAsWasDecided) {
  for (const auto& route : Routes::table()) {
    const std::string row = std::string(route.method) + " " + std::string(route.pattern);
    ASSERT_TRUE(expected().contains(row) != anybodys().contains(row)) << row << ": somebody must decide whose it is";
    EXPECT_EQ(route.whose.is_anybodys(), anybodys().contains(row)) << row;
    if (route.whose.is_anybodys()) continue;
    for (const Role role : {Role::nurse, Role::charge_nurse, Role::educator, Role::quality_analyst, Role::policy_owner,
                            Role::administrator})
      EXPECT_EQ(route.whose.has(role), expected().at(row).contains(role)) << row << " " << json::name_of(role);
  }
}

TEST_F(AccountsAttack, EveryRouteIsAskedByEveryRoleAndByNobody) {
  std::map<std::string, std::string> tokens{{"", ""}};
  std::map<std::string, Role> roles;
  for (const auto& [name, role] : {std::pair{"nurse", Role::nurse},
                                   {"charge", Role::charge_nurse},
                                   {"educator", Role::educator},
                                   {"analyst", Role::quality_analyst},
                                   {"owner", Role::policy_owner},
                                   {"admin", Role::administrator}}) {
    tokens[name] = in(name);
    roles.emplace(name, role);
  }
  for (const auto& route : Routes::table()) {
    const std::string row = std::string(route.method) + " " + std::string(route.pattern);
    if (anybodys().contains(row) || row == "POST /api/session/end-everywhere") continue;
    std::string target(route.pattern);
    for (const auto& [part, with] : {std::pair<std::string, std::string>{"{line}", some_line()},
                                     {"{hash}", std::string(64, '0')},
                                     {"{function}", "dosing.rate"},
                                     {"{person}", "nobody"}})
      if (const auto at = target.find(part); at != std::string::npos) target.replace(at, part.size(), with);
    for (const auto& [name, token] : tokens) {
      if (name != "" && route.pattern == "/api/live" && expected().at(row).contains(roles.at(name))) continue;
      const auto answer = secure_ask(from_page(std::string(route.method), target, token, "{}"));
      const bool may = name != "" && expected().at(row).contains(roles.at(name));
      if (may) {
        EXPECT_TRUE(answer.result_int() != 401 && answer.result_int() != 403) << row << " as " << name << answer.body();
      } else {
        EXPECT_EQ(answer.result_int(), name == "" ? 401u : 403u) << row << " as " << name;
      }
    }
  }
}

TEST_F(AccountsAttack, WithoutASessionOnlyThePageAndItsDoorAreThere) {
  EXPECT_EQ(get_as("", "/").result_int(), 200u);
  EXPECT_EQ(get_as("", "/api/about").result_int(), 200u);
  const auto now = body(get_as("", "/api/session"));
  EXPECT_TRUE(now.at("has_accounts").as_bool());
  EXPECT_FALSE(now.as_object().contains("person"));
  const auto refused = get_as("", "/api/ward");
  EXPECT_EQ(refused.result_int(), 401u);
  EXPECT_EQ(refused.body().find("states"), std::string::npos);
}

TEST_F(AccountsAttack, TheCookieCannotBeReadPlantedOrSentFromElsewhere) {
  const auto answer = post_as("", "/api/session", sign_in_body("nurse", passphrase));
  const std::string cookie(answer["Set-Cookie"]);
  EXPECT_TRUE(cookie.starts_with("__Host-dwell=")) << cookie;
  for (const char* part : {"; Secure", "; HttpOnly", "; SameSite=Strict", "; Path=/"})
    EXPECT_NE(cookie.find(part), std::string::npos) << part;
  EXPECT_EQ(cookie.find("Domain"), std::string::npos);
  EXPECT_EQ(answer.body().find(token_in(answer)), std::string::npos) << "a script never sees it";
}

TEST_F(AccountsAttack, ForgedCutShortAndDoubledTokens) {
  const auto token = in("nurse");
  EXPECT_EQ(get_as(token, "/api/ward").result_int(), 200u);
  auto upper = token;
  for (auto& c : upper) c = static_cast<char>(std::toupper(c));
  if (upper == token) upper[0] = 'X';
  for (const auto& forged : {std::string(64, '0'), token.substr(1), token + "0", upper, accounts::kept_of_token(token),
                             std::string("' OR 1=1 --")})
    EXPECT_EQ(get_as(forged, "/api/ward").result_int(), 401u) << forged;
  Ask two = from_page("GET", "/api/ward", token);
  two.headers["Cookie"] += "; __Host-dwell=" + std::string(64, '0');
  EXPECT_EQ(secure_ask(two).result_int(), 401u) << "two tokens are none";
  Ask other_name = from_page("GET", "/api/ward", "");
  other_name.headers["Cookie"] = "dwell=" + token + "; x__Host-dwell=" + token;
  EXPECT_EQ(secure_ask(other_name).result_int(), 401u);
}

TEST_F(AccountsAttack, ATokenReplayedAfterSignOut) {
  const auto token = in("nurse"), other = in("nurse");
  EXPECT_EQ(post_as(token, "/api/session/end", "").result_int(), 200u);
  EXPECT_EQ(get_as(token, "/api/ward").result_int(), 401u);
  EXPECT_EQ(get_as(other, "/api/ward").result_int(), 200u);
  const auto third = in("nurse");
  EXPECT_EQ(post_as(third, "/api/session/end-everywhere", "").result_int(), 200u);
  EXPECT_EQ(get_as(other, "/api/ward").result_int(), 401u);
}

TEST_F(AccountsAttack, ASessionPlantedBeforeSignIn) {
  const auto planted = in("other");
  const auto answer = post_as(planted, "/api/session", sign_in_body("nurse", passphrase));
  ASSERT_EQ(answer.result_int(), 200u);
  EXPECT_NE(token_in(answer), planted);
  EXPECT_EQ(get_as(planted, "/api/ward").result_int(), 401u);
}

TEST_F(AccountsAttack, AWorkstationLeftOpen) {
  const auto token = in("nurse");
  moved = std::chrono::milliseconds(11min).count();
  const auto locked = get_as(token, "/api/ward");
  EXPECT_EQ(locked.result_int(), 401u);
  EXPECT_NE(locked.body().find("locked"), std::string::npos);
  EXPECT_EQ(post_as(token, "/api/session/stay", "").result_int(), 401u) << "staying opens nothing";
  EXPECT_EQ(post_as(token, "/api/events", note_by("Name of nurse", some_line(), 1)).result_int(), 401u);
  EXPECT_EQ(post_as(token, "/api/session/pin", R"({"pin":"000001"})").result_int(), 401u);
  const auto open = post_as(token, "/api/session/pin", R"({"pin":")" + pin + R"("})");
  ASSERT_EQ(open.result_int(), 200u) << open.body();
  EXPECT_EQ(get_as(token, "/api/ward").result_int(), 401u) << "the old token is void";
  EXPECT_EQ(get_as(token_in(open), "/api/ward").result_int(), 200u);
  moved = std::chrono::milliseconds(14h).count();
  EXPECT_EQ(get_as(token_in(open), "/api/session").body().find("person"), std::string::npos) << "a shift has an end";
}

TEST_F(AccountsAttack, AForeignPageActsInHerName) {
  const auto token = in("nurse");
  const auto body = note_by("Name of nurse", some_line(), 1);
  const auto whole = from_page("POST", "/api/events", token, body);
  for (const auto& spoil : std::vector<std::function<void(Ask&)>>{
           [](Ask& a) { a.origin = "https://evil.example"; }, [](Ask& a) { a.origin = "null"; },
           [](Ask& a) { a.origin = ""; }, [](Ask& a) { a.headers.erase("X-Dwell"); },
           [](Ask& a) { a.headers["Sec-Fetch-Site"] = "cross-site"; },
           [](Ask& a) { a.headers["Sec-Fetch-Site"] = "same-site"; }, [](Ask& a) { a.host = "evil.example"; }}) {
    Ask a = whole;
    spoil(a);
    const auto status = secure_ask(a).result_int();
    EXPECT_TRUE(status == 403 || status == 421) << status;
  }
  Ask form = whole;
  form.content_type = "text/plain";
  EXPECT_EQ(secure_ask(form).result_int(), 415u);
  EXPECT_EQ(secure_ask(whole).result_int(), 200u);
}

TEST_F(AccountsAttack, AnEntryUnderAnothersName) {
  const auto token = in("nurse");
  const auto line = some_line();
  const auto foreign = post_as(token, "/api/events", note_by("Name of charge", line, 1));
  EXPECT_EQ(foreign.result_int(), 422u);
  EXPECT_EQ(first_path(foreign), "/author");
  EXPECT_EQ(post_as(token, "/api/events", note_by("Name of nurse", line, 2)).result_int(), 200u);
  // What waited on a device is taken once its author is signed in, whenever it was made.
  const auto waited = note_by("Name of charge", line, 1);
  EXPECT_EQ(post_as(in("charge"), "/api/events", waited).result_int(), 200u);
  const auto change = json::to_text(json::encode(
      ledger::PolicyChange{line::make_id(moment(), {5}), exchange::default_library().policy, "Somebody", "why", ""}));
  const auto policy = post_as(in("owner"), "/api/policy", change);
  EXPECT_EQ(policy.result_int(), 422u);
  EXPECT_EQ(first_path(policy), "/who");
}

TEST_F(AccountsAttack, ATabThatWasLeftToAnotherPerson) {
  const auto line = some_line();
  auto a = from_page("POST", "/api/events", in("charge"), note_by("Name of nurse", line, 1));
  a.headers["X-Dwell"] = "somebody-else";
  const auto answer = secure_ask(a);
  EXPECT_EQ(answer.result_int(), 401u);
  EXPECT_EQ(answer.body().find("refused"), std::string::npos) << "it names no entry, so all of them wait";
}

TEST_F(AccountsAttack, ANurseSharesOutAmongOthers) {
  const auto nurse = in("nurse"), charge = in("charge");
  const auto line = some_line();
  EXPECT_EQ(
      first_path(post_as(nurse, "/api/events", event_by("Name of nurse", line, 1, line::Assigned{"Name of charge"}))),
      "/body/nurse");
  EXPECT_EQ(
      post_as(nurse, "/api/events", event_by("Name of nurse", line, 2, line::Assigned{"Name of nurse"})).result_int(),
      200u);
  EXPECT_EQ(first_path(post_as(nurse, "/api/events",
                               event_by("Name of nurse", line, 3, line::HandedOver{"Name of charge", "X", ""}))),
            "/body/from");
  EXPECT_EQ(
      post_as(charge, "/api/events", event_by("Name of charge", line, 4, line::Assigned{"Name of nurse"})).result_int(),
      200u);
}

TEST_F(AccountsAttack, AnotherWardsLines) {
  const auto other = in("other"), nurse = in("nurse");
  const auto line = some_line();
  ASSERT_EQ(get_as(nurse, "/api/lines/" + line).result_int(), 200u);
  for (const char* rest : {"", "/events", "/note.txt", "/note.pdf", "/label.txt", "/label.pdf"}) {
    const auto hers = get_as(other, "/api/lines/" + line + rest);
    const auto nobodys = get_as(other, "/api/lines/00000000-0000-7000-8000-000000000000" + std::string(rest));
    EXPECT_EQ(hers.result_int(), 404u) << rest;
    EXPECT_EQ(hers.body(), nobodys.body()) << rest << ": as if there were none";
  }
  std::string unit = ward_;
  std::replace(unit.begin(), unit.end(), ' ', '+');
  EXPECT_EQ(get_as(other, "/api/ward?unit=" + unit).result_int(), 403u);
  EXPECT_EQ(get_as(nurse, "/api/ward?unit=" + unit).result_int(), 200u);
  EXPECT_TRUE(body(get_as(other, "/api/ward")).at("states").as_array().empty());
  EXPECT_FALSE(body(get_as(nurse, "/api/ward")).at("states").as_array().empty());
  EXPECT_TRUE(body(get_as(other, "/api/due")).at("lines").as_array().empty());
  const std::string sheet(get_as(other, "/api/handover").body());
  EXPECT_EQ(sheet.find(line), std::string::npos);
  EXPECT_EQ(first_path(post_as(other, "/api/events", note_by("Name of other", line, 1))), "/line");
  const auto opened = std::get<line::Opened>(ledger_->read_line(line).events.front().body);
  ASSERT_EQ(opened.place.unit, ward_);
  EXPECT_EQ(first_path(post_as(other, "/api/events",
                               event_by("Name of other", "00000000-0000-7000-8000-000000000001", 2, opened))),
            "/body/place/unit");
}

TEST_F(AccountsAttack, AWardThatWasOpenedInAnEmergencyIsSeenForAnHourAndStandsInTheAudit) {
  const auto other = in("other");
  const auto line = some_line();
  const auto ask_for = [&](const std::string& token, const std::string& ward, const std::string& reason) {
    return post_as(token, "/api/session/ward", json::to_text(json::Object{{"ward", ward}, {"reason", reason}}));
  };
  EXPECT_EQ(first_path(ask_for(other, ward_, "")), "/reason");
  EXPECT_EQ(get_as(other, "/api/lines/" + line).result_int(), 404u);
  const auto opened = ask_for(other, ward_, "called to help at a bed");
  ASSERT_EQ(opened.result_int(), 200u) << opened.body();
  EXPECT_EQ(body(opened).at("opened").as_array().front().at("ward"), json::Value(ward_));
  EXPECT_EQ(get_as(other, "/api/lines/" + line).result_int(), 200u);
  EXPECT_EQ(post_as(other, "/api/events", note_by("Name of other", line, 1)).result_int(), 200u);
  EXPECT_EQ(get_as(in("other"), "/api/lines/" + line).result_int(), 200u) << "at another device as well";
  std::string acts;
  static_cast<void>(accounts::Audit(store_).walk([&](const accounts::AuditRow& row) { acts += row.act + "\n"; }));
  EXPECT_NE(acts.find("another ward in an emergency: " + ward_ + ". called to help at a bed\n"), std::string::npos);
  EXPECT_NE(acts.find("another ward in an emergency\n"), std::string::npos) << "what was refused as well";
  moved = std::chrono::milliseconds(61min).count();
  EXPECT_EQ(get_as(in("other"), "/api/lines/" + line).result_int(), 404u);
}

TEST_F(AccountsAttack, ALineThatWasMovedIsReadWhereItIsAndChartedOnWhereItWas) {
  const auto other = in("other"), nurse = in("nurse");
  const auto line = some_line();
  const auto moved_to = [&](const std::string& unit, int number) {
    return post_as(nurse, "/api/events", event_by("Name of nurse", line, number, line::Moved{{"", unit, "4"}}))
        .result_int();
  };
  ASSERT_EQ(moved_to(elsewhere_, 1), 200u);
  EXPECT_EQ(get_as(nurse, "/api/lines/" + line).result_int(), 404u);
  EXPECT_EQ(get_as(other, "/api/lines/" + line).result_int(), 200u);
  EXPECT_EQ(post_as(nurse, "/api/events", note_by("Name of nurse", line, 2)).result_int(), 200u)
      << "what she did before is a fact";
  ASSERT_EQ(moved_to("Nwohere Else", 3), 200u);
  for (const auto& token : {nurse, other})
    EXPECT_EQ(get_as(token, "/api/lines/" + line).result_int(), 200u) << "a ward that nobody has hides no line";
}

TEST_F(AccountsAttack, AnAnalystAsksByName) {
  const auto analyst = in("analyst");
  EXPECT_EQ(get_as(analyst, "/api/learn?group_by=gauge").result_int(), 200u);
  EXPECT_EQ(get_as(analyst, "/api/learn?group_by=inserter").result_int(), 403u);
  EXPECT_EQ(get_as(in("educator"), "/api/learn?group_by=inserter").result_int(), 200u);
}

TEST_F(AccountsAttack, GuessingPasswordsIsSlowedAndSaysNothing) {
  const auto wrong = post_as("", "/api/session", sign_in_body("nurse", "wrong"));
  const auto nobody = post_as("", "/api/session", sign_in_body("nobody", "wrong"));
  EXPECT_EQ(wrong.result_int(), 401u);
  EXPECT_EQ(nobody.result_int(), 401u);
  EXPECT_EQ(wrong.body(), nobody.body());
  EXPECT_EQ(wrong["Set-Cookie"], "");
  for (int i = 0; i < 4; ++i) static_cast<void>(post_as("", "/api/session", sign_in_body("nurse", "wrong")));
  const auto slowed = post_as("", "/api/session", sign_in_body("nurse", passphrase));
  EXPECT_EQ(slowed.result_int(), 429u);
  EXPECT_FALSE(slowed["Retry-After"].empty());
}

TEST_F(AccountsAttack, HeadersInANameAndSecretsInTheLog) {
  testing::internal::CaptureStderr();
  const auto answer =
      post_as("", "/api/session", sign_in_body("nurse\r\nSet-Cookie: x=y", "secret-that-was-typed\r\nX: y"));
  const auto token = in("nurse");
  static_cast<void>(post_as(token, "/api/session/pin", R"({"pin":"739182"})"));
  static_cast<void>(get_as(token, "/api/lines/Berg?name=Berg"));
  const std::string log = testing::internal::GetCapturedStderr();
  EXPECT_EQ(answer["Set-Cookie"], "");
  EXPECT_EQ(answer["X"], "");
  EXPECT_EQ(answer.body().find("secret-that-was-typed"), std::string::npos);
  EXPECT_NE(log.find(R"("route":"/api/session","status":401)"), std::string::npos) << log;
  for (const std::string& secret : {std::string("secret-that-was-typed"), token, std::string("739182"),
                                    std::string("Berg"), passphrase, std::string("Set-Cookie")})
    EXPECT_EQ(log.find(secret), std::string::npos) << secret;
}

TEST_F(AccountsAttack, AnAdministratorMakesAccountsAndSeesNoPatient) {
  const auto admin = in("admin");
  const auto made =
      post_as(admin, "/api/people",
              json::to_text(json::encode(Person{"", "newcomer", "New Comer", "NC", Role::nurse, {ward_}, true})));
  ASSERT_EQ(made.result_int(), 200u) << made.body();
  const std::string link(body(made).at("token").as_string());
  const auto looked = post_as("", "/api/invitation", json::to_text(json::Object{{"token", link}}));
  EXPECT_EQ(body(looked).at("person").at("name"), "New Comer");
  const auto accept = json::to_text(json::Object{{"token", link}, {"password", passphrase}, {"pin", pin}});
  EXPECT_EQ(post_as("", "/api/invitation/accept", accept).result_int(), 200u);
  EXPECT_EQ(post_as("", "/api/invitation/accept", accept).result_int(), 403u) << "a link counts once";
  EXPECT_EQ(get_as(in("newcomer"), "/api/ward").result_int(), 200u);
  EXPECT_EQ(get_as(admin, "/api/people").body().find("argon2"), std::string::npos);
  for (const char* target : {"/api/ward", "/api/live", "/api/handover", "/api/learn", "/api/policy"})
    EXPECT_EQ(get_as(admin, target).result_int(), 403u) << target;
}

TEST_F(AccountsAttack, TheLiveStreamWithoutASession) {
  EXPECT_EQ(get_as("", "/api/live").result_int(), 401u);
  EXPECT_EQ(get_as(in("owner"), "/api/live").result_int(), 403u);
}

TEST_F(AccountsAttack, TheAuditSaysWhoLookedAtWhatAndNamesNoPatient) {
  const auto nurse = in("nurse");
  const auto line = some_line();
  static_cast<void>(get_as(nurse, "/api/lines/" + line));
  static_cast<void>(get_as(nurse, "/api/lines/" + line));
  static_cast<void>(get_as(nurse, "/api/ward"));
  static_cast<void>(post_as(nurse, "/api/events", note_by("Name of nurse", line, 1)));
  static_cast<void>(get_as(in("other"), "/api/lines/" + line));
  static_cast<void>(get_as(in("admin"), "/api/ward"));
  std::multiset<std::string> acts;
  std::string all;
  const auto verdict = accounts::Audit(store_).walk([&](const accounts::AuditRow& row) {
    acts.insert(row.role + " " + row.act + " " + std::to_string(row.status));
    all += json::to_text(json::encode(row));
  });
  EXPECT_EQ(verdict.broken, 0);
  EXPECT_EQ(acts.count("nurse GET /api/lines/{line} 200"), 1u) << "the same look within ten minutes is one";
  EXPECT_EQ(acts.count("nurse GET /api/ward 200"), 1u);
  EXPECT_EQ(acts.count("nurse POST /api/events 200"), 1u);
  EXPECT_EQ(acts.count("nurse GET /api/lines/{line} 404"), 1u) << "also what was tried";
  EXPECT_EQ(acts.count("administrator GET /api/ward 403"), 1u);
  EXPECT_EQ(acts.count("nurse sign in 200"), 2u);
  for (const auto& entry : ledger_->read_after(0, 1000)) {
    if (!entry.event) continue;
    const auto* opened = std::get_if<line::Opened>(&entry.event->body);
    if (opened) {
      EXPECT_EQ(all.find("\"" + opened->patient.family + "\""), std::string::npos);
    }
  }
}

TEST_F(AccountsAttack, AnotherAddressWithoutTlsOrWithoutAccounts) {
  const auto refused = [](Options o) {
    o.address = "0.0.0.0";
    const auto started = Server::start(std::move(o));
    return started ? std::string("started") : started.error().front().path;
  };
  EXPECT_EQ(refused(options()), "/address");
  Options only_tls = options();
  only_tls.demo = false;
  only_tls.tls = *Tls::load(certificate_, key_);
  EXPECT_EQ(refused(std::move(only_tls)), "/address");
  Options without_tls = secure_options();
  without_tls.tls = nullptr;
  EXPECT_EQ(refused(std::move(without_tls)), "/certificate") << "nor on the machine itself";
  Options demo = secure_options();
  demo.demo = true;
  EXPECT_EQ(refused(std::move(demo)), "/address");
  EXPECT_EQ(refused(secure_options()), "started");
}

}  // namespace
}  // namespace dwell::server
