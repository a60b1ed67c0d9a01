#include <unistd.h>

#include <iostream>
#include <set>

#include "cli/commands.h"
#include "ledger/heads.h"

namespace dwell::cli {
namespace {

struct Asked {
  std::string heads, key;
};

struct Known {
  std::map<std::int64_t, std::string> hashes;  ///< by sequence
  std::set<std::string> keys;
};

/// The heads that were signed, from the file that stands apart from the ledger. With a key, only that key's count.
Known known_heads(const Asked& asked, const Session& session) {
  Known known;
  const std::string path = asked.heads.empty() ? witness(session).heads : asked.heads;
  for (const auto& head : need(ledger::read_heads(path))) {
    if (!asked.key.empty() && head.key != asked.key) continue;
    known.hashes[head.sequence] = head.hash;
    known.keys.insert(head.key);
  }
  if (!asked.key.empty() && known.hashes.empty())
    throw BadInput{{{"/key", asked.key, "a public key that signed a head in " + path}}};
  return known;
}

void print(const ledger::Verification& result, const Known& known, const Session& session) {
  if (session.json) {
    json::Object out{{"entries", result.entries},
                     {"head", result.head},
                     {"whole", !result.first_bad.has_value()},
                     {"signed_heads", known.hashes.size()}};
    if (result.first_bad) out.emplace("first_bad", *result.first_bad), out.emplace("reason", result.reason);
    if (!result.lost_pictures.empty()) out.emplace("lost_pictures", json::encode(result.lost_pictures));
    return print_json(out);
  }
  if (result.first_bad) {
    std::cout << "BROKEN at entry " << *result.first_bad << ": " << result.reason << '\n';
    return;
  }
  std::cout << "Whole: " << result.entries << " entries, head " << result.head << '\n';
  for (const auto& hash : result.lost_pictures) std::cout << "LOST: the picture " << hash << ", gone or changed\n";
  if (known.hashes.empty()) std::cout << "No signed head is known: a cut end would not show.\n";
  for (const auto& key : known.keys)
    std::cout << "It holds the " << known.hashes.size() << " signed heads, the last at entry "
              << known.hashes.rbegin()->first << ". Key " << key << '\n';
}

}  // namespace

void add_verify(CLI::App& app, Session& session, Exit& exit) {
  auto asked = std::make_shared<Asked>();
  auto* command = app.add_subcommand("verify", "Prove the record's chain, or name the first bad entry");
  command->add_option("--heads", asked->heads, "File of signed heads (default: beside the ledger)");
  command->add_option("--key", asked->key, "Count only heads signed with this public key");
  command->callback([=, &session, &exit] {
    const bool terminal = isatty(STDERR_FILENO) == 1;
    const Known known = known_heads(*asked, session);
    const auto result = ledger(session)->verify(
        [&](ledger::VerifyProgress p) {
          if (terminal) std::cerr << "\r" << p.checked << " of " << p.total << std::flush;
        },
        known.hashes);
    if (terminal) std::cerr << "\r";
    print(result, known, session);
    if (result.first_bad || !result.lost_pictures.empty()) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
