#include "ledger/announcements.h"

#include <libpq-fe.h>

#include "ledger/ledger.h"

namespace dwell::ledger {
namespace {

struct CloseConnection {
  void operator()(PGconn* connection) const { PQfinish(connection); }
};
struct ClearResult {
  void operator()(PGresult* result) const { PQclear(result); }
};
struct FreeMemory {
  void operator()(PGnotify* notice) const { PQfreemem(notice); }
};

}  // namespace

struct Announcements::Impl {
  std::unique_ptr<PGconn, CloseConnection> connection;
};

Announcements::Announcements(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Announcements::~Announcements() = default;

Checked<std::unique_ptr<Announcements>> Announcements::listen(const std::string& address) {
  auto impl = std::make_unique<Impl>();
  impl->connection.reset(PQconnectdb(address.c_str()));
  PGconn* connection = impl->connection.get();
  if (PQstatus(connection) != CONNECTION_OK)
    return refuse("/ledger", shown(address), in_english_only("a database that can be reached"));
  const std::unique_ptr<PGresult, ClearResult> listened(PQexec(connection, "LISTEN dwell_entries"));
  if (PQresultStatus(listened.get()) != PGRES_COMMAND_OK)
    return refuse("/ledger", shown(address), in_english_only("a database that lets this user listen"));
  return std::unique_ptr<Announcements>(new Announcements(std::move(impl)));
}

int Announcements::descriptor() const { return PQsocket(impl_->connection.get()); }

Announcements::Heard Announcements::take() {
  PGconn* connection = impl_->connection.get();
  if (PQconsumeInput(connection) == 0 || PQstatus(connection) != CONNECTION_OK) return Heard::lost;
  Heard heard = Heard::nothing;
  while (const auto notice = std::unique_ptr<PGnotify, FreeMemory>(PQnotifies(connection))) heard = Heard::entries;
  return heard;
}

}  // namespace dwell::ledger
