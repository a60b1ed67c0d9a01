#pragma once
// What the server answers, without any socket: a request in, a reply out, on any thread. The live stream alone is
// handled by the session.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "document/handover.h"
#include "json/codec.h"
#include "server/charting.h"
#include "server/message.h"
#include "server/server.h"
#include "server/watch.h"

namespace dwell::server {

/// Which threads answer: so that none of these waits for another.
enum class Way {
  at_once,    ///< on the thread of the sockets: what lies ready
  charting,   ///< what waits for the disk
  looking,    ///< short looks at the ward
  computing,  ///< what may take long: the engine, Learn, sheets and papers
};

class Routes {
 public:
  Routes(const Options& options, Watch& watch, Charting& charting);

  [[nodiscard]] static Way way(const Request& request);
  /// Of its body, in bytes.
  [[nodiscard]] static std::uint64_t most_body(std::string_view target);
  [[nodiscard]] Reply answer(const Request& request) const;
  /// The pattern of a target, for the log: no ids, no names.
  [[nodiscard]] static std::string pattern(std::string_view target);
  /// Headers that every reply carries.
  [[nodiscard]] static const std::map<std::string, std::string>& common_headers();
  [[nodiscard]] static bool is_live(const Request& request);
  /// Nothing, or the refusal of a request from elsewhere (rebinding, other origins).
  [[nodiscard]] static std::optional<Reply> guard(const Request& request);

 private:
  /// A request with its target taken apart.
  struct Asked {
    const Request& request;
    std::string_view path, query;
    std::string_view rest;  ///< of the path, behind the route's own
  };
  using Answer = Reply (Routes::*)(const Asked&) const;
  struct Route {
    std::string_view path;  ///< one that ends in "/" has more behind it
    Answer get, post;       ///< null: not allowed
    Way way;
    std::uint64_t most_body;
  };
  [[nodiscard]] static std::span<const Route> routes();
  [[nodiscard]] static const Route* route_of(std::string_view path);

  Reply about(const Asked& asked) const;
  Reply library(const Asked& asked) const;
  Reply page_list(const Asked& asked) const;
  Reply engine_list(const Asked& asked) const;
  Reply engine_call(const Asked& asked) const;
  Reply ward(const Asked& asked) const;
  Reply due(const Asked& asked) const;
  Reply handover(const Asked& asked) const;
  Reply events(const Asked& asked) const;
  Reply keep_photo(const Asked& asked) const;
  Reply photo(const Asked& asked) const;
  Reply practice(const Asked& asked) const;
  Reply keep_practice(const Asked& asked) const;
  Reply policy_page(const Asked& asked) const;
  Reply keep_policy(const Asked& asked) const;
  Reply line(const Asked& asked) const;
  Reply learn(const Asked& asked) const;
  Reply page(const Request& request, std::string_view path) const;

  Reply sheet(const std::string& unit, const document::HandoverPeriod& period, bool on_paper) const;
  Reply paper(const Standing& standing, const char* content_type, std::string body) const;
  Reply whole_line(const std::string& id) const;
  Reply events_of_line(const std::string& id, std::string_view query) const;
  Reply document_of_line(const std::string& id, std::string_view document) const;
  void add_standing(json::Object& answer, const Standing& standing) const;

  const Options& options_;
  Watch& watch_;
  Charting& charting_;
  std::string page_revision_;  ///< changes when any file of the page changes
};

}  // namespace dwell::server
