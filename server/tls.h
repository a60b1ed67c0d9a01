#pragma once
// The certificate under which the server speaks, and by which names it may be called. The pair of files may be renewed
// while the server runs: connections that stand go on, new ones get the new certificate.
#include <boost/asio/ssl/context.hpp>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>

#include "quantity/checked.h"
#include "quantity/time.h"

namespace dwell::server {

class Tls {
 public:
  using Context = std::shared_ptr<boost::asio::ssl::context>;

  /// Refuses a file that is not there or no certificate, a key of another certificate, and a key that everybody on the
  /// machine could read.
  [[nodiscard]] static Checked<std::shared_ptr<Tls>> load(std::string certificate, std::string key);

  /// For the next connection. From any thread, as all here.
  [[nodiscard]] Context context() const;
  /// Is this a name or an address that the certificate was made for? Another one in a request is how a page elsewhere
  /// would reach a server that it cannot name (DNS rebinding).
  [[nodiscard]] bool is_for(const std::string& host) const;
  /// The first name that it was made for; empty when it names addresses only.
  [[nodiscard]] std::string name() const;
  [[nodiscard]] Instant ends() const;

  /// Reads both files again. When they do not fit, what was there before stays.
  [[nodiscard]] Checked<void> reload();
  /// The same when either of the files is another one than before; whether it was.
  [[nodiscard]] Checked<bool> reload_if_changed();

 private:
  struct Loaded {
    Context context;
    Instant ends{};
  };
  /// Of the two files, by which a change is seen.
  struct Stamp {
    std::filesystem::file_time_type certificate{}, key{};
    friend bool operator==(const Stamp&, const Stamp&) = default;
  };

  Tls(std::string certificate, std::string key) : certificate_(std::move(certificate)), key_(std::move(key)) {}
  [[nodiscard]] Checked<Loaded> read() const;
  [[nodiscard]] Stamp stamp() const;

  std::string certificate_, key_;
  mutable std::mutex mutex_;
  Loaded loaded_;
  Stamp stamp_;
};

}  // namespace dwell::server
