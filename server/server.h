#pragma once
// The HTTP server: the page, the engine, the record and its live updates. On another address than the machine's own it
// listens only with TLS and with accounts, and says so.
#include <chrono>
#include <functional>
#include <memory>
#include <span>
#include <string>

#include "accounts/accounts.h"
#include "accounts/audit.h"
#include "document/handover.h"
#include "engine/engine.h"
#include "exchange/said/said.h"
#include "ledger/announcements.h"
#include "ledger/ledger.h"
#include "server/page.h"
#include "server/tls.h"

namespace dwell::server {

struct Options {
  std::string address = "127.0.0.1";
  unsigned short port = 0;  ///< 0: any free one
  std::shared_ptr<ledger::Ledger> ledger;
  /// A second way to the same record, so that a long read never holds up charting; empty: there is only the one.
  std::shared_ptr<ledger::Ledger> reading;
  engine::Library library;         ///< its policy gives way to the one last put into force, which the record holds
  policy::Policy standard_policy;  ///< the one that comes with Dwell, to compare with
  std::span<const PageFile> page;
  bool demo = false;
  line::Place place;
  std::string time_zone;
  document::LocalTime local;
  std::function<Instant()> clock;
  std::function<std::string(const document::Note&, const said::Reader&)> note_pdf;
  std::function<std::string(const document::HandoverSheet&, const said::Reader&)> handover_pdf;
  std::function<std::string(const document::Label&, document::LabelSize, const said::Reader&)> label_pdf;
  std::function<std::string(const document::Note&, const said::Reader&)> note_text;
  std::function<std::string(const document::Label&, const said::Reader&)> label_text;
  std::function<void()> every_minute;  ///< on a thread of its own; may be empty
  /// What is known of the record's proof and whoever charts should know, or nothing to say. From any thread; may be
  /// empty.
  std::function<std::string()> proof;
  std::shared_ptr<Tls> tls;  ///< empty: HTTP as it is, on the machine itself
  /// Who may come in; only with TLS. Empty: whoever sits at the machine itself says who charts.
  std::shared_ptr<accounts::Accounts> accounts;
  std::shared_ptr<accounts::Audit> audit;  ///< with accounts
  std::chrono::milliseconds look_at_certificate_every{10'000};
  std::size_t most_connections = 512;
  std::chrono::milliseconds ping_every{15'000};  ///< of the live stream
  /// Where other servers write to the same record: hears of it at once. Empty: the record is looked at each second.
  std::function<Checked<std::unique_ptr<ledger::Announcements>>()> announcements;
};

class Server {
 public:
  /// Binds. Refused with one clear message: an address that is not the machine's own, a port in use.
  [[nodiscard]] static Checked<std::unique_ptr<Server>> start(Options options);
  ~Server();

  [[nodiscard]] unsigned short port() const;
  /// Serves until SIGINT, SIGTERM or stop().
  void run();
  /// From any thread.
  void stop();

 private:
  struct Impl;
  explicit Server(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace dwell::server
