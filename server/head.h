#pragma once
// The head of a request, held against the rules of the protocol before anything of it is believed. What is ambiguous is
// refused: two programs that read one request in two ways are how one person's request becomes part of another's.
#include <boost/beast/http/fields.hpp>
#include <boost/beast/http/message.hpp>
#include <optional>

#include "server/message.h"

namespace dwell::server {

using Head = boost::beast::http::request_header<boost::beast::http::fields>;

/// The refusal of a head that RFC 9112 (message syntax) does not allow, or that says something twice. `secure`: it came
/// over TLS, so that an address in it is of https.
[[nodiscard]] std::optional<Reply> refuse_head(const Head& head, bool secure);

/// The request without its body. A target in absolute-form counts for the host too (RFC 9112, section 3.2.2). For heads
/// that are not refused.
[[nodiscard]] Request request_of(const Head& head);

/// The client waits with the body until it is told to go on (RFC 9110, section 10.1.1).
[[nodiscard]] bool expects_to_be_told(const Head& head);

}  // namespace dwell::server
