#pragma once
// The shapes of what the server takes and gives beside the engine's own: the page's types are made from these.
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "accounts/accounts.h"
#include "care/board.h"
#include "care/due.h"
#include "document/handover.h"
#include "json/codec.h"
#include "ledger/policy_change.h"
#include "line/state.h"
#include "policy/difference.h"
#include "procedure/practice.h"
#include "statistics/indicators.h"

namespace dwell::server {

/// What is wrong with a request, in every answer that refuses it.
struct Refusal {
  bool ok = false;
  FieldErrors errors;
};
BOOST_DESCRIBE_STRUCT(Refusal, (), (ok, errors))

/// What stands with every answer that tells of lines.
struct Stood {
  Instant true_at{};
  std::int64_t sequence = 0;
  std::optional<std::string> proof;
};
BOOST_DESCRIBE_STRUCT(Stood, (), (true_at, sequence, proof))

struct About {
  std::string name, version;
  bool demo = false;
  line::Place ward;
  Instant now{};
  std::string page;  ///< changes when any file of the page changes
  std::string time_zone;
  document::LocalTime local;
  bool loopback_only = true;
};
BOOST_DESCRIBE_STRUCT(About, (), (name, version, demo, ward, now, page, time_zone, local, loopback_only))

/// The server answers.
struct Alive {
  bool alive = true;
};
BOOST_DESCRIBE_STRUCT(Alive, (), (alive))

/// It can be worked with: the record was read not long ago.
struct Ready {
  bool ready = true;
  Instant true_at{};
};
BOOST_DESCRIBE_STRUCT(Ready, (), (ready, true_at))

/// What a device keeps to open the page without a network.
struct PageList {
  std::string page;
  std::vector<std::string> files;
};
BOOST_DESCRIBE_STRUCT(PageList, (), (page, files))

/// A line that cannot be shown.
struct NotFolded {
  std::string line, reason;
};
BOOST_DESCRIBE_STRUCT(NotFolded, (), (line, reason))

struct Board : Stood {
  std::string policy;  ///< the paper of the policy in force
  Instant now{};
  std::vector<care::LineDue> due;
  std::vector<care::Visit> visits;
  std::optional<std::string> next;                    ///< ask again with `after` of this id
  std::optional<std::map<std::string, int>> earlier;  ///< so many older entries of a line are left out
  std::optional<std::vector<NotFolded>> not_folded;
  std::vector<line::State> states;  ///< last, because they are written apart from the rest
};
BOOST_DESCRIBE_STRUCT(Board, (Stood), (policy, now, due, visits, next, earlier, not_folded, states))

struct DueLine {
  std::string line, unit, bed;
  int urgency = 0;
};
BOOST_DESCRIBE_STRUCT(DueLine, (), (line, unit, bed, urgency))

struct DueLines : Stood {
  Instant now{};
  std::vector<DueLine> lines;
};
BOOST_DESCRIBE_STRUCT(DueLines, (Stood), (now, lines))

struct WholeLine : Stood {
  line::State state;
  std::vector<line::Event> events;
  std::vector<line::SetAside> set_aside;
  std::optional<int> earlier;  ///< so many older events are left out
};
BOOST_DESCRIBE_STRUCT(WholeLine, (Stood), (state, events, set_aside, earlier))

struct LineEvents : Stood {
  std::vector<line::Event> events;
  std::optional<std::int64_t> next;  ///< ask again with `after` of this place
};
BOOST_DESCRIBE_STRUCT(LineEvents, (Stood), (events, next))

struct Sheet : document::HandoverSheet, Stood {};
BOOST_DESCRIBE_STRUCT(Sheet, (document::HandoverSheet, Stood), ())

struct Learned : statistics::LearnResult, Stood {
  std::optional<int> set_aside_in_all;  ///< when not all are in the answer
};
BOOST_DESCRIBE_STRUCT(Learned, (statistics::LearnResult, Stood), (set_aside_in_all))

struct WardIndicators : statistics::Indicators, Stood {
  std::optional<int> set_aside_in_all;  ///< when not all are in the answer
};
BOOST_DESCRIBE_STRUCT(WardIndicators, (statistics::Indicators, Stood), (set_aside_in_all))

/// An entry that was not taken, and why; `id` as sent, when it was a text.
struct RefusedEntry {
  int index = 0;
  json::Value id;
  FieldErrors errors;
};
BOOST_DESCRIBE_STRUCT(RefusedEntry, (), (index, id, errors))

/// Something to know about an entry that was kept.
struct Saying {
  std::string id, path;
  Message text;
};
BOOST_DESCRIBE_STRUCT(Saying, (), (id, path, text))

struct Charted {
  bool ok = true;
  std::int64_t sequence = 0;
  std::vector<std::string> written, already_there;
  std::vector<RefusedEntry> refused;
  std::vector<Saying> said;
};
BOOST_DESCRIBE_STRUCT(Charted, (), (ok, sequence, written, already_there, refused, said))

struct PractiseKept {
  bool ok = true;
  procedure::Practised value;
};
BOOST_DESCRIBE_STRUCT(PractiseKept, (), (ok, value))

struct PracticeRuns {
  std::vector<procedure::Practised> runs;
  std::optional<std::string> next;
};
BOOST_DESCRIBE_STRUCT(PracticeRuns, (), (runs, next))

struct ChangeMade {
  Instant at{};
  std::string who, reason;
  bool in_force = false;
};
BOOST_DESCRIBE_STRUCT(ChangeMade, (), (at, who, reason, in_force))

struct PolicyPage {
  std::vector<policy::Difference> differences;
  std::vector<ChangeMade> changes;
  std::vector<line::SetAside> set_aside;
  std::string paper;
  policy::Policy policy, standard;
};
BOOST_DESCRIBE_STRUCT(PolicyPage, (), (differences, changes, set_aside, paper, policy, standard))

struct PolicyKept {
  bool ok = true;
};
BOOST_DESCRIBE_STRUCT(PolicyKept, (), (ok))

/// Who is signed in at a device. Without accounts nobody ever is, and whoever sits there says who charts.
struct SessionNow {
  bool has_accounts = false;
  std::optional<accounts::Person> person;  ///< also of a session that is locked
  bool locked = false;
  std::optional<Instant> ends;
  int idle_minutes = 0;
  std::vector<std::string> elsewhere;        ///< wards of the house that are not hers
  std::vector<accounts::OpenedWard> opened;  ///< that she opened in an emergency
};
BOOST_DESCRIBE_STRUCT(SessionNow, (), (has_accounts, person, locked, ends, idle_minutes, elsewhere, opened))

/// A ward that is opened in an emergency, and why.
struct OpenWard {
  std::string ward, reason;
};
BOOST_DESCRIBE_STRUCT(OpenWard, (), (ward, reason))

struct SignIn {
  std::string sign_in, password;
};
BOOST_DESCRIBE_STRUCT(SignIn, (), (sign_in, password))

struct Pin {
  std::string pin;
};
BOOST_DESCRIBE_STRUCT(Pin, (), (pin))

/// What a device is asked to sign, as the browser hands it on.
struct PasskeyAsked {
  std::string challenge;  ///< base64url
  std::string host;       ///< the address that the key is for
};
BOOST_DESCRIBE_STRUCT(PasskeyAsked, (), (challenge, host))

/// The same for a new key of hers; `known` are those that she has.
struct NewPasskeyAsked : PasskeyAsked {
  accounts::Person person;
  std::vector<std::string> known;
};
BOOST_DESCRIBE_STRUCT(NewPasskeyAsked, (PasskeyAsked), (person, known))

struct Passkeys {
  std::vector<accounts::Passkey> passkeys;
};
BOOST_DESCRIBE_STRUCT(Passkeys, (), (passkeys))

struct PasskeyId {
  std::string id;
};
BOOST_DESCRIBE_STRUCT(PasskeyId, (), (id))

struct Password {
  std::string password;
};
BOOST_DESCRIBE_STRUCT(Password, (), (password))

struct LinkToken {
  std::string token;
};
BOOST_DESCRIBE_STRUCT(LinkToken, (), (token))

struct Invited {
  accounts::Person person;
  int least_password = 0;
};
BOOST_DESCRIBE_STRUCT(Invited, (), (person, least_password))

struct People {
  std::vector<accounts::Person> people;
};
BOOST_DESCRIBE_STRUCT(People, (), (people))

/// A person that was kept, or what she is sent: the token of a link with which she sets her password.
struct PersonKept {
  bool ok = true;
  accounts::Person person;
  std::optional<std::string> token;
};
BOOST_DESCRIBE_STRUCT(PersonKept, (), (ok, person, token))

struct Done {
  bool ok = true;
};
BOOST_DESCRIBE_STRUCT(Done, (), (ok))

/// Of the live stream.
struct EntriesNews {
  std::int64_t sequence = 0;
  std::vector<std::string> lines;
};
BOOST_DESCRIBE_STRUCT(EntriesNews, (), (sequence, lines))

struct LookedNews {
  Instant true_at{};
  std::int64_t sequence = 0;
  bool reachable = true;
};
BOOST_DESCRIBE_STRUCT(LookedNews, (), (true_at, sequence, reachable))

struct ListedFunction {
  std::string name, summary;
  json::Value input, output;
};
BOOST_DESCRIBE_STRUCT(ListedFunction, (), (name, summary, input, output))

}  // namespace dwell::server
