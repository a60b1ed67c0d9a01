#include "message/message.h"

namespace dwell {
namespace message {

bool operator==(const Messages& a, const Messages& b) { return a.join == b.join && a.all == b.all; }
bool operator==(const Argument& a, const Argument& b) { return a.name == b.name && a.value == b.value; }

}  // namespace message

Message Message::of(std::string id, std::vector<message::Argument> arguments) {
  Message out(std::move(id));
  out.arguments_ = std::move(arguments);
  out.has_id_ = true;
  return out;
}

bool operator==(const Message& a, const Message& b) {
  return a.has_id_ == b.has_id_ && a.words_ == b.words_ && a.arguments_ == b.arguments_;
}

}  // namespace dwell
