#include "server/compress.h"

#include <zlib.h>

#include <stdexcept>

namespace dwell::server {

std::string gzip(std::string_view plain) {
  constexpr int quick = 5, gzip_wrapper = 16, largest_window = 15, usual_memory = 8;
  z_stream stream{};
  if (deflateInit2(&stream, quick, Z_DEFLATED, largest_window + gzip_wrapper, usual_memory, Z_DEFAULT_STRATEGY) != Z_OK)
    throw std::runtime_error("zlib has no memory");
  std::string out(deflateBound(&stream, static_cast<uLong>(plain.size())), '\0');
  // zlib reads only, but its interface is older than const.
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(plain.data()));
  stream.avail_in = static_cast<uInt>(plain.size());
  stream.next_out = reinterpret_cast<Bytef*>(out.data());
  stream.avail_out = static_cast<uInt>(out.size());
  const int result = deflate(&stream, Z_FINISH);
  out.resize(stream.total_out);
  deflateEnd(&stream);
  if (result != Z_STREAM_END) throw std::runtime_error("zlib did not finish");
  return out;
}

}  // namespace dwell::server
