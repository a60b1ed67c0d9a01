// Requests as RFC 9112 (HTTP/1.1) writes them in its examples, and as it forbids them.
#include "server/head.h"

#include <gtest/gtest.h>

#include <boost/asio/buffer.hpp>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/parser.hpp>

namespace dwell::server {
namespace {

namespace http = boost::beast::http;

/// 0: accepted; 400 too where the library under us already refuses it.
unsigned refused(const std::string& head) {
  http::request_parser<http::empty_body> parser;
  boost::beast::error_code failure;
  parser.put(boost::asio::buffer(head + "\r\n"), failure);
  if (failure) return 400;
  const auto refusal = refuse_head(parser.get(), false);
  return refusal ? refusal->status : 0;
}

Request read(const std::string& head) {
  http::request_parser<http::empty_body> parser;
  boost::beast::error_code failure;
  parser.put(boost::asio::buffer(head + "\r\n"), failure);
  return request_of(parser.get());
}

// Section 3.2.1, the example of origin-form.
TEST(Head, OriginForm) {
  const std::string head = "GET /where?q=now HTTP/1.1\r\nHost: www.example.org\r\n";
  EXPECT_EQ(refused(head), 0u);
  EXPECT_EQ(read(head).target, "/where?q=now");
  EXPECT_EQ(read(head).headers.at("host"), "www.example.org");
}

// Section 3.2.2, the example of absolute-form; "MUST ignore the received Host header field (if any) and instead use the
// host information of the request-target".
TEST(Head, AbsoluteForm) {
  const std::string head = "GET http://www.example.org/pub/WWW/TheProject.html HTTP/1.1\r\nHost: another.example\r\n";
  EXPECT_EQ(refused(head), 0u);
  EXPECT_EQ(read(head).target, "/pub/WWW/TheProject.html");
  EXPECT_EQ(read(head).headers.at("host"), "www.example.org");
  EXPECT_EQ(read("GET http://www.example.org:8001?q=1 HTTP/1.1\r\nHost: x\r\n").target, "/?q=1");
  EXPECT_EQ(refused("GET https://www.example.org/ HTTP/1.1\r\nHost: www.example.org\r\n"), 400u);
  EXPECT_EQ(refused("GET http://me@www.example.org/ HTTP/1.1\r\nHost: www.example.org\r\n"), 400u);
  EXPECT_EQ(refused("GET http:///where HTTP/1.1\r\nHost: www.example.org\r\n"), 400u);
}

// Sections 3.2.3 and 3.2.4, their examples: for proxies, and for a server as a whole, which this is not.
TEST(Head, AuthorityAndAsteriskForm) {
  EXPECT_EQ(refused("CONNECT www.example.com:80 HTTP/1.1\r\nHost: www.example.com\r\n"), 400u);
  EXPECT_EQ(refused("OPTIONS * HTTP/1.1\r\nHost: www.example.org\r\n"), 400u);
}

// Section 3.2: "A server MUST respond with a 400 (Bad Request) status code to any HTTP/1.1 request message that lacks a
// Host header field and to any request message that contains more than one Host header field line".
TEST(Head, OneHost) {
  EXPECT_EQ(refused("GET / HTTP/1.1\r\n"), 400u);
  EXPECT_EQ(refused("GET / HTTP/1.1\r\nHost: a\r\nHost: a\r\n"), 400u);
  EXPECT_EQ(refused("GET / HTTP/1.0\r\n"), 0u);
  EXPECT_EQ(refused("GET / HTTP/1.0\r\nHost: a\r\nhost: b\r\n"), 400u);
}

// RFC 6454, section 7.3: one origin; which of two is meant nobody can say.
TEST(Head, OneOrigin) {
  EXPECT_EQ(refused("GET / HTTP/1.1\r\nHost: a\r\nOrigin: http://a\r\nOrigin: http://b\r\n"), 400u);
}

// Sections 6.1 to 6.3. Where they let a server choose (501 for a coding that it does not know, one of two lengths that
// are equal), this one refuses.
TEST(Head, OneEndOfTheBody) {
  const std::string post = "POST /api/events HTTP/1.1\r\nHost: a\r\n";
  EXPECT_EQ(refused(post + "Content-Length: 5\r\n"), 0u);
  EXPECT_EQ(refused(post + "Transfer-Encoding: chunked\r\n"), 0u);
  EXPECT_EQ(refused(post + "Transfer-Encoding: Chunked\r\n"), 0u);
  for (const auto* fields :
       {"Content-Length: 5\r\nContent-Length: 5\r\n", "Content-Length: 5\r\nContent-Length: 6\r\n",
        "Content-Length: 5, 5\r\n", "Content-Length: +5\r\n", "Content-Length: 0x5\r\n", "Content-Length:\r\n",
        "Content-Length: 18446744073709551616\r\n", "Transfer-Encoding: gzip, chunked\r\n",
        "Transfer-Encoding: gzip\r\n", "Transfer-Encoding: identity\r\n", "Transfer-Encoding: chunked, identity\r\n",
        "Transfer-Encoding: xchunked\r\n", "Transfer-Encoding: chunked\r\nTransfer-Encoding: chunked\r\n",
        "Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n",
        "Transfer-Encoding: chunked\r\nContent-Length: 5\r\n", "Content-Length: 5\r\nTransfer-Encoding: chunked\r\n",
        "Transfer-Encoding : chunked\r\n"})
    EXPECT_EQ(refused(post + fields), 400u) << fields;
  EXPECT_EQ(refused("POST /api/events HTTP/1.0\r\nTransfer-Encoding: chunked\r\n"), 400u);
}

// RFC 3986, section 2.1: a percent sign is followed by two hexadecimal digits.
TEST(Head, TargetsThatCanBeRead) {
  const auto get = [](const std::string& target) { return refused("GET " + target + " HTTP/1.1\r\nHost: a\r\n"); };
  EXPECT_EQ(get("/api/ward?unit=Ward%207"), 0u);
  EXPECT_EQ(get("/api/practice?learner=Zo%C3%AB"), 0u);
  for (const auto& target :
       {std::string("/%"), std::string("/%4"), std::string("/%zz"), std::string("/a%00b"), std::string("/a\0b", 4),
        std::string("where"), std::string("//"), std::string("/a?b=%g1"), std::string("/api/practice?learner=%ff"),
        std::string("/a?b=%C3"), std::string("/a?b=%c0%80")})
    EXPECT_EQ(get(target), target == "//" ? 0u : 400u) << target;
}

// RFC 9110, section 10.1.1: an expectation that is not known may be answered with 417.
TEST(Head, Expectations) {
  EXPECT_EQ(refused("POST / HTTP/1.1\r\nHost: a\r\nExpect: 100-continue\r\n"), 0u);
  EXPECT_EQ(refused("POST / HTTP/1.1\r\nHost: a\r\nExpect: 100-Continue\r\n"), 0u);
  EXPECT_EQ(refused("POST / HTTP/1.1\r\nHost: a\r\nExpect: a-miracle\r\n"), 417u);
  EXPECT_EQ(refused("GET / HTTP/2.0\r\nHost: a\r\n"), 400u);
}

}  // namespace
}  // namespace dwell::server
