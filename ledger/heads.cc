#include "ledger/heads.h"

#include <fcntl.h>
#include <sodium.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <optional>
#include <stdexcept>
#include <vector>

#include "json/codec.h"

namespace dwell::ledger {
namespace {

constexpr std::size_t seed_bytes = crypto_sign_SEEDBYTES, public_bytes = crypto_sign_PUBLICKEYBYTES,
                      secret_bytes = crypto_sign_SECRETKEYBYTES, signature_bytes = crypto_sign_BYTES;

template <std::size_t N>
std::string hex(const std::array<unsigned char, N>& bytes) {
  std::string text(N * 2 + 1, '\0');
  sodium_bin2hex(text.data(), text.size(), bytes.data(), bytes.size());
  text.pop_back();
  return text;
}

template <std::size_t N>
bool from_hex(std::string_view text, std::array<unsigned char, N>& bytes) {
  std::size_t length = 0;
  return sodium_hex2bin(bytes.data(), bytes.size(), text.data(), text.size(), nullptr, &length, nullptr) == 0 &&
         length == N && text.size() == 2 * N;
}

const unsigned char* bytes_of(std::string_view text) { return reinterpret_cast<const unsigned char*>(text.data()); }

/// What is signed; a change of these words is a change of the format.
std::string message_of(const SignedHead& head) {
  return "dwell ledger head 1\n" + std::to_string(head.sequence) + "\n" + head.hash + "\n" + iso(head.signed_at) + "\n";
}

std::string text_of(const SignedHead& head) {
  return json::to_text(json::Object{{"sequence", head.sequence},
                                    {"hash", head.hash},
                                    {"signed_at", iso(head.signed_at)},
                                    {"key", head.key},
                                    {"signature", head.signature}});
}

/// Nothing when a member is missing or of another kind.
std::optional<SignedHead> head_from(const std::string& text) {
  const auto value = json::parse_text(text);
  const auto* object = value ? value->if_object() : nullptr;
  if (!object) return std::nullopt;
  SignedHead head;
  std::string signed_at;
  const auto* sequence = object->if_contains("sequence");
  if (!sequence || !sequence->is_int64()) return std::nullopt;
  head.sequence = sequence->as_int64();
  for (const auto& [name, place] : {std::pair<const char*, std::string*>{"hash", &head.hash},
                                    {"signed_at", &signed_at},
                                    {"key", &head.key},
                                    {"signature", &head.signature}}) {
    const auto* member = object->if_contains(name);
    if (!member || !member->is_string()) return std::nullopt;
    *place = std::string(member->as_string());
  }
  const auto at = parse_instant(signed_at);
  if (!at) return std::nullopt;
  head.signed_at = *at;
  return head;
}

/// The last whole line of the file, when it is a signed head. The file grows with the years; signing looks at its end.
std::optional<SignedHead> last_kept(const std::string& path) {
  std::ifstream file(path, std::ios::binary | std::ios::ate);
  if (!file) return std::nullopt;
  constexpr std::streamoff longest_line = 1024;
  const std::streamoff size = file.tellg(), from = std::max<std::streamoff>(0, size - longest_line);
  std::string tail(static_cast<std::size_t>(size - from), '\0');
  file.seekg(from).read(tail.data(), static_cast<std::streamsize>(tail.size()));
  const auto end = tail.rfind('\n');
  if (!file || end == std::string::npos) return std::nullopt;
  const auto before = end == 0 ? std::string::npos : tail.rfind('\n', end - 1);
  const auto begin = before == std::string::npos ? 0 : before + 1;
  auto head = head_from(tail.substr(begin, end - begin));
  return head && signature_fits(*head) ? head : std::nullopt;
}

std::string reason() { return std::strerror(errno); }

/// An open file that closes itself; −1 when it could not be opened.
class File {
 public:
  File(const std::string& path, int flags) : descriptor_(::open(path.c_str(), flags | O_CLOEXEC, 0600)) {}
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  ~File() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }
  [[nodiscard]] bool is_open() const { return descriptor_ >= 0; }
  /// All of it, and on the disk.
  [[nodiscard]] bool put(std::string_view text) const {
    while (!text.empty()) {
      const auto written = ::write(descriptor_, text.data(), text.size());
      if (written < 0 && errno == EINTR) continue;
      if (written <= 0) return false;
      text.remove_prefix(static_cast<std::size_t>(written));
    }
    return ::fsync(descriptor_) == 0;
  }

 private:
  int descriptor_;
};

}  // namespace

struct SigningKey::Secret {
  std::array<unsigned char, public_bytes> open{};
  std::array<unsigned char, secret_bytes> hidden{};
  ~Secret() { sodium_memzero(hidden.data(), hidden.size()); }
};

SigningKey::SigningKey(std::unique_ptr<Secret> secret) : secret_(std::move(secret)) {}
SigningKey::SigningKey(SigningKey&&) noexcept = default;
SigningKey& SigningKey::operator=(SigningKey&&) noexcept = default;
SigningKey::~SigningKey() = default;

SigningKey SigningKey::from_seed(const std::string& seed_hex) {
  std::array<unsigned char, seed_bytes> seed{};
  if (sodium_init() < 0 || !from_hex(seed_hex, seed)) throw std::invalid_argument("a seed of 64 hex digits is needed");
  auto secret = std::make_unique<Secret>();
  crypto_sign_seed_keypair(secret->open.data(), secret->hidden.data(), seed.data());
  sodium_memzero(seed.data(), seed.size());
  return SigningKey(std::move(secret));
}

Checked<SigningKey> SigningKey::load_or_make(const std::string& path) {
  if (sodium_init() < 0) throw std::runtime_error("the cryptography library cannot start");
  if (const File made(path, O_WRONLY | O_CREAT | O_EXCL); made.is_open()) {
    std::array<unsigned char, seed_bytes> seed{};
    randombytes_buf(seed.data(), seed.size());
    const std::string text = hex(seed);
    sodium_memzero(seed.data(), seed.size());
    if (!made.put(text + "\n")) return refuse("/key", path, "a file that can be written (" + reason() + ")");
    return from_seed(text);
  }
  if (errno != EEXIST) return refuse("/key", path, "a folder that can be written (" + reason() + ")");
  struct stat about {};
  if (::stat(path.c_str(), &about) != 0) return refuse("/key", path, "a file that can be read (" + reason() + ")");
  constexpr mode_t for_others = 077;
  if (about.st_mode & for_others) return refuse("/key", path, "a key that only its owner may read (mode 600)");
  std::string text;
  std::ifstream(path) >> text;
  std::array<unsigned char, seed_bytes> seed{};
  if (!from_hex(text, seed)) return refuse("/key", path, "a key of Dwell; this file is something else");
  return from_seed(text);
}

std::string SigningKey::public_key() const { return hex(secret_->open); }

std::string SigningKey::sign(std::string_view message) const {
  std::array<unsigned char, signature_bytes> signature{};
  crypto_sign_detached(signature.data(), nullptr, bytes_of(message), message.size(), secret_->hidden.data());
  return hex(signature);
}

SignedHead SigningKey::sign_head(std::int64_t sequence, const std::string& hash, Instant now) const {
  SignedHead head{sequence, hash, now, public_key(), ""};
  head.signature = sign(message_of(head));
  return head;
}

bool signature_fits(const std::string& public_key, std::string_view message, const std::string& signature) {
  std::array<unsigned char, public_bytes> key{};
  std::array<unsigned char, signature_bytes> bytes{};
  return from_hex(public_key, key) && from_hex(signature, bytes) &&
         crypto_sign_verify_detached(bytes.data(), bytes_of(message), message.size(), key.data()) == 0;
}

bool signature_fits(const SignedHead& head) { return signature_fits(head.key, message_of(head), head.signature); }

Checked<void> keep_head(const std::string& path, const SignedHead& head) {
  const File file(path, O_WRONLY | O_CREAT | O_APPEND);
  if (!file.is_open() || !file.put(text_of(head) + "\n"))
    return refuse("/heads", path, "a file that can be written (" + reason() + ")");
  return {};
}

Checked<std::vector<SignedHead>> read_heads(const std::string& path) {
  std::vector<SignedHead> heads;
  std::ifstream file(path);
  std::string line;
  for (int number = 1; std::getline(file, line); ++number) {
    if (file.eof()) break;  // no line end: the write was cut off, and was never acknowledged
    const std::string place = path + ", line " + std::to_string(number);
    auto head = head_from(line);
    if (!head) return refuse("/heads", place, "a signed head; this line cannot be read");
    if (!signature_fits(*head)) return refuse("/heads", place, "a signature that fits; this line was changed");
    heads.push_back(std::move(*head));
  }
  return heads;
}

Checked<void> sign_now(Ledger& ledger, const SigningKey& key, const std::string& path, Instant now) {
  const auto last = ledger.last_sequence();
  if (last == 0) return {};
  if (const auto kept = last_kept(path); kept && kept->sequence == last) return {};
  const auto entry = ledger.read_after(last - 1, 1);
  return keep_head(path, key.sign_head(last, entry.front().hash, now));
}

}  // namespace dwell::ledger
