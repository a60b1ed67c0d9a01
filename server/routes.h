#pragma once
// What the server answers, without any socket: a request in, a reply out. The live stream alone is handled by the
// session.
#include <map>
#include <string>
#include <string_view>

#include "json/codec.h"
#include "server/server.h"
#include "server/ward.h"

namespace dwell::server {

struct Request {
  std::string method;
  std::string target;                          ///< as sent: "/api/lines/…?x=y"
  std::map<std::string, std::string> headers;  ///< names in lower case
  std::string body;
};

struct Reply {
  unsigned status = 200;
  std::string content_type = "application/json; charset=utf-8";
  std::string body;
  std::string_view fixed_body;                 ///< a page file; used when body is empty
  std::map<std::string, std::string> headers;  ///< beside those that every reply carries
  std::vector<std::string> changed_lines;      ///< to be told to the live listeners
  bool policy_changed = false;                 ///< to be told to them too
};

class Routes {
 public:
  /// `options` is the server's own: its library takes the policy that is put into force.
  Routes(Options& options, Ward& ward);

  /// Looks whether another policy was put into force; the ward is then read anew. Whether it was.
  bool take_policy();

  /// All but POST /api/events and pictures, which wait for the disk.
  [[nodiscard]] Reply answer(const Request& request);

  /// What goes to the record. Read and written on any thread, because a commit waits for the disk and those that wait
  /// together are committed together; the answer is made where the ward lives.
  struct Written {
    Reply refusal;  ///< when nothing was written
    bool refused = false;
    std::vector<std::string> written, already_there;
    json::Array refusals;  ///< of single entries; the rest of the batch stands
  };
  [[nodiscard]] static bool writes(const Request& request);
  [[nodiscard]] Written write(const Request& request) const;
  [[nodiscard]] Reply answer_written(Written written);
  /// The pattern of a target, for the log: no ids, no names.
  [[nodiscard]] static std::string pattern(std::string_view target);
  /// Headers that every reply carries.
  [[nodiscard]] static const std::map<std::string, std::string>& common_headers();
  [[nodiscard]] static bool is_live(const Request& request);
  /// Nothing, or the refusal of a request from elsewhere (rebinding, other origins).
  [[nodiscard]] static std::optional<Reply> guard(const Request& request);

 private:
  Reply about() const;
  Reply page_list() const;
  Reply engine_list() const;
  Reply engine_call(std::string_view name, const std::string& body) const;
  Reply ward(std::string_view query);
  Reply due(std::string_view query);
  Reply handover(std::string_view path, std::string_view query);
  /// An event and its place in what was sent.
  struct Asked {
    std::size_t place = 0;
    line::Event event;
  };
  [[nodiscard]] Checked<ledger::Appended> append(const std::vector<Asked>& asked, Instant now) const;
  [[nodiscard]] Written write_events(const Request& request) const;
  [[nodiscard]] Written write_photo(const Request& request) const;
  Reply photo(std::string_view hash) const;
  Reply practice(std::string_view query) const;
  Reply keep_practice(const std::string& body) const;
  Reply policy_page() const;
  Reply keep_policy(const std::string& body);
  Reply line(std::string_view rest);
  Reply learn(std::string_view query);
  Reply page(const Request& request, std::string_view path) const;

  Options& options_;
  Ward& ward_;
  std::string policy_paper_;  ///< id of the one in force; empty: the library's own
  std::string library_json_;
  std::string page_revision_;  ///< changes when any file of the page changes
};

}  // namespace dwell::server
