#include "ledger/heads.h"

#include <sodium.h>

#include <algorithm>
#include <array>
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

// Limits far above anything that Dwell writes.
constexpr std::uint64_t longest_line = 1024, longest_key_file = 4096, longest_heads_file = std::uint64_t{1} << 32;

/// A refusal of the disk, at the place that the caller speaks of.
tl::unexpected<FieldErrors> at(const char* place, FieldErrors errors) {
  for (auto& error : errors) error.path = place;
  return refuse(std::move(errors));
}

/// The end of the file, at most `most` bytes; empty when there is none.
Checked<std::string> tail_of(const std::string& path, std::uint64_t most, Disk& disk) {
  const auto facts = disk.facts(path);
  if (!facts) return at("/heads", facts.error());
  if (!*facts) return std::string();
  const std::uint64_t size = (*facts)->size;
  // Another may add to it between the two looks.
  auto tail = disk.read(path, size - std::min(size, most), most + longest_line);
  return tail ? tail : at("/heads", tail.error());
}

/// The last line of the file that is a signed head. The file grows with the years; signing looks at its end.
Checked<std::optional<SignedHead>> last_kept(const std::string& path, Disk& disk) {
  constexpr std::uint64_t some_lines = 64 * longest_line;
  const auto tail = tail_of(path, some_lines, disk);
  if (!tail) return refuse(tail.error());
  std::string_view rest = *tail;
  while (!rest.empty()) {
    const auto end = rest.rfind('\n');
    if (end == std::string_view::npos) break;
    const auto before = end == 0 ? std::string_view::npos : rest.rfind('\n', end - 1);
    const auto begin = before == std::string_view::npos ? 0 : before + 1;
    auto head = head_from(std::string(rest.substr(begin, end - begin)));
    if (head && signature_fits(*head)) return head;
    rest = rest.substr(0, begin);
  }
  if (tail->size() > longest_line)
    return refuse("/heads", path, in_english_only("a file of signed heads; no line at its end is one"));
  return std::nullopt;
}

/// A whole head behind the torn piece of another, as older versions of Dwell left it.
std::optional<SignedHead> behind_a_torn_piece(const std::string& line) {
  const auto begin = line.rfind("{\"sequence\"");
  return begin == 0 || begin == std::string::npos ? std::nullopt : head_from(line.substr(begin));
}

/// Where the last line ends that can be read; npos when none can.
std::size_t end_of_last_readable(std::string_view text) {
  for (std::size_t end = text.rfind('\n'); end != std::string_view::npos;) {
    const auto before = end == 0 ? std::string_view::npos : text.rfind('\n', end - 1);
    const auto begin = before == std::string_view::npos ? 0 : before + 1;
    const std::string line(text.substr(begin, end - begin));
    if (head_from(line) || behind_a_torn_piece(line)) return end + 1;
    end = before;
  }
  return std::string_view::npos;
}

/// What a power cut left of the head that was being written, from where to the end: it was never acknowledged. It may
/// hold anything, also an end of line. Only one can be torn, because each is on the disk before the next is begun; more
/// than one line's worth is something else, and stays to be named.
std::size_t torn_from(std::string_view text) {
  const auto readable = end_of_last_readable(text);
  const std::size_t from = readable == std::string_view::npos ? 0 : readable;
  if (text.size() - from <= longest_line) return from;
  const auto last_end = text.rfind('\n');
  return last_end == std::string_view::npos ? text.size() : last_end + 1;
}

/// What is added behind a torn piece would be unreadable too.
Checked<void> mend_end(const std::string& path, Disk& disk) {
  const auto facts = disk.facts(path);
  if (!facts) return at("/heads", facts.error());
  if (!*facts || (*facts)->size == 0) return {};
  constexpr std::uint64_t two_lines = 2 * longest_line;
  const std::uint64_t size = (*facts)->size, from = size - std::min(size, two_lines);
  const auto tail = disk.read(path, from, two_lines);
  if (!tail) return at("/heads", tail.error());
  if (tail->find('\n') == std::string::npos && from > 0)
    return refuse("/heads", path, in_english_only("a file of signed heads; this is another"));
  const std::uint64_t torn = torn_from(*tail);
  if (torn == tail->size()) return {};
  if (auto mended = disk.cut(path, from + torn); !mended) return at("/heads", mended.error());
  return {};
}

std::string public_file(const std::string& key_path) { return key_path + ".pub"; }

/// Holds the key against the pinned one, or pins it.
Checked<SigningKey> pinned(SigningKey key, const std::string& path, Disk& disk) {
  const auto known = pinned_key(path, disk);
  if (!known) return refuse(known.error());
  if (*known && **known != key.public_key())
    return refuse("/key", path,
                  in_english_only("the key whose public half is in " + public_file(path) + ": " + **known));
  if (!*known)
    if (auto kept = disk.create(public_file(path), key.public_key() + "\n"); !kept) return at("/key", kept.error());
  return key;
}

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

Checked<SigningKey> SigningKey::load_or_make(const std::string& path, Disk& disk) {
  if (sodium_init() < 0) throw std::runtime_error("the cryptography library cannot start");
  auto facts = disk.facts(path);
  if (!facts) return at("/key", facts.error());
  if (!*facts) {
    const auto known = pinned_key(path, disk);
    if (!known) return refuse(known.error());
    if (*known)
      return refuse("/key", path,
                    in_english_only("the key that signed before, put back here; its public half is " + **known));
    std::array<unsigned char, seed_bytes> seed{};
    randombytes_buf(seed.data(), seed.size());
    const std::string text = hex(seed);
    sodium_memzero(seed.data(), seed.size());
    // Another process may have made one meanwhile; then that one counts.
    if (auto made = disk.create(path, text + "\n"); !made) return at("/key", made.error());
    facts = disk.facts(path);
    if (!facts) return at("/key", facts.error());
  }
  if (!*facts || !(*facts)->is_private)
    return refuse("/key", path, in_english_only("a key that only its owner may read (mode 600)"));
  auto text = disk.read(path, 0, longest_key_file);
  if (!text) return at("/key", text.error());
  std::array<unsigned char, seed_bytes> seed{};
  const std::string digits = text->substr(0, text->find_first_of(" \t\r\n"));
  if (!from_hex(digits, seed))
    return refuse("/key", path, in_english_only("a key of Dwell; this file is something else"));
  return pinned(from_seed(digits), path, disk);
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

Checked<std::optional<std::string>> pinned_key(const std::string& path, Disk& disk) {
  const auto facts = disk.facts(public_file(path));
  if (!facts) return at("/key", facts.error());
  if (!*facts) return std::nullopt;
  const auto text = disk.read(public_file(path), 0, longest_key_file);
  if (!text) return at("/key", text.error());
  std::array<unsigned char, public_bytes> key{};
  std::string digits = text->substr(0, text->find_first_of(" \t\r\n"));
  if (!from_hex(digits, key))
    return refuse("/key", public_file(path),
                  in_english_only("a public key of 64 hex digits; this file is something else"));
  return digits;
}

Checked<void> keep_head(const std::string& path, const SignedHead& head, Disk& disk) {
  if (auto mended = mend_end(path, disk); !mended) return mended;
  if (auto kept = disk.append(path, text_of(head) + "\n"); !kept) return at("/heads", kept.error());
  return {};
}

Checked<KeptHeads> read_heads(const std::string& path, Disk& disk) {
  KeptHeads kept;
  const auto facts = disk.facts(path);
  if (!facts) return at("/heads", facts.error());
  if (!*facts) return kept;
  const auto text = disk.read(path, 0, longest_heads_file);
  if (!text) return at("/heads", text.error());
  const std::size_t torn = torn_from(*text);
  if (torn < text->size()) ++kept.torn;
  std::string_view rest = std::string_view(*text).substr(0, torn);
  for (int number = 1; !rest.empty(); ++number) {
    const auto end = rest.find('\n');
    const std::string line(rest.substr(0, end));
    rest.remove_prefix(end + 1);
    auto head = head_from(line);
    if (!head) {
      head = behind_a_torn_piece(line);
      if (head) ++kept.torn;
    }
    const std::string place = path + ", line " + std::to_string(number);
    if (!head)
      kept.changed.push_back({"/heads", place, in_english_only("a signed head; this line cannot be read")});
    else if (!signature_fits(*head))
      kept.changed.push_back({"/heads", place, in_english_only("a signature that fits; this line was changed")});
    else
      kept.heads.push_back(std::move(*head));
  }
  return kept;
}

Checked<void> fits_last_head(Ledger& ledger, const std::string& public_key, const std::string& path, Disk& disk) {
  const auto head = last_kept(path, disk);
  if (!head) return refuse(head.error());
  if (!*head) return {};
  if ((*head)->key != public_key)
    return refuse("/heads", path + ": the last head is signed with another key, " + (*head)->key,
                  in_english_only("heads of this record's key, " + public_key));
  const std::string signed_entry = "entry " + std::to_string((*head)->sequence);
  const auto entry = ledger.stored_after((*head)->sequence - 1, 1);
  if (entry.empty())
    return refuse("/heads", "a record that ends at entry " + std::to_string(ledger.last_sequence()),
                  in_english_only(signed_entry + ", which was signed: entries are gone"));
  if (entry.front().hash != (*head)->hash)
    return refuse("/heads", signed_entry + " with another hash than was signed",
                  in_english_only("the history that was signed"));
  return {};
}

Checked<void> sign_now(Ledger& ledger, const SigningKey& key, const std::string& path, Instant now, Disk& disk) {
  if (auto fits = fits_last_head(ledger, key.public_key(), path, disk); !fits) return fits;
  const auto last = ledger.last_sequence();
  if (last == 0) return {};
  const auto kept = last_kept(path, disk);
  if (!kept) return refuse(kept.error());
  if (*kept && (*kept)->sequence == last) return {};
  const auto entry = ledger.stored_after(last - 1, 1);
  if (entry.empty())
    return refuse("/ledger", "no entry " + std::to_string(last), in_english_only("the record's last entry"));
  return keep_head(path, key.sign_head(last, entry.front().hash, now), disk);
}

}  // namespace dwell::ledger
