#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <mutex>
#include <optional>

#include "accounts/accounts.h"
#include "accounts/audit.h"
#include "cli/commands.h"
#include "demo/demo_ward.h"
#include "exchange/documents/pdf.h"
#include "exchange/documents/plain_text.h"
#include "exchange/library.h"
#include "ledger/heads.h"
#include "server/server.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string address = "127.0.0.1", unit = "Ward", facility, certificate, key;
  unsigned short port = 8311;
  bool demo = false;
  int history = 5000;
  int idle_minutes = 10, least_password = 15;
};

std::string demo_ledger_path() {
  return (std::filesystem::temp_directory_path() / ("dwell-demo-" + std::to_string(getuid()) + ".sqlite")).string();
}

/// The demo begins afresh at each start, so that it always looks alive; only its own file is ever removed.
void remove_old_demo(const std::string& path) {
  for (const char* suffix : {"", "-wal", "-shm"}) std::filesystem::remove(path + suffix);
}

void fill_demo(ledger::Ledger& ledger, int history) {
  const Instant at = now();
  constexpr std::uint64_t history_seed = 20261, ward_seed = 20262;
  constexpr std::size_t at_once = 2000;
  const auto old = demo::demo_history(at, history_seed, history);
  for (std::size_t from = 0; from < old.size(); from += at_once) {
    const auto to = std::min(from + at_once, old.size());
    static_cast<void>(need(ledger.append(
        {old.begin() + static_cast<std::ptrdiff_t>(from), old.begin() + static_cast<std::ptrdiff_t>(to)}, at)));
  }
  static_cast<void>(need(ledger.append(demo::demo_ward(at, ward_seed), at)));
}

/// Signs the head of the chain into a file apart from the ledger. What speaks against the record is said, here and on
/// the page, and stops nobody: a nurse must be able to chart. It is only never signed over.
class HeadSigner {
 public:
  HeadSigner(std::shared_ptr<ledger::Ledger> record, const Session& session)
      : record_(std::move(record)), where_(witness(session)) {
    sign();
  }

  void sign() {
    try {
      // The key anew each time: a person may have put it right meanwhile.
      const auto key = ledger::SigningKey::load_or_make(where_.key);
      const auto kept = key ? ledger::sign_now(*record_, *key, where_.heads, now()) : refuse(key.error());
      say(kept ? "" : words(kept.error().front()));
    } catch (const ledger::Unreachable& e) {
      std::cerr << "dwell: the head of the record was not signed: " << e.what() << std::endl;
    }
  }

  /// What speaks against the record, in a sentence; empty when nothing does.
  [[nodiscard]] std::string objection() const {
    const std::lock_guard lock(mutex_);
    return objection_;
  }

 private:
  static std::string words(const FieldError& error) {
    return "The record is not signed: found " + error.found + "; expected " + said_here(error.expected) +
           ". Charting goes on; somebody must decide (docs/reliability.md, When the record contradicts its heads).";
  }
  void say(std::string objection) {
    const std::lock_guard lock(mutex_);
    if (!objection.empty() && objection != objection_) std::cerr << "dwell: " << objection << std::endl;
    objection_ = std::move(objection);
  }

  std::shared_ptr<ledger::Ledger> record_;
  Witness where_;
  mutable std::mutex mutex_;
  std::string objection_;
};

/// The lock on the file that is served. The demo's own file is put away first, under its lock, and locked anew.
std::optional<ledger::ServeLock> lock_of(const std::string& path, bool own_demo_file) {
  if (ledger::is_postgresql(path)) return std::nullopt;  // a database takes as many servers as like
  auto lock = need(ledger::ServeLock::take(path));
  if (!own_demo_file) return lock;
  remove_old_demo(path);
  return need(ledger::ServeLock::take(path));
}

/// Kept in a record that the demo has filled, so that it can be filled again and no other.
constexpr const char* demo_remark = "demo";

/// Invented entries never stand among real ones, and a record to which people sign in is never open to everybody.
void refuse_demo_of(ledger::Ledger& record, const std::string& path) {
  if (accounts::Store::exists(path))
    throw BadInput{
        {{"/demo", ledger::shown(path), in_english_only("a record without accounts; this one is a ward's")}}};
  if (record.last_sequence() > 0 && record.remark(demo_remark).empty())
    throw BadInput{{{"/demo", ledger::shown(path),
                     in_english_only("an empty record, or one that the demo has made; this one holds "
                                     "entries")}}};
}

/// People sign in where there is TLS, and nowhere else.
void add_accounts(server::Options& options, const Options& o, const std::string& path) {
  if (!options.tls) {
    if (accounts::Store::exists(path))
      throw BadInput{{{"/certificate", "",
                       in_english_only("a certificate and its key (--certificate, --key): this record has accounts, "
                                       "and people sign in over TLS")}}};
    return;
  }
  if (options.demo)
    throw BadInput{{{"/demo", "a certificate",
                     in_english_only("none: the demo has no accounts, and stays on the machine itself")}}};
  const auto store = need(accounts::Store::open(path));
  accounts::Rules rules;
  rules.idle = std::chrono::minutes(o.idle_minutes);
  rules.least_password = static_cast<std::size_t>(o.least_password);
  options.accounts = std::make_shared<accounts::Accounts>(store, rules);
  options.audit = std::make_shared<accounts::Audit>(store);
}

void serve(const Options& o, Session session) {
  const bool own_demo_file = o.demo && session.ledger_path.empty();
  if (own_demo_file) session.ledger_path = demo_ledger_path();
  const std::string path = ledger_path(session);
  const auto lock = lock_of(path, own_demo_file);

  server::Options options;
  options.address = o.address;
  options.port = o.port;
  options.standard_policy = exchange::default_library().policy;
  options.page = server::page_files();
  options.demo = o.demo;
  options.place = o.demo ? demo::demo_place() : line::Place{o.facility, o.unit, ""};
  options.time_zone = time_zone_name(session);
  options.local = local_time(session, now());
  options.clock = now;
  options.note_pdf = documents::note_pdf;
  options.handover_pdf = documents::handover_pdf;
  options.label_pdf = documents::label_pdf;
  options.note_text = [](const document::Note& note, const said::Reader& reader) {
    return documents::plain_text(note, reader);
  };
  options.label_text = [](const document::Label& label, const said::Reader& reader) {
    return documents::plain_text(label, reader);
  };
  options.ledger = ledger(session, ledger::Access::made);
  options.reading = ledger(session, ledger::Access::made);
  options.library = library_with(session, options.ledger.get());
  if (o.demo) refuse_demo_of(*options.ledger, path);
  if (o.demo && options.ledger->last_sequence() == 0) {
    std::cout << "Making the demo ward and " << o.history << " invented closed lines …" << std::endl;
    need(options.ledger->keep_remark(demo_remark, "invented people"));
    fill_demo(*options.ledger, o.history);
  }
  if (ledger::is_postgresql(path)) options.announcements = [path] { return ledger::Announcements::listen(path); };
  const auto signer = o.demo ? nullptr : std::make_shared<HeadSigner>(options.ledger, session);
  if (signer) options.every_minute = [signer] { signer->sign(); };
  if (signer) options.proof = [signer] { return signer->objection(); };
  if (!o.certificate.empty() || !o.key.empty()) options.tls = need(server::Tls::load(o.certificate, o.key));
  const std::string scheme = options.tls ? "https" : "http", name = options.tls ? options.tls->name() : std::string();
  if (options.tls) std::cout << "The certificate ends " << iso(options.tls->ends()) << std::endl;
  add_accounts(options, o, path);
  const auto people = options.accounts;
  const auto server = need(server::Server::start(std::move(options)));
  // People come by the name that the certificate was made for.
  const std::string host = !name.empty()                              ? name
                           : o.address.find(':') == std::string::npos ? o.address
                                                                      : "[" + o.address + "]";
  std::cout << "Dwell serves " << (o.demo ? "the demo ward (invented people)" : o.unit) << " at " << scheme << "://"
            << host << ":" << server->port() << "/\n"
            << "Ledger: " << ledger::shown(path) << '\n'
            << (people ? "People sign in." : "It listens on this machine only: without a certificate nobody signs in.")
            << " Stop with Ctrl-C." << std::endl;
  // Behind the "#", so that it stands in no request and no log.
  if (people && !people->has_administrator())
    std::cout << "There is no administrator yet. Make the first account with this link, once, within "
              << std::chrono::duration_cast<std::chrono::hours>(people->rules().invitation).count() << " h:\n"
              << scheme << "://" << host << ":" << server->port() << "/#/invited/" << people->invite_first(now())
              << std::endl;
  server->run();
  if (signer) signer->sign();
  std::cout << "Stopped." << std::endl;
}

}  // namespace

void add_serve(CLI::App& app, Session& session, Exit&) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("serve", "Serve the page for one ward on this machine");
  command->add_flag("--demo", options->demo, "An invented ward, made afresh around now");
  command->add_option("--port", options->port, "Port (default 8311; 0 for any free one)");
  command->add_option("--address", options->address,
                      "Where to listen; another than this machine only with a certificate");
  command->add_option("--certificate", options->certificate, "File with the certificate (PEM), for TLS");
  command->add_option("--key", options->key, "File with its key (PEM)");
  command->add_option("--idle-lock", options->idle_minutes, "Minutes without a touch until the PIN is asked for")
      ->check(CLI::Range(1, 60));
  command->add_option("--password-length", options->least_password, "Least length of a password")
      ->check(CLI::Range(15, 128));
  command->add_option("--unit", options->unit, "Name of the ward");
  command->add_option("--facility", options->facility, "Name of the hospital");
  command->add_option("--history", options->history, "Closed lines in the demo's history")
      ->check(CLI::Range(0, 100000));
  command->callback([=, &session] { serve(*options, session); });
}

}  // namespace dwell::cli
