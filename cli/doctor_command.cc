// What is wrong with a set-up, for whoever runs it: each thing that Dwell leans on, looked at or said that it was not.
#include <sys/timex.h>

#include <filesystem>
#include <functional>
#include <iostream>
#include <optional>

#include "accounts/accounts.h"
#include "accounts/audit.h"
#include "cli/commands.h"
#include "cli/table.h"
#include "exchange/documents/pdf.h"
#include "ledger/heads.h"
#include "server/tls.h"

namespace dwell::cli {

/// How one thing stands. The higher, the sooner somebody should do something.
enum class Condition { well, not_looked_at, look, wrong };
BOOST_DESCRIBE_ENUM(Condition, well, not_looked_at, look, wrong)

struct Examined {
  std::string what;
  Condition condition = Condition::not_looked_at;
  std::string found, advice;
};
BOOST_DESCRIBE_STRUCT(Examined, (), (what, condition, found, advice))

namespace {

struct Asked {
  std::string certificate, key;
};

std::string text_of(const FieldErrors& errors) {
  return errors.front().found + "; expected " + said_here(errors.front().expected);
}

/// What throws is wrong, and hinders none of the others.
Examined examined(const std::string& what, const std::function<Examined()>& look) {
  try {
    auto found = look();
    found.what = what;
    return found;
  } catch (const BadInput& e) {
    return {what, Condition::wrong, text_of(e.errors), "put it right, or ask whoever set it up"};
  } catch (const std::exception& e) {
    return {what, Condition::wrong, e.what(), "put it right, or ask whoever set it up"};
  }
}

Examined record(const Session& session) {
  const auto opened = need(ledger::open_ledger(ledger_path(session), ledger::Access::reading));
  const std::string entries = std::to_string(opened.ledger->last_sequence()) + " entries";
  if (opened.notices.empty()) return {"", Condition::well, entries, ""};
  return {"", Condition::look, opened.notices.front(), "make it its owner's alone (chmod 600)"};
}

Examined disk(const Session& session) {
  const std::string path = ledger_path(session);
  if (ledger::is_postgresql(path)) return {"", Condition::not_looked_at, "a database", "watch the disk of its machine"};
  const auto space = std::filesystem::space(std::filesystem::absolute(path).parent_path());
  constexpr double gigabyte = 1e9, least = 1, fifth = 0.2;
  const double free = static_cast<double>(space.available) / gigabyte;
  const double share = static_cast<double>(space.available) / static_cast<double>(space.capacity);
  const std::string found =
      std::to_string(static_cast<int>(free)) + " GB free, " + std::to_string(static_cast<int>(100 * share)) + " %";
  if (free < least) return {"", Condition::wrong, found, "make room: a full disk refuses to chart"};
  if (share < fifth) return {"", Condition::look, found, "make room soon"};
  return {"", Condition::well, found, ""};
}

Examined proof(const Session& session) {
  const auto where = witness(session);
  const auto pinned = need(ledger::pinned_key(where.key));
  const auto heads = need(ledger::read_heads(where.heads));
  if (!heads.changed.empty()) return {"", Condition::wrong, text_of(heads.changed), "see docs/reliability.md"};
  if (!pinned || heads.heads.empty())
    return {"", Condition::look, "no signed head", "serve the record once, or `dwell verify` holds it against nothing"};
  const auto opened = need(ledger::open_ledger(ledger_path(session), ledger::Access::reading));
  if (const auto fits = ledger::fits_last_head(*opened.ledger, *pinned, where.heads); !fits)
    return {"", Condition::wrong, text_of(fits.error()), "see docs/reliability.md; do not sign over it"};
  return {"", Condition::well, "the last head signed " + iso(heads.heads.back().signed_at) + " is in the record",
          "`dwell verify` looks at every entry"};
}

Examined people(const Session& session) {
  const std::string path = ledger_path(session);
  if (!accounts::Store::exists(path)) return {"", Condition::not_looked_at, "none", "they come with TLS"};
  const auto store = need(accounts::Store::open(path));
  const auto audit = accounts::Audit(store).walk([](const accounts::AuditRow&) {});
  if (audit.broken != 0)
    return {"", Condition::wrong, "row " + std::to_string(audit.broken) + " of the audit does not follow",
            "somebody changed the audit: keep the file, ask who could write it"};
  accounts::Accounts accounts(store, accounts::rules_to_read());
  const std::string found = std::to_string(accounts.people().size()) + " accounts";
  if (!accounts.has_administrator())
    return {"", Condition::look, found + ", no administrator", "start the server: it prints a link for the first"};
  return {"", Condition::well, found + ", audit of " + std::to_string(audit.rows) + " rows whole", ""};
}

Examined certificate(const Asked& asked) {
  if (asked.certificate.empty() && asked.key.empty())
    return {"", Condition::not_looked_at, "not named", "--certificate and --key"};
  const auto tls = need(server::Tls::load(asked.certificate, asked.key));
  constexpr std::chrono::hours three_weeks{24 * 21};
  const std::string found = "for " + tls->name() + ", ends " + iso(tls->ends());
  if (tls->ends() <= now()) return {"", Condition::wrong, found, "renew it: no device comes in"};
  if (tls->ends() < now() + three_weeks) return {"", Condition::look, found, "renew it"};
  return {"", Condition::well, found, ""};
}

/// Clocks at the bedside are compared with this one.
Examined clock() {
  timex asked{};
  if (adjtimex(&asked) != TIME_ERROR) return {"", Condition::well, "kept", ""};
  return {"", Condition::look, "not kept by a time server", "start systemd-timesyncd or chrony"};
}

Examined paper() {
  document::Note note;
  static_cast<void>(documents::note_pdf(note, reader()));
  return {"", Condition::well, "can be made", ""};
}

Examined policy(const Session& session) {
  const auto used = library(session);
  return {"", Condition::well, session.policy_in_use, "`dwell policy check` reads a folder before it is used"};
}

Exit print(const Session& session, const std::vector<Examined>& all) {
  Condition worst = Condition::well;
  for (const auto& one : all) worst = std::max(worst, one.condition);
  if (session.json) {
    print_json(json::Object{{"examined", json::encode(all)}, {"worst", std::string(json::name_of(worst))}});
  } else {
    Table table({"", "what", "found", "do"});
    for (const auto& one : all) {
      std::string word(json::name_of(one.condition));
      std::replace(word.begin(), word.end(), '_', ' ');
      table.add({one.condition == Condition::wrong ? "WRONG" : word, one.what, one.found, one.advice});
    }
    table.print(std::cout);
  }
  return worst == Condition::wrong ? Exit::answer_is_no : Exit::fine;
}

Exit examine(const Session& session, const Asked& asked) {
  return print(session, {examined("record", [&] { return record(session); }),
                         examined("its disk", [&] { return disk(session); }),
                         examined("its proof", [&] { return proof(session); }),
                         examined("accounts and audit", [&] { return people(session); }),
                         examined("certificate", [&] { return certificate(asked); }),
                         examined("policy", [&] { return policy(session); }), examined("clock", clock),
                         examined("time zone",
                                  [&] {
                                    static_cast<void>(local_time(session, now()));
                                    return Examined{"", Condition::well, time_zone_name(session), ""};
                                  }),
                         examined("paper", paper)});
}

}  // namespace

void add_doctor(CLI::App& app, Session& session, Exit& exit) {
  auto asked = std::make_shared<Asked>();
  auto* command =
      app.add_subcommand("doctor", "What is wrong with this set-up: record, disk, proof, accounts, clock …");
  command->add_option("--certificate", asked->certificate, "File with the certificate that is served (PEM)");
  command->add_option("--key", asked->key, "File with its key (PEM)");
  command->callback([=, &session, &exit] { exit = examine(session, *asked); });
}

}  // namespace dwell::cli
