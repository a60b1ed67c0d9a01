#pragma once
// For the tests of this folder: events to keep, and work done in another process.
#include <sys/wait.h>
#include <unistd.h>

#include <functional>
#include <string>
#include <vector>

#include "demo/story.h"
#include "ledger/ledger.h"

namespace dwell::ledger {

inline Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

/// Makes notes of one invented line, each with an id of its own.
class Notes {
 protected:
  std::vector<line::Event> notes(int count) {
    std::vector<line::Event> events;
    demo::Story story(ids_, events, moment());
    for (int i = 0; i < count; ++i) story.at(moment(), line::Noted{"note " + std::to_string(i)}, "M. Koller");
    for (auto& e : events) e.recorded_at = moment();
    return events;
  }

  demo::IdSource ids_{7};
};

/// What the work answers in a process of its own.
inline int in_child(const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) _exit(work());
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

inline Verification verified(Ledger& ledger) {
  return ledger.verify([](VerifyProgress) {});
}

}  // namespace dwell::ledger
