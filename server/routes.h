#pragma once
// What the server answers, without any socket: a request in, a reply out, on any thread. The live stream alone is
// handled by the session.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "document/handover.h"
#include "json/codec.h"
#include "server/answers.h"
#include "server/charting.h"
#include "server/gate.h"
#include "server/measures.h"
#include "server/message.h"
#include "server/prepared.h"
#include "server/replies.h"
#include "server/server.h"
#include "server/watch.h"

namespace dwell::server {

/// Which threads answer: so that none of these waits for another.
enum class Way {
  at_once,     ///< on the thread of the sockets: what lies ready
  charting,    ///< what waits for the disk
  looking,     ///< short looks at the ward
  computing,   ///< what may take long: the engine, Learn, sheets and papers
  signing_in,  ///< what looks at a password
};

class Routes {
 public:
  Routes(const Options& options, Watch& watch, Charting& charting, Gate& gate, Measures& measures);

  [[nodiscard]] static Way way(const Request& request);
  /// Of its body, in bytes.
  [[nodiscard]] static std::uint64_t most_body(const Request& request);
  [[nodiscard]] Reply answer(const Request& request) const;
  /// The pattern of a target, for the log: no ids, no names.
  [[nodiscard]] static std::string pattern(const Request& request);
  /// Headers that every reply carries; over TLS also that it is never to be asked for otherwise.
  [[nodiscard]] static const std::map<std::string, std::string>& common_headers(bool secure);
  [[nodiscard]] static bool is_live(const Request& request);
  /// Nothing, or the refusal of a request from elsewhere (rebinding, other origins).
  [[nodiscard]] std::optional<Reply> guard(const Request& request) const;
  /// Nothing, or why whoever asks may not. On a thread that may wait.
  [[nodiscard]] std::optional<Reply> refuse(const Request& request) const;

  /// A request with its target taken apart.
  struct Asked {
    const Request& request;
    Query query;
    std::vector<std::string_view> parts;  ///< of the path, that stand for the pattern's {…}
    const Asker& asker;
    std::vector<std::string>& lines;  ///< that were looked at or charted on, for the audit
  };
  using Answer = Reply (Routes::*)(const Asked&) const;
  using Shape = json::Value (*)(json::Schemas& schemas);
  struct Parameter {
    std::string_view name, words;
  };
  /// One row says all that is to be known of a request: who answers, who may wait for it, and what goes in and out.
  struct Route {
    std::string_view method, pattern;  ///< "/api/lines/{line}"
    Answer answer;                     ///< null: the session itself, which streams
    Way way;
    Whose whose;
    std::uint64_t most_body;
    Shape body;                ///< null: none, or no JSON
    Shape gives;               ///< null: no JSON
    std::string_view type;     ///< of the answer
    std::string_view accepts;  ///< types of the body, but for JSON
    std::vector<Parameter> asks;
    std::string_view words;
  };
  [[nodiscard]] static std::span<const Route> table();

 private:
  /// Of the rows with this path those that answer the method; without one any, so that it is known what they are.
  [[nodiscard]] static const Route* route_of(std::string_view method, std::string_view path);
  [[nodiscard]] static std::string allowed(std::string_view path);

  Reply about(const Asked& asked) const;
  Reply library(const Asked& asked) const;
  Reply page_list(const Asked& asked) const;
  Reply engine_list(const Asked& asked) const;
  Reply engine_call(const Asked& asked) const;
  Reply ward(const Asked& asked) const;
  Reply make_ward(const Asked& asked, Instant now) const;
  Reply due(const Asked& asked) const;
  Reply events(const Asked& asked) const;
  Reply keep_photo(const Asked& asked) const;
  Reply photo(const Asked& asked) const;
  Reply practice(const Asked& asked) const;
  Reply keep_practice(const Asked& asked) const;
  Reply policy_page(const Asked& asked) const;
  Reply keep_policy(const Asked& asked) const;
  Reply line(const Asked& asked) const;
  Reply events_of_line(const Asked& asked) const;
  Reply note_text(const Asked& asked) const;
  Reply note_pdf(const Asked& asked) const;
  Reply label_text(const Asked& asked) const;
  Reply label_pdf(const Asked& asked) const;
  Reply learn(const Asked& asked) const;
  Reply indicators(const Asked& asked) const;
  Reply sheet(const Asked& asked) const;
  Reply sheet_pdf(const Asked& asked) const;
  Reply session_now(const Asked& asked) const;
  Reply sign_in(const Asked& asked) const;
  Reply open_again(const Asked& asked) const;
  Reply stay(const Asked& asked) const;
  Reply lock(const Asked& asked) const;
  Reply open_ward(const Asked& asked) const;
  Reply begin_sign_in(const Asked& asked) const;
  Reply sign_in_by_passkey(const Asked& asked) const;
  Reply passkeys(const Asked& asked) const;
  Reply begin_passkey(const Asked& asked) const;
  Reply keep_passkey(const Asked& asked) const;
  Reply forget_passkey(const Asked& asked) const;
  Reply sign_out(const Asked& asked) const;
  Reply sign_out_everywhere(const Asked& asked) const;
  Reply invited(const Asked& asked) const;
  Reply accept(const Asked& asked) const;
  Reply people(const Asked& asked) const;
  Reply keep_person(const Asked& asked) const;
  Reply invite(const Asked& asked) const;
  [[nodiscard]] Reply is_in(const Asked& asked, const std::string& act,
                            const Checked<accounts::SignedIn>& signed_in) const;
  Reply alive(const Asked& asked) const;
  Reply ready(const Asked& asked) const;
  Reply measures(const Asked& asked) const;
  Reply openapi(const Asked& asked) const;
  Reply browse(const Asked& asked) const;
  Reply page(const Request& request, std::string_view path) const;

  /// The sheet that is asked for, and how old it is; or the refusal.
  struct ComposedSheet;
  [[nodiscard]] tl::expected<ComposedSheet, Reply> composed_sheet(const Asked& asked) const;
  Reply paper(const Standing& standing, const char* content_type, std::string body) const;
  /// Who reads a paper: in the language that is asked for, by the ward's clock.
  [[nodiscard]] Checked<said::Reader> reader_of(const Asked& asked) const;
  /// A paper of the line that is asked for, written from its state.
  template <class Write>
  Reply paper_of_line(const Asked& asked, const char* content_type, const Write& write) const;
  void add_standing(Stood& answer, const Standing& standing) const;
  Standing rows_of_the_ward(statistics::LearnInput& input) const;

  const Options& options_;
  Watch& watch_;
  Charting& charting_;
  Gate& gate_;
  Measures& measures_;
  mutable Prepared wards_;
  std::string page_revision_;  ///< changes when any file of the page changes
};

}  // namespace dwell::server
