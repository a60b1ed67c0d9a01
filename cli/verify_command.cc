#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "cli/commands.h"
#include "ledger/copy.h"
#include "ledger/heads.h"
#include "ledger/projection.h"

namespace dwell::cli {
namespace {

struct Asked {
  std::string heads, key;
};

/// The signed heads, from the file that stands apart from the ledger, and the key that they are held against.
struct Witnessed {
  std::string file;
  ledger::KeptHeads kept;
  std::optional<std::string> key;
  bool given = false;                          ///< the key, by a person; otherwise found beside the record
  std::map<std::int64_t, std::string> hashes;  ///< by sequence; of the key alone, or of all where there is none
  std::map<std::string, int> foreign;          ///< heads by other keys
  [[nodiscard]] bool count() const { return key && !hashes.empty(); }
  [[nodiscard]] std::int64_t last() const { return hashes.empty() ? 0 : hashes.rbegin()->first; }
};

Witnessed witnessed(const Asked& asked, const Session& session) {
  const Witness where = witness(session);
  Witnessed out;
  out.file = asked.heads.empty() ? where.heads : asked.heads;
  if (!asked.heads.empty() && !need(ledger::machine_disk().facts(asked.heads)))
    throw BadInput{{{"/heads", asked.heads, in_english_only("a file of signed heads")}}};
  out.kept = need(ledger::read_heads(out.file));
  out.given = !asked.key.empty();
  out.key = out.given ? asked.key : need(ledger::pinned_key(where.key));
  for (const auto& head : out.kept.heads) {
    const bool ours = out.key && head.key == *out.key;
    if (!ours) ++out.foreign[head.key];
    if (ours || !out.key) out.hashes[head.sequence] = head.hash;
  }
  if (out.given && out.hashes.empty())
    throw BadInput{{{"/key", asked.key, in_english_only("a public key that signed a head in " + out.file)}}};
  return out;
}

/// All that was looked at, and what was not.
struct Proof {
  ledger::Verification chain;
  Witnessed heads;
  ledger::CacheCheck cache;
  bool unfinished = false;
  std::vector<std::string> notices, not_looked_at;
  [[nodiscard]] bool contradicted() const {
    const bool foreign_only = heads.key && heads.hashes.empty() && !heads.foreign.empty();
    return chain.first_bad || !chain.lost_pictures.empty() || unfinished || !heads.kept.changed.empty() ||
           foreign_only || cache_is_false();
  }
  /// A cache that was never kept is nothing false, nor one that the next start makes anew anyway.
  [[nodiscard]] bool cache_is_false() const {
    return !cache.mark.made_with.empty() && (!cache.as_kept || !cache.wrong.empty());
  }
  [[nodiscard]] bool whole() const { return !contradicted() && not_looked_at.empty(); }
};

std::string heads_not_looked_at(const Witnessed& heads) {
  if (heads.kept.heads.empty()) return "signed heads: none are in " + heads.file + "; a cut end would not show";
  if (!heads.key)
    return "signed heads: nobody vouches for a key (--key); the chain was held against all " +
           std::to_string(heads.kept.heads.size()) + ", whoever signed them";
  return "signed heads: none in " + heads.file + " is of the key; a cut end would not show";
}

/// Held against the entries with the policy in force; what that cannot be done for is named.
void look_at_cache(const Session& session, ledger::Ledger& record, Proof& proof,
                   const std::function<void(ledger::VerifyProgress)>& told) {
  const auto ward = library_with(session, &record);
  proof.cache = ledger::check_cache(record, ward.policy, ward.infusates, now(), told);
  if (proof.cache.mark.made_with.empty())
    proof.not_looked_at.push_back("the cache of lines: none was kept; a server makes it");
  else if (!proof.cache.compared)
    proof.not_looked_at.push_back(
        "what the cache of lines says: another policy, drugs or program made it; the next start makes it anew");
}

/// All of the record in one look, without what stands apart from it.
void look(const Session& session, ledger::Ledger& record, Proof& proof) {
  const bool terminal = isatty(STDERR_FILENO) == 1;
  const auto told = [&](ledger::VerifyProgress p) {
    if (terminal) std::cerr << "\r" << p.checked << " of " << p.total << std::flush;
  };
  proof.chain = record.verify(told, proof.heads.hashes);
  if (proof.chain.first_bad) {
    proof.not_looked_at = {"pictures and cache: the chain that they are held against is broken"};
  } else {
    proof.not_looked_at.clear();
    look_at_cache(session, record, proof, told);
  }
  if (terminal) std::cerr << "\r";
  try {
    proof.unfinished = ledger::is_unfinished_copy(record);
  } catch (const ledger::Unreachable& e) {
    proof.not_looked_at.push_back(std::string("whether it is an unfinished copy: ") + e.what());
  }
}

/// Nothing is written. While nobody writes, not even what SQLite keeps beside the file changes.
Proof prove(const Asked& asked, const Session& session) {
  Proof proof;
  proof.heads = witnessed(asked, session);
  const std::string path = ledger_path(session);
  const bool in_use = ledger::is_postgresql(path) || ledger::is_served(path);
  const std::string before = ledger::stamp(path);
  auto opened = need(ledger::open_ledger(path, in_use ? ledger::Access::reading : ledger::Access::untouched));
  look(session, *opened.ledger, proof);
  if (!in_use && ledger::stamp(path) != before) {
    opened.ledger.reset();  // first: closing the file would let go of the locks under which it is read next
    opened = need(ledger::open_ledger(path, ledger::Access::reading));
    look(session, *opened.ledger, proof);
  }
  proof.notices = opened.notices;
  if (!proof.heads.count()) proof.not_looked_at.push_back(heads_not_looked_at(proof.heads));
  return proof;
}

const char* key_from(const Witnessed& heads) { return heads.given ? "given" : heads.key ? "beside" : "none"; }

json::Object as_json(const Proof& proof) {
  const auto& heads = proof.heads;
  json::Object foreign;
  for (const auto& [key, count] : heads.foreign) foreign.emplace(key, count);
  json::Array set_aside;
  for (const auto& entry : proof.cache.set_aside)
    set_aside.push_back(json::Object{{"id", entry.id}, {"sequence", entry.sequence}, {"reason", entry.reason}});
  json::Object out{{"entries", proof.chain.entries},
                   {"head", proof.chain.head},
                   {"whole", proof.whole()},
                   {"chain_whole", !proof.chain.first_bad.has_value()},
                   {"lost_pictures", json::encode(proof.chain.lost_pictures)},
                   {"cache_fits", proof.cache.compared && !proof.cache_is_false()},
                   {"cache_as_kept", proof.cache.as_kept},
                   {"cache_to", proof.cache.mark.sequence},
                   {"cache_wrong", json::encode(proof.cache.wrong)},
                   {"set_aside", std::move(set_aside)},
                   {"unfinished_copy", proof.unfinished},
                   {"not_looked_at", json::encode(proof.not_looked_at)},
                   {"notices", json::encode(proof.notices)},
                   {"signed_heads", heads.count() ? heads.hashes.size() : 0},
                   {"signed_to", heads.count() ? heads.last() : 0},
                   {"heads_file", heads.file},
                   {"key_from", key_from(heads)},
                   {"foreign_heads", std::move(foreign)},
                   {"torn_heads", heads.kept.torn},
                   {"changed_heads", json::encode(heads.kept.changed)}};
  if (heads.key) out.emplace("key", *heads.key);
  if (proof.chain.first_bad)
    out.emplace("first_bad", *proof.chain.first_bad), out.emplace("reason", proof.chain.reason);
  return out;
}

void print_heads(const Proof& proof) {
  const auto& heads = proof.heads;
  if (heads.count()) {
    std::cout << "Held against " << heads.hashes.size() << (heads.hashes.size() == 1 ? " signed head" : " signed heads")
              << " of key " << *heads.key << ", the last at entry " << heads.last() << ".\n"
              << (heads.given ? "The key was given.\n"
                              : "The key was only found beside the record, where whoever can change the one can change "
                                "the other; better give it (--key).\n");
    if (proof.chain.entries > heads.last())
      std::cout << "Entries after " << heads.last()
                << " are in no signed head yet: were the last of them cut off, it would not show.\n";
  }
  for (const auto& [key, count] : heads.foreign)
    std::cout << (heads.key ? "FOREIGN: " : "Nobody vouches for: ") << count << (count == 1 ? " head" : " heads")
              << " signed with key " << key << "; not counted\n";
  if (heads.kept.torn > 0)
    std::cout << "Cut off in writing, as a power cut leaves it: " << heads.kept.torn
              << (heads.kept.torn == 1 ? " line" : " lines") << " of " << heads.file << "; not counted\n";
  for (const auto& changed : heads.kept.changed)
    std::cout << "CHANGED: " << changed.found << "; expected " << changed.expected << '\n';
}

void print_cache(const Proof& proof) {
  const auto& cache = proof.cache;
  if (proof.cache_is_false() && !cache.as_kept)
    std::cout << "CHANGED: the cache of lines is not as it was kept; the next start or `dwell rebuild` makes it anew\n";
  for (const auto& line : cache.wrong) std::cout << "CHANGED: the cache says something else of line " << line << '\n';
  for (const auto& entry : cache.set_aside)
    std::cout << "Cannot be read by this program: entry " << entry.sequence << ", " << entry.reason << '\n';
}

void print(const Proof& proof) {
  const auto& chain = proof.chain;
  if (proof.unfinished) std::cout << "UNFINISHED: a copy that was interrupted; make it again, and it goes on\n";
  if (chain.first_bad)
    std::cout << "BROKEN at entry " << *chain.first_bad << ": " << chain.reason << '\n';
  else
    std::cout << (proof.whole() ? "Whole: " : "The chain is whole: ") << chain.entries << " entries, head "
              << chain.head << '\n';
  for (const auto& hash : chain.lost_pictures) std::cout << "LOST: the picture " << hash << ", gone or changed\n";
  print_cache(proof);
  print_heads(proof);
  for (const auto& missing : proof.not_looked_at) std::cout << "Not looked at: " << missing << '\n';
  for (const auto& notice : proof.notices) std::cout << notice << '\n';
}

}  // namespace

void add_verify(CLI::App& app, Session& session, Exit& exit) {
  auto asked = std::make_shared<Asked>();
  auto* command = app.add_subcommand("verify", "Prove the record, or name the first bad entry; writes nothing");
  command->add_option("--heads", asked->heads, "File of signed heads (default: beside the ledger)");
  command->add_option("--key", asked->key, "The public key whose heads count (default: the one beside the ledger)");
  command->callback([=, &session, &exit] {
    const Proof proof = prove(*asked, session);
    if (session.json)
      print_json(as_json(proof));
    else
      print(proof);
    if (proof.contradicted()) exit = Exit::answer_is_no;
  });
}

}  // namespace dwell::cli
