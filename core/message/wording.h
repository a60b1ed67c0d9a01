#pragma once
// A text that a ward may replace, by language: what a response card says, what a grade means, how a fluid is shown. It
// is data and not of the catalogue; as a message (say::wording) it is said in the reader's language, and where that is
// missing in another one, plainly marked: "[en] Stop the infusion."
#include <map>
#include <string>
#include <string_view>
#include <utility>

namespace dwell {

class Message;

class Wording {
 public:
  using Texts = std::map<std::string, std::string, std::less<>>;  ///< by language: "en", "es"

  Wording() = default;
  // A text that names no language is English: so older policies and lists were written.
  Wording(std::string english);                                    // NOLINT(google-explicit-constructor)
  Wording(const char* english) : Wording(std::string(english)) {}  // NOLINT(google-explicit-constructor)
  explicit Wording(Texts texts) : texts_(std::move(texts)) {}

  [[nodiscard]] const Texts& texts() const { return texts_; }
  [[nodiscard]] bool empty() const { return texts_.empty(); }
  /// What it is known by where a text is kept or matched: the English one, else the first by language.
  [[nodiscard]] std::string known_as() const;
  [[nodiscard]] bool has(std::string_view language) const { return texts_.contains(language); }
  /// Empty when there is nothing to say.
  operator Message() const;  // NOLINT(google-explicit-constructor)

  friend bool operator==(const Wording&, const Wording&) = default;

 private:
  Texts texts_;
};

/// The text for a reader, and the language it is in where that is not the reader's. A form of a language ("en-XA")
/// reads that language.
struct Read {
  std::string text, instead;
};
[[nodiscard]] Read read_in(std::string_view language, const Wording& wording);

}  // namespace dwell
