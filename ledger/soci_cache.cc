// Beside the chain: the cache of lines, which can be made again, and the pictures, whose hashes the chain holds.
#include <sodium.h>

#include <optional>

#include "ledger/chain.h"
#include "ledger/soci_transaction.h"

namespace dwell::ledger {
namespace {

constexpr int base64 = sodium_base64_VARIANT_ORIGINAL;

std::string to_base64(const std::string& bytes) {
  std::string text(sodium_base64_encoded_len(bytes.size(), base64), '\0');
  sodium_bin2base64(text.data(), text.size(), reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(),
                    base64);
  text.pop_back();
  return text;
}

std::string from_base64(const std::string& text) {
  std::string bytes(text.size(), '\0');
  std::size_t length = 0;
  if (sodium_base642bin(reinterpret_cast<unsigned char*>(bytes.data()), bytes.size(), text.data(), text.size(), nullptr,
                        &length, nullptr, base64) != 0)
    throw Unreachable("a picture in the record cannot be read");
  bytes.resize(length);
  return bytes;
}

}  // namespace

ProjectionMark SociLedger::projection_mark() {
  return reading([&]() -> ProjectionMark {
    const std::string reaches = meta("projected_to");
    return {meta("projected_with"), reaches.empty() ? 0 : std::stoll(reaches)};
  });
}

std::vector<ProjectedLine> SociLedger::projected(bool open_only) {
  return reading([&] {
    ProjectedLine line;
    int open = 0;
    soci::statement select =
        (sql().prepare << std::string("SELECT line, open, unit, bed, clocks, learned FROM line_now") +
                              (open_only ? " WHERE open = 1" : "") + " ORDER BY line",
         soci::into(line.line), soci::into(open), soci::into(line.unit), soci::into(line.bed), soci::into(line.clocks),
         soci::into(line.row));
    std::vector<ProjectedLine> lines;
    select.execute();
    while (select.fetch()) {
      line.open = open != 0;
      lines.push_back(line);
    }
    return lines;
  });
}

std::vector<std::string> SociLedger::lines_after(std::int64_t sequence) {
  return reading([&] {
    const long long after = sequence;
    std::string line;
    soci::statement select = (sql().prepare << "SELECT DISTINCT line FROM event WHERE sequence > :after ORDER BY line",
                              soci::use(after), soci::into(line));
    std::vector<std::string> lines;
    select.execute();
    while (select.fetch()) lines.push_back(line);
    return lines;
  });
}

Checked<void> SociLedger::keep_projection(const ProjectionMark& mark, const std::vector<ProjectedLine>& lines,
                                          bool afresh) {
  return writing([&]() -> Checked<void> {
    if (afresh) sql() << "DELETE FROM line_now";
    ProjectedLine line;
    int open = 0;
    soci::statement put =
        (sql().prepare << "INSERT INTO line_now (line, open, unit, bed, clocks, learned) VALUES (:line, :open, :unit, "
                          ":bed, :clocks, :learned) ON CONFLICT (line) DO UPDATE SET open = excluded.open, "
                          "unit = excluded.unit, bed = excluded.bed, clocks = excluded.clocks, "
                          "learned = excluded.learned",
         soci::use(line.line), soci::use(open), soci::use(line.unit), soci::use(line.bed), soci::use(line.clocks),
         soci::use(line.row));
    for (const auto& one : lines) {
      line = one;
      open = one.open ? 1 : 0;
      put.execute(true);
    }
    set_meta("projected_with", mark.made_with);
    set_meta("projected_to", std::to_string(mark.sequence));
    return {};
  });
}

Checked<void> SociLedger::keep_photo(const Photo& photo) {
  if (blake2b_256(photo.bytes) != photo.hash)
    return refuse("/hash", photo.hash, "the BLAKE2b-256 of the picture's bytes");
  return writing([&]() -> Checked<void> {
    const std::string content = to_base64(photo.bytes);
    sql() << "INSERT INTO photo (hash, media_type, content) VALUES (:hash, :media_type, :content) "
             "ON CONFLICT (hash) DO NOTHING",
        soci::use(photo.hash), soci::use(photo.media_type), soci::use(content);
    return {};
  });
}

std::optional<Photo> SociLedger::photo(const std::string& hash) {
  return reading([&]() -> std::optional<Photo> {
    Photo found{hash, "", ""};
    std::string content;
    sql() << "SELECT media_type, content FROM photo WHERE hash = :hash", soci::use(hash), soci::into(found.media_type),
        soci::into(content);
    if (!sql().got_data()) return std::nullopt;
    found.bytes = from_base64(content);
    return found;
  });
}

/// As it was taken: bytes that no longer fit their name are no picture.
bool SociLedger::holds_picture(const std::string& hash) {
  try {
    const auto found = photo(hash);
    return found && blake2b_256(found->bytes) == hash;
  } catch (const Unreachable&) {
    return false;
  }
}

std::vector<std::string> SociLedger::photo_hashes() {
  return reading([&] {
    std::string hash;
    soci::statement select = (sql().prepare << "SELECT hash FROM photo ORDER BY hash", soci::into(hash));
    std::vector<std::string> hashes;
    select.execute();
    while (select.fetch()) hashes.push_back(hash);
    return hashes;
  });
}

Checked<void> SociLedger::keep_paper(const Paper& paper, const std::optional<std::string>& after) {
  return writing([&]() -> Checked<void> {
    if (after) {
      std::string last, who, last_at;
      sql() << "SELECT id, who, at FROM paper WHERE kind = :kind ORDER BY at DESC, id DESC LIMIT 1",
          soci::use(paper.kind), soci::into(last), soci::into(who), soci::into(last_at);
      if (!sql().got_data()) last.clear();
      if (last != *after && last != paper.id)
        return refuse("/after", last.empty() ? *after : who + ", " + last_at,
                      "the one that was changed; another was kept meanwhile");
    }
    const std::string at = iso(paper.at);
    sql() << "INSERT INTO paper (id, kind, who, at, json) VALUES (:id, :kind, :who, :at, :json) "
             "ON CONFLICT (id) DO NOTHING",
        soci::use(paper.id), soci::use(paper.kind), soci::use(paper.who), soci::use(at), soci::use(paper.json);
    std::string there;
    sql() << "SELECT json FROM paper WHERE id = :id", soci::use(paper.id), soci::into(there);
    if (there != paper.json) return refuse("/id", paper.id, "an id of its own; another paper already has this one");
    return {};
  });
}

std::vector<Paper> SociLedger::papers(const std::string& kind, const std::string& who) {
  return papers_of(kind, who, "at, id");
}

std::optional<Paper> SociLedger::last_paper(const std::string& kind) {
  auto last = papers_of(kind, "", "at DESC, id DESC LIMIT 1");
  return last.empty() ? std::nullopt : std::optional(std::move(last.front()));
}

std::vector<Paper> SociLedger::papers_of(const std::string& kind, const std::string& who, const char* order) {
  return reading([&] {
    Paper paper;
    std::string at;
    soci::statement select =
        (sql().prepare << std::string("SELECT id, kind, who, at, json FROM paper WHERE kind = :kind AND "
                                      "(who = :who OR :everybody = '') ORDER BY ") +
                              order,
         soci::use(kind), soci::use(who), soci::use(who), soci::into(paper.id), soci::into(paper.kind),
         soci::into(paper.who), soci::into(at), soci::into(paper.json));
    std::vector<Paper> found;
    select.execute();
    while (select.fetch()) {
      const auto moment = parse_instant(at);
      if (!moment) throw Unreachable("a paper beside the record has no readable time");
      paper.at = *moment;
      found.push_back(paper);
    }
    return found;
  });
}

}  // namespace dwell::ledger
