// The cache of lines, which can be made again; the pictures, whose hashes the chain holds; and the papers within it.
#include <sodium.h>

#include <limits>
#include <optional>
#include <set>

#include "exchange/said/said.h"
#include "ledger/chain.h"
#include "ledger/readable.h"
#include "ledger/soci_transaction.h"
#include "say/record.h"

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

ProjectionMark SociLedger::mark_now() {
  const std::string reaches = meta("projected_to");
  return {meta("projected_with"), reaches.empty() ? 0 : std::stoll(reaches)};
}

Projection SociLedger::projected(bool open_only) {
  return reading([&] {
    const View view(*this);
    ProjectedLine line;
    int open = 0;
    soci::statement select =
        (sql().prepare << std::string("SELECT line, open, unit, bed, clocks, learned FROM line_now") +
                              (open_only ? " WHERE open = 1" : "") + " ORDER BY line",
         soci::into(line.line), soci::into(open), soci::into(line.unit), soci::into(line.bed), soci::into(line.clocks),
         soci::into(line.row));
    Projection out;
    CacheDigest digest;
    select.execute();
    while (select.fetch()) {
      line.open = open != 0;
      digest.toggle(line);
      out.lines.push_back(line);
    }
    if (open_only) digest.closed = RowsDigest(meta("projected_closed"));
    out.mark = mark_now();
    out.as_kept = meta("projected_seal") == seal_of(out.mark, digest);
    return out;
  });
}

std::vector<std::string> SociLedger::lines_after(std::int64_t sequence) {
  return reading([&] {
    const long long after = sequence;
    std::string line;
    // Distinct lines are found by walking the index of lines, however few entries are asked about; so they are made
    // distinct here, unless all are asked for.
    soci::statement select =
        sequence == 0
            ? (sql().prepare << "SELECT DISTINCT line FROM event WHERE line <> '' ORDER BY line", soci::into(line))
            : (sql().prepare << "SELECT line FROM event WHERE sequence > :after AND line <> '' ORDER BY sequence",
               soci::use(after), soci::into(line));
    std::set<std::string> lines;
    select.execute();
    while (select.fetch()) lines.insert(line);
    return std::vector<std::string>(lines.begin(), lines.end());
  });
}

bool SociLedger::keep_projection(const ProjectionMark& mark, const std::vector<ProjectedLine>& lines,
                                 const std::optional<ProjectionMark>& follows) {
  bool ours = true;
  const auto kept = writing([&]() -> Checked<void> {
    const auto there = mark_now();
    ours = !follows || (there.made_with == follows->made_with && there.sequence >= follows->sequence &&
                        there.sequence <= mark.sequence);
    if (!ours) return {};
    CacheDigest digest;
    if (follows)
      digest = {RowsDigest(meta("projected_open")), RowsDigest(meta("projected_closed"))};
    else
      sql() << "DELETE FROM line_now";
    put_projection(lines, digest);
    set_meta("projected_with", mark.made_with);
    set_meta("projected_to", std::to_string(mark.sequence));
    set_meta("projected_open", digest.open.hex());
    set_meta("projected_closed", digest.closed.hex());
    set_meta("projected_seal", seal_of(mark, digest));
    return {};
  });
  if (!kept) throw Unreachable(said::in_english(kept.error().front().expected));
  return ours;
}

void SociLedger::put_projection(const std::vector<ProjectedLine>& lines, CacheDigest& digest) {
  ProjectedLine line, old;
  int open = 0, was_open = 0;
  soci::statement find =
      (sql().prepare << "SELECT line, open, unit, bed, clocks, learned FROM line_now WHERE line = :line",
       soci::use(line.line), soci::into(old.line), soci::into(was_open), soci::into(old.unit), soci::into(old.bed),
       soci::into(old.clocks), soci::into(old.row));
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
    if (fetch_one(find)) {
      old.open = was_open != 0;
      digest.toggle(old);
    }
    put.execute(true);
    digest.toggle(one);
  }
}

Checked<void> SociLedger::keep_photo(const Photo& photo) {
  if (blake2b_256(photo.bytes) != photo.hash) return refuse("/hash", photo.hash, say::hash_of_the_pictures_bytes());
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

Checked<void> SociLedger::keep_paper(const Paper& paper, const std::optional<std::string>& after, Instant now) {
  const auto json = readable_json(paper);
  if (!json) return refuse(json.error());
  return writing([&] { return add_paper(paper, *json, after, iso(now)); });
}

Checked<void> SociLedger::add_paper(const Paper& paper, const std::string& json,
                                    const std::optional<std::string>& after, const std::string& received) {
  row_.id = paper.id;
  if (fetch_one(*find_)) {
    if (says_the_same(found_, json)) return {};  // a resend
    return refuse("/id", paper.id, say::an_id_of_its_own());
  }
  const auto before = after ? last_paper_now(paper.kind) : std::nullopt;
  if (after && (before ? before->id : "") != *after)
    return refuse("/after", before ? before->who + ", " + iso(before->at) : *after, say::the_policy_that_was_changed());
  const Row head = last();
  row_ = {head.sequence + 1, paper.id, "",        paper.kind,
          received,          json,     head.hash, chain_hash(head.hash, paper.kind, received, json)};
  insert_->execute(true);
  return {};
}

/// Under the lock. A policy is long and is asked for each second: what was read once is not read again.
std::optional<Paper> SociLedger::last_paper_now(const std::string& kind) {
  long long before = std::numeric_limits<long long>::max();
  for (;;) {
    const auto rows = stored_where(
        "line = '' AND kind = :value AND sequence < " + std::to_string(before) + " ORDER BY sequence DESC LIMIT 1",
        kind);
    if (rows.empty()) return std::nullopt;
    auto& [hash, known] = last_read_[kind];
    if (hash == rows.front().hash) return known;
    if (auto paper = read_paper(rows.front())) {
      hash = rows.front().hash;
      known = std::move(*paper);
      return known;
    }
    before = rows.front().sequence;
  }
}

std::optional<Paper> SociLedger::last_paper(const std::string& kind) {
  return reading([&] { return last_paper_now(kind); });
}

Papers SociLedger::papers(const std::string& kind, const std::string& who) {
  const auto rows = reading([&] { return stored_where("line = '' AND kind = :value ORDER BY sequence", kind); });
  Papers out;
  for (const auto& row : rows) {
    auto paper = read_paper(row);
    if (!paper)
      out.set_aside.push_back({row.id, row.sequence, reason_of(paper.error())});
    else if (who.empty() || paper->who == who)
      out.papers.push_back(std::move(*paper));
  }
  return out;
}

}  // namespace dwell::ledger
