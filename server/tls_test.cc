// The encrypted door: what it lets in, and what holds nobody up.
#include "server/tls.h"

#include <csignal>

#include "server/test_secure.h"

namespace dwell::server {
namespace {

/// Looks again until it is so, for as long as a loaded machine may take.
bool comes_true(const std::function<bool()>& so) {
  constexpr int most = 1500;
  for (int i = 0; i < most; ++i) {
    if (so()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return false;
}

class TlsTest : public SecureServerTest {
 protected:
  [[nodiscard]] bool speaks(const std::function<void(SSL_CTX*)>& prepare) const {
    boost::asio::io_context io;
    auto context = client(prepare);
    return shaken(io, context) != nullptr;
  }
  [[nodiscard]] std::string shown() const {
    boost::asio::io_context io;
    auto context = client();
    const auto stream = shaken(io, context);
    return stream ? holder(*stream) : "";
  }
  [[nodiscard]] Ask about() const {
    Ask a;
    a.target = "/api/about";
    return a;
  }
};

TEST_F(TlsTest, OldVersionsAreRefusedAndTodaysAreSpoken) {
  const auto only = [](int version) {
    return [version](SSL_CTX* context) {
      SSL_CTX_set_security_level(context, 0);  // a client that would still take anything
      SSL_CTX_set_cipher_list(context, "ALL:@SECLEVEL=0");
      SSL_CTX_set_min_proto_version(context, version);
      SSL_CTX_set_max_proto_version(context, version);
    };
  };
  EXPECT_FALSE(speaks(only(TLS1_VERSION)));
  EXPECT_FALSE(speaks(only(TLS1_1_VERSION)));
  EXPECT_TRUE(speaks(only(TLS1_2_VERSION)));
  EXPECT_TRUE(speaks(only(TLS1_3_VERSION)));
}

TEST_F(TlsTest, WeakSuitesAreRefused) {
  // With a key of RSA, so that none of these fails for want of a fitting key.
  write_certificate(certificate_, key_, "with RSA", true);
  begin_again(secure_options());
  const auto offering = [](const char* suites) {
    return [suites](SSL_CTX* context) {
      SSL_CTX_set_security_level(context, 0);
      SSL_CTX_set_max_proto_version(context, TLS1_2_VERSION);
      ASSERT_EQ(SSL_CTX_set_cipher_list(context, suites), 1) << suites;
    };
  };
  for (const char* suites : {"AES128-SHA", "AES256-SHA256", "AES128-GCM-SHA256", "ECDHE-RSA-AES128-SHA",
                             "ECDHE-RSA-AES256-SHA384", "DHE-RSA-AES128-GCM-SHA256", "NULL-SHA256",
                             "ECDHE-RSA-NULL-SHA", "ADH-AES128-GCM-SHA256", "AECDH-AES128-SHA", "CAMELLIA128-SHA"})
    EXPECT_FALSE(speaks(offering(suites))) << suites;
  for (const char* suites :
       {"ECDHE-RSA-AES128-GCM-SHA256", "ECDHE-RSA-AES256-GCM-SHA384", "ECDHE-RSA-CHACHA20-POLY1305"})
    EXPECT_TRUE(speaks(offering(suites))) << suites;
}

TEST_F(TlsTest, WhoeverSpeaksWithoutItIsToldSoInOneSentence) {
  const auto answer = raw("GET /api/ward HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
  EXPECT_TRUE(answer.starts_with("HTTP/1.1 400 ")) << answer;
  EXPECT_TRUE(answer.ends_with("\r\n\r\nThis server speaks TLS only: begin the address with https://\n")) << answer;
}

TEST_F(TlsTest, AnswersSayThatTheServerIsNeverToBeAskedWithoutIt) {
  const auto answer = secure_ask(about());
  EXPECT_EQ(answer.result_int(), 200u);
  EXPECT_EQ(answer["Strict-Transport-Security"], "max-age=31536000");
  begin_again(options());
  EXPECT_EQ(ask(about())["Strict-Transport-Security"], "") << "a browser heeds it over TLS only";
}

TEST_F(TlsTest, ANameThatTheCertificateDoesNotHoldIsRebinding) {
  Ask a = about();
  for (const char* host : {"127.0.0.1", "localhost", "ward.example"}) {
    a.host = host;
    EXPECT_EQ(secure_ask(a).result_int(), 200u) << host;
  }
  for (const char* host : {"evil.example", "ward.example.evil.example", "127.0.0.2", "[::1]", "xward.example"}) {
    a.host = host;
    EXPECT_EQ(secure_ask(a).result_int(), 421u) << host;
  }
}

TEST_F(TlsTest, ThePageOfTheSameNameWithoutTlsIsAForeignPage) {
  Ask a = about();
  a.origin = "http://127.0.0.1:" + std::to_string(server_->port());
  EXPECT_EQ(secure_ask(a).result_int(), 403u);
  a.origin = "https://127.0.0.1:" + std::to_string(server_->port());
  EXPECT_EQ(secure_ask(a).result_int(), 200u);
}

TEST_F(TlsTest, HandshakesThatAreNeverEndedHoldNobodyUp) {
  auto o = secure_options();
  o.most_connections = 8;
  begin_again(std::move(o));
  boost::asio::io_context io;
  std::vector<tcp::socket> half;
  for (int i = 0; i < 40; ++i) {
    half.push_back(connected(io));
    // A record of a handshake that announces more than ever comes; or nothing at all.
    static constexpr std::array<unsigned char, 6> begun{0x16, 0x03, 0x01, 0x02, 0x00, 0x01};
    boost::system::error_code turned_away;
    if (i % 2 == 0) boost::asio::write(half.back(), boost::asio::buffer(begun), turned_away);
  }
  EXPECT_EQ(secure_ask(about()).result_int(), 200u);
  EXPECT_EQ(secure_ask(about()).result_int(), 200u);
}

TEST_F(TlsTest, BytesThatAreNoHandshakeEndTheConnectionAlone) {
  for (const auto& sent :
       {std::string("\x16\x03\x01\x00\x05hello", 10), std::string(70'000, '\x16'), std::string("\0", 1)})
    static_cast<void>(raw(sent + std::string(300, 'x')));
  EXPECT_EQ(secure_ask(about()).result_int(), 200u);
}

TEST_F(TlsTest, ARenewedCertificateIsShownWithoutARestart) {
  auto o = secure_options();
  o.look_at_certificate_every = std::chrono::milliseconds(20);
  begin_again(std::move(o));
  boost::asio::io_context io;
  auto context = client();
  const auto before = shaken(io, context);
  ASSERT_TRUE(before);
  EXPECT_EQ(holder(*before), "first");
  write_certificate(certificate_, key_, "second");
  EXPECT_TRUE(comes_true([&] { return shown() == "second"; }));
  EXPECT_EQ(said(*before, about()).result_int(), 200u) << "who was there goes on";
}

TEST_F(TlsTest, ARenewalThatDoesNotFitLeavesTheOldOne) {
  const auto tls = *Tls::load(certificate_, key_);
  const auto other_key = (folder_ / "other.key").string();
  write_certificate((folder_ / "other.pem").string(), other_key, "other");
  std::filesystem::rename(other_key, key_);
  const auto reloaded = tls->reload();
  ASSERT_FALSE(reloaded);
  EXPECT_EQ(reloaded.error().front().path, "/key");
  EXPECT_TRUE(tls->is_for("ward.example"));
  EXPECT_EQ(shown(), "first");
}

TEST_F(TlsTest, SighupReadsTheFilesAnew) {
  auto o = secure_options();
  o.look_at_certificate_every = std::chrono::hours(1);
  begin_again(std::move(o));
  EXPECT_EQ(shown(), "first");
  write_certificate(certificate_, key_, "by signal");
  ASSERT_EQ(std::raise(SIGHUP), 0);
  EXPECT_TRUE(comes_true([&] { return shown() == "by signal"; }));
}

TEST_F(TlsTest, AKeyThatEverybodyCanReadIsRefused) {
  ::chmod(key_.c_str(), S_IRUSR | S_IROTH);
  const auto read = Tls::load(certificate_, key_);
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().front().path, "/key");
  EXPECT_EQ(Tls::load((folder_ / "nowhere").string(), key_).error().front().path, "/certificate");
  EXPECT_EQ(Tls::load(key_, key_).error().front().path, "/certificate");
}

}  // namespace
}  // namespace dwell::server
