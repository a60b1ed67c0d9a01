#pragma once
// A server with TLS, and certificates made for a test.
#include <gtest/gtest.h>
#include <openssl/ec.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/rsa.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>
#include <sys/stat.h>

#include <boost/asio/ssl.hpp>
#include <fstream>
#include <functional>
#include <memory>

#include "server/test_server.h"

namespace dwell::server {

/// Writes a certificate that vouches for itself, and its key, for the machine itself.
inline void write_certificate(const std::string& certificate_path, const std::string& key_path,
                              const std::string& holder, bool rsa = false) {
  constexpr unsigned rsa_bits = 2048;
  const std::unique_ptr<EVP_PKEY, decltype(&EVP_PKEY_free)> key(rsa ? EVP_RSA_gen(rsa_bits) : EVP_EC_gen("P-256"),
                                                                &EVP_PKEY_free);
  const std::unique_ptr<X509, decltype(&X509_free)> made(X509_new(), &X509_free);
  X509_set_version(made.get(), X509_VERSION_3);
  ASN1_INTEGER_set(X509_get_serialNumber(made.get()), 1);
  X509_gmtime_adj(X509_getm_notBefore(made.get()), -3600);
  X509_gmtime_adj(X509_getm_notAfter(made.get()), 3600 * 24);
  X509_set_pubkey(made.get(), key.get());
  X509_NAME* name = X509_get_subject_name(made.get());
  X509_NAME_add_entry_by_txt(name, "CN", MBSTRING_UTF8, reinterpret_cast<const unsigned char*>(holder.c_str()), -1, -1,
                             0);
  X509_set_issuer_name(made.get(), name);
  X509_EXTENSION* names =
      X509V3_EXT_conf_nid(nullptr, nullptr, NID_subject_alt_name, "DNS:ward.example,DNS:localhost,IP:127.0.0.1");
  X509_add_ext(made.get(), names, -1);
  X509_EXTENSION_free(names);
  X509_sign(made.get(), key.get(), EVP_sha256());
  const auto written = [](const std::string& path, const std::function<void(std::FILE*)>& write) {
    // Beside and then in its place, as whoever renews certificates does.
    const std::unique_ptr<std::FILE, decltype(&std::fclose)> file(std::fopen((path + ".new").c_str(), "w"),
                                                                  &std::fclose);
    ::chmod((path + ".new").c_str(), S_IRUSR | S_IWUSR);
    write(file.get());
    std::fflush(file.get());
    std::filesystem::rename(path + ".new", path);
  };
  written(key_path,
          [&](std::FILE* file) { PEM_write_PrivateKey(file, key.get(), nullptr, nullptr, 0, nullptr, nullptr); });
  written(certificate_path, [&](std::FILE* file) { PEM_write_X509(file, made.get()); });
}

class SecureServerTest : public ServerTest {
 protected:
  using Stream = boost::asio::ssl::stream<tcp::socket>;

  void SetUp() override {
    ServerTest::SetUp();
    certificate_ = (folder_ / "certificate.pem").string();
    key_ = (folder_ / "key.pem").string();
    write_certificate(certificate_, key_, "first");
    begin_again(secure_options());
  }
  [[nodiscard]] virtual Options secure_options() const {
    Options o = options();
    o.tls = *Tls::load(certificate_, key_);
    return o;
  }

  /// A client that believes any certificate; `prepare` makes it an odd one.
  [[nodiscard]] static boost::asio::ssl::context client(const std::function<void(SSL_CTX*)>& prepare = {}) {
    boost::asio::ssl::context context(boost::asio::ssl::context::tls_client);
    if (prepare) prepare(context.native_handle());
    return context;
  }
  /// Nothing when no connection came about.
  [[nodiscard]] std::unique_ptr<Stream> shaken(boost::asio::io_context& io, boost::asio::ssl::context& context) const {
    auto stream = std::make_unique<Stream>(connected(io), context);
    boost::system::error_code failure;
    stream->handshake(boost::asio::ssl::stream_base::client, failure);
    return failure ? nullptr : std::move(stream);
  }
  [[nodiscard]] static std::string holder(Stream& stream) {
    const std::unique_ptr<X509, decltype(&X509_free)> shown(SSL_get1_peer_certificate(stream.native_handle()),
                                                            &X509_free);
    char name[64] = "";
    X509_NAME_get_text_by_NID(X509_get_subject_name(shown.get()), NID_commonName, name, sizeof name);
    return name;
  }

  [[nodiscard]] Response secure_ask(const Ask& a) const {
    boost::asio::io_context io;
    auto context = client();
    auto stream = shaken(io, context);
    if (!stream) throw std::runtime_error("no handshake");
    return said(*stream, a);
  }
  [[nodiscard]] Response said(Stream& stream, const Ask& a) const {
    auto request = request_of(a);
    boost::beast::error_code cut_short;
    http::write(stream, request, cut_short);
    return heard(stream, a);
  }

  std::string certificate_, key_;
};

}  // namespace dwell::server
