#pragma once
// A chain of hashes shows an edit, but not that its end was cut off: what is left is a whole chain too. So its head is
// signed from time to time and kept in a file apart from the ledger. Whoever checks the ledger against that file sees
// entries that were once there and are gone, and a history that was rewritten from some entry on.
#include <memory>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "quantity/checked.h"
#include "quantity/time.h"

namespace dwell::ledger {

/// "Entry `sequence` had this hash at that time", signed.
struct SignedHead {
  std::int64_t sequence = 0;
  std::string hash;  ///< 64 hex digits
  Instant signed_at;
  std::string key;        ///< public, 64 hex digits
  std::string signature;  ///< Ed25519 over the three above, 128 hex digits
  friend bool operator==(const SignedHead&, const SignedHead&) = default;
};

/// An Ed25519 key in a file that only its owner may read.
class SigningKey {
 public:
  /// Reads the file, or makes it with a new key. Refuses one that others may read, or that holds no key.
  [[nodiscard]] static Checked<SigningKey> load_or_make(const std::string& path);
  /// From the 32 bytes of its seed (hex), for known vectors.
  [[nodiscard]] static SigningKey from_seed(const std::string& seed_hex);
  SigningKey(SigningKey&&) noexcept;
  SigningKey& operator=(SigningKey&&) noexcept;
  ~SigningKey();

  [[nodiscard]] std::string public_key() const;
  [[nodiscard]] std::string sign(std::string_view message) const;  ///< 128 hex digits
  [[nodiscard]] SignedHead sign_head(std::int64_t sequence, const std::string& hash, Instant now) const;

 private:
  struct Secret;
  explicit SigningKey(std::unique_ptr<Secret> secret);
  std::unique_ptr<Secret> secret_;
};

/// Does the signature fit the message and the public key? Malformed hex does not.
[[nodiscard]] bool signature_fits(const std::string& public_key, std::string_view message,
                                  const std::string& signature);
[[nodiscard]] bool signature_fits(const SignedHead& head);

/// Adds one line to the file, durable when it returns.
[[nodiscard]] Checked<void> keep_head(const std::string& path, const SignedHead& head);
/// All heads of the file, in order; none when there is no file. Refuses a line that cannot be read or whose signature
/// does not fit, with its number.
[[nodiscard]] Checked<std::vector<SignedHead>> read_heads(const std::string& path);

/// Signs the ledger's head into the file, unless the last one there is the same. An empty ledger is not signed.
[[nodiscard]] Checked<void> sign_now(Ledger& ledger, const SigningKey& key, const std::string& path, Instant now);

}  // namespace dwell::ledger
