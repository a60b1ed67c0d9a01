#pragma once
// How a reply goes over the wire.
#include <boost/beast/core/error.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>

#include "server/message.h"

namespace dwell::server {

using Response = boost::beast::http::response<boost::beast::http::string_body>;

/// Compressed when that is worth it and `request` takes it: on the thread that made the reply.
[[nodiscard]] Response wire(const Reply& reply, const Request& request, unsigned version, bool keep_alive);

/// For a request that could not be read.
[[nodiscard]] Reply fault_reply(const boost::beast::error_code& failure);

}  // namespace dwell::server
