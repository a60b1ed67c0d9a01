#include "server/tls.h"

#include <openssl/err.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>
#include <sys/stat.h>

#include <boost/asio/ip/address.hpp>
#include <chrono>
#include <ctime>

namespace dwell::server {
namespace {

namespace ssl = boost::asio::ssl;

// Forward secrecy and authenticated encryption, and nothing else. TLS 1.3 has only such suites.
// Source: RFC 9325, sections 3.1.1 and 4.2.
constexpr const char* suites_of_1_2 =
    "ECDHE-ECDSA-AES128-GCM-SHA256:ECDHE-RSA-AES128-GCM-SHA256:ECDHE-ECDSA-AES256-GCM-SHA384:"
    "ECDHE-RSA-AES256-GCM-SHA384:ECDHE-ECDSA-CHACHA20-POLY1305:ECDHE-RSA-CHACHA20-POLY1305";
constexpr const char* suites_of_1_3 = "TLS_AES_128_GCM_SHA256:TLS_AES_256_GCM_SHA384:TLS_CHACHA20_POLY1305_SHA256";
constexpr const char* curves = "X25519:P-256:P-384";
constexpr int security_level = 2;  // no RSA below 2,048 bits, no SHA-1 in signatures

bool harden(SSL_CTX* context) {
  SSL_CTX_set_options(
      context, SSL_OP_NO_COMPRESSION | SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_TICKET | SSL_OP_CIPHER_SERVER_PREFERENCE);
  // A session that is taken up again would outlive the certificate it was made with.
  SSL_CTX_set_session_cache_mode(context, SSL_SESS_CACHE_OFF);
  SSL_CTX_set_security_level(context, security_level);
  return SSL_CTX_set_min_proto_version(context, TLS1_2_VERSION) == 1 &&
         SSL_CTX_set_cipher_list(context, suites_of_1_2) == 1 &&
         SSL_CTX_set_ciphersuites(context, suites_of_1_3) == 1 && SSL_CTX_set1_groups_list(context, curves) == 1 &&
         SSL_CTX_set_num_tickets(context, 0) == 1;
}

bool others_can_read(const std::string& path) {
  struct stat facts {};
  return ::stat(path.c_str(), &facts) == 0 && (facts.st_mode & S_IROTH) != 0;
}

Instant end_of(const X509* certificate) {
  std::tm fields{};
  if (ASN1_TIME_to_tm(X509_get0_notAfter(certificate), &fields) != 1) return {};
  return Instant(std::chrono::seconds(timegm(&fields)));
}

std::filesystem::file_time_type changed_at(const std::string& path) {
  std::error_code unknown;
  return std::filesystem::last_write_time(path, unknown);
}

}  // namespace

Checked<std::shared_ptr<Tls>> Tls::load(std::string certificate, std::string key) {
  std::shared_ptr<Tls> made(new Tls(std::move(certificate), std::move(key)));
  if (auto read = made->reload(); !read) return refuse(read.error());
  return made;
}

Tls::Stamp Tls::stamp() const { return {changed_at(certificate_), changed_at(key_)}; }

Checked<Tls::Loaded> Tls::read() const {
  boost::system::error_code failure;
  auto context = std::make_shared<ssl::context>(ssl::context::tls_server);
  if (!harden(context->native_handle()))
    return refuse("/certificate", "an OpenSSL without today's suites", in_english_only("one that has them"));
  context->use_certificate_chain_file(certificate_, failure);
  if (failure)
    return refuse(
        "/certificate", certificate_,
        in_english_only("a file with the certificate and those that vouch for it, in PEM (" + failure.message() + ")"));
  if (others_can_read(key_))
    return refuse("/key", key_, in_english_only("a file that not everybody on this machine can read"));
  context->use_private_key_file(key_, ssl::context::pem, failure);
  if (failure)
    return refuse("/key", key_, in_english_only("the key of this certificate, in PEM (" + failure.message() + ")"));
  return Loaded{context, end_of(SSL_CTX_get0_certificate(context->native_handle()))};
}

Checked<void> Tls::reload() {
  const Stamp seen = stamp();
  auto read_now = read();
  const std::lock_guard lock(mutex_);
  stamp_ = seen;  // a pair that does not fit is told once, not each time
  if (!read_now) return refuse(read_now.error());
  loaded_ = std::move(*read_now);
  return {};
}

Checked<bool> Tls::reload_if_changed() {
  const Stamp seen = stamp();
  {
    const std::lock_guard lock(mutex_);
    if (seen == stamp_) return false;
  }
  return reload().map([] { return true; });
}

Tls::Context Tls::context() const {
  const std::lock_guard lock(mutex_);
  return loaded_.context;
}

Instant Tls::ends() const {
  const std::lock_guard lock(mutex_);
  return loaded_.ends;
}

std::string Tls::name() const {
  const Context kept = context();
  const std::unique_ptr<GENERAL_NAMES, decltype(&GENERAL_NAMES_free)> names(
      static_cast<GENERAL_NAMES*>(
          X509_get_ext_d2i(SSL_CTX_get0_certificate(kept->native_handle()), NID_subject_alt_name, nullptr, nullptr)),
      &GENERAL_NAMES_free);
  for (int i = 0; names && i < sk_GENERAL_NAME_num(names.get()); ++i) {
    const GENERAL_NAME* one = sk_GENERAL_NAME_value(names.get(), i);
    if (one->type != GEN_DNS) continue;
    const auto* text = reinterpret_cast<const char*>(ASN1_STRING_get0_data(one->d.dNSName));
    return {text, static_cast<std::size_t>(ASN1_STRING_length(one->d.dNSName))};
  }
  return {};
}

bool Tls::is_for(const std::string& host) const {
  const Context kept = context();
  X509* certificate = SSL_CTX_get0_certificate(kept->native_handle());
  boost::system::error_code no_address;
  boost::asio::ip::make_address(host, no_address);
  if (!no_address) return X509_check_ip_asc(certificate, host.c_str(), 0) == 1;
  return !host.empty() && X509_check_host(certificate, host.data(), host.size(), 0, nullptr) == 1;
}

}  // namespace dwell::server
