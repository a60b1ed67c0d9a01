// What is written and carried: the note, the label, the sheet for the next shift.
#include "document/handover.h"
#include "document/note.h"
#include "engine/define.h"
#include "engine/kept_state.h"

namespace dwell::engine {
namespace {

struct HandoverInput {
  std::vector<KeptState> states;
  document::HandoverPeriod period;
};
BOOST_DESCRIBE_STRUCT(HandoverInput, (), (states, period))

struct DocumentInput {
  line::State state;
  document::LocalTime local;
  Instant now{};
};
BOOST_DESCRIBE_STRUCT(DocumentInput, (), (state, local, now))

}  // namespace

std::vector<Function> document_functions() {
  std::vector<Function> all;
  all.push_back(define("document.handover",
                       "The sheet that one shift gives the next: each line, what changed, what falls due.",
                       [](const HandoverInput& in, const Library& library) {
                         std::vector<line::State> states;
                         for (const auto& kept : in.states) states.push_back(kept.state);
                         return document::compose_handover(states, library.policy, library.infusates, in.period);
                       }));
  all.push_back(define("document.note", "The note of a line from what was charted; what was not charted reads so.",
                       [](const DocumentInput& in, const Library&) -> Checked<document::Note> {
                         return document::compose_note(in.state, in.local, in.now);
                       }));
  all.push_back(define("document.label",
                       "The dressing label: date, time, catheter, site, initials, next change, emergency mark, code.",
                       [](const DocumentInput& in, const Library& library) {
                         return document::compose_label(in.state, library.policy, in.local);
                       }));
  return all;
}

}  // namespace dwell::engine
