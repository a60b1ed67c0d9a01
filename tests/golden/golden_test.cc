// What was ever accepted can be read for ever: every frozen text of this folder is read as the record reads it, and
// every kind, member and word that can be kept today stands in one of them.
#include "golden.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "ledger/chain.h"
#include "ledger/heads.h"
#include "ledger/policy_change.h"
#include "ledger/readable.h"
#include "line/line_fold.h"
#include "line/state.h"
#include "procedure/practice.h"
#include "upcast/upcast.h"

namespace dwell::golden {
namespace {

using json::Value;

/// The newest file takes what is new.
std::string how_to_add(const std::vector<std::string>& missing, const char* what) {
  std::string text = "no frozen text holds\n";
  for (const auto& path : missing) text += "  " + path + "\n";
  return text + "add: golden_entries " + what + " >> tests/golden/" + what + "_N.jsonl, N the highest there is";
}

ledger::StoredEntry as_kept(const FrozenLine& line, std::string kind) {
  ledger::StoredEntry stored;
  stored.sequence = 1;
  stored.id = std::string(line.value.at("id").as_string());
  if (kind == ledger::event_entry) stored.line = std::string(line.value.at("line").as_string());
  stored.kind = std::move(kind);
  stored.json = line.text;
  return stored;
}
ledger::StoredEntry paper_as_kept(const FrozenLine& line) {
  return as_kept(line, std::string(line.value.at("kind").as_string()));
}

/// Words that were kept as prose are read as a message that says nothing else.
bool says_the_words(const Value& again, const Value& words) {
  const auto message = json::decode<Message>(again), as_kept = json::decode<Message>(words);
  return message && as_kept && *message == *as_kept;
}

/// Whether `again` says all that `kept` says; how a quantity is shown is no part of that.
bool says_all(const Value& again, const Value& kept) {
  if (const auto* list = kept.if_array())
    return again.is_array() && std::equal(list->begin(), list->end(), again.as_array().begin(), again.as_array().end(),
                                          [](const Value& one, const Value& other) { return says_all(other, one); });
  const auto* object = kept.if_object();
  if (!object) return again == kept || (kept.is_string() && again.is_object() && says_the_words(again, kept));
  return again.is_object() && std::all_of(object->begin(), object->end(), [&](const auto& member) {
           const auto* same = again.as_object().if_contains(member.key());
           const bool shown = member.key() == "text" && object->contains("unit");
           return shown || (same && says_all(*same, member.value()));
         });
}

/// By file, the events that could be read.
std::map<std::string, std::vector<line::Event>> read_events() {
  std::map<std::string, std::vector<line::Event>> out;
  for (const auto& line : frozen("events_"))
    if (auto entry = ledger::read_entry(as_kept(line, ledger::event_entry)); entry.event)
      out[line.place.substr(0, line.place.find(','))].push_back(std::move(*entry.event));
  return out;
}

policy::Policy some_policy() {
  for (const auto& line : frozen("papers_1"))
    if (const auto paper = ledger::read_paper(paper_as_kept(line)); paper && paper->kind == ledger::policy_paper)
      return ledger::read_policy_change(paper->json).value().policy;
  throw std::logic_error("no frozen policy can be read");
}

TEST(Golden, EveryEventIsReadAndSaysWhatItSaid) {
  const auto lines = frozen("events_");
  ASSERT_GT(lines.size(), 300u);
  for (const auto& line : lines) {
    const auto entry = ledger::read_entry(as_kept(line, ledger::event_entry));
    ASSERT_TRUE(entry.event) << line.place << ": " << entry.unreadable << "\n"
                             << "a change of a type needs an upcaster: core/upcast/upcast.cc";
    auto event = *entry.event;
    event.receipt.reset();
    Value room;
    const auto again = json::encode(event);
    EXPECT_TRUE(says_all(again, upcast::in_todays_form(upcast::Kept::event, line.value, room)))
        << line.place << "\n"
        << line.text << "\nis read as\n"
        << json::to_text(again);
    EXPECT_TRUE(ledger::says_the_same(line.text, json::to_text(again))) << line.place << ": a resend of it is harmless";
    event.author = "somebody else";
    EXPECT_FALSE(ledger::says_the_same(line.text, json::to_text(json::encode(event)))) << line.place;
  }
}

TEST(Golden, EveryFormOfTheRecordIsFolded) {
  const auto policy = some_policy();
  for (const auto& [file, events] : read_events()) {
    const auto state = line::fold(events, policy);
    EXPECT_EQ(state.id, events.front().line) << file;
    EXPECT_TRUE(state.set_aside.empty()) << file;
    EXPECT_NE(state.patient.family, "") << file;
    line::LineFold step_by_step(policy);
    step_by_step.take(events);
    EXPECT_EQ(json::to_text(json::encode(step_by_step.state())), json::to_text(json::encode(state))) << file;
  }
}

TEST(Golden, EveryKindMemberAndWordOfAnEventIsFrozen) {
  const auto missing = missing_of_events(frozen("events_"));
  EXPECT_TRUE(missing.empty()) << how_to_add(missing, "events");
}

TEST(Golden, EveryPaperIsReadAndSaysWhatItSaid) {
  const auto lines = frozen("papers_");
  ASSERT_FALSE(lines.empty());
  for (const auto& line : lines) {
    const auto paper = ledger::read_paper(paper_as_kept(line));
    ASSERT_TRUE(paper) << line.place << ": " << ledger::reason_of(paper.error());
    const auto content = json::parse_text(paper->json).value();
    if (paper->kind == ledger::practice_paper) {
      const auto practised = json::decode<procedure::Practised>(content);
      ASSERT_TRUE(practised) << line.place << ": " << ledger::reason_of(practised.error());
      EXPECT_TRUE(says_all(json::encode(*practised), content)) << line.place;
      EXPECT_TRUE(says_all(content, line.value.at("content"))) << line.place;
    } else {
      const auto change = ledger::read_policy_change(paper->json);
      ASSERT_TRUE(change) << line.place << ": " << ledger::reason_of(change.error());
      auto text = line.value;
      text.at("content") = json::encode(*change);
      EXPECT_TRUE(ledger::says_the_same(line.text, json::to_text(text)))
          << line.place << ": a resend of it is harmless";
    }
  }
}

/// They lay beside the chain until ledger schema 4; a text within it is made of each.
TEST(Golden, PapersFromBesideTheChainAreReadWithinIt) {
  for (const auto& line : frozen("papers_1")) {
    const auto text = [&](const char* name) { return std::string(line.value.at(name).as_string()); };
    const ledger::PaperBeside beside{text("id"), text("kind"), text("who"), text("at"),
                                     json::to_text(line.value.at("content"))};
    EXPECT_EQ(ledger::kept_text(beside), line.text) << line.place;
  }
}

TEST(Golden, EveryMemberAndWordOfAPaperIsFrozen) {
  const auto missing = missing_of_papers(frozen("papers_"));
  EXPECT_TRUE(missing.empty()) << how_to_add(missing, "papers");
}

TEST(Golden, EveryHeadIsReadAndItsSignatureFits) {
  const auto kept = ledger::read_heads(folder() + "/heads.jsonl");
  ASSERT_TRUE(kept);
  EXPECT_EQ(kept->heads.size(), frozen("heads").size());
  EXPECT_TRUE(kept->changed.empty());
  EXPECT_EQ(kept->torn, 0);
}

/// Each upcaster is tried by a frozen text, and leaves alone what is written today.
TEST(Golden, EveryUpcasterHasATextThatNeedsItAndFitsNoneOfToday) {
  std::vector<std::pair<upcast::Kept, FrozenLine>> kept;
  for (auto& line : frozen("events_")) kept.emplace_back(upcast::Kept::event, std::move(line));
  for (auto& line : frozen("papers_"))
    kept.emplace_back(line.value.at("kind").as_string() == std::string_view(ledger::policy_paper)
                          ? upcast::Kept::policy_change
                          : upcast::Kept::practice,
                      FrozenLine{line.place, line.text, line.value.at("content")});
  std::set<std::string_view> names;
  for (const auto& upcaster : upcast::upcasters()) {
    EXPECT_TRUE(names.insert(upcaster.name).second) << upcaster.name << " stands there twice";
    int needed = 0;
    for (auto& [of, line] : kept) {
      if (of != upcaster.of || !upcaster.fits(line.value.as_object())) continue;
      ++needed;
      upcaster.apply(line.value.as_object());
      EXPECT_FALSE(upcaster.fits(line.value.as_object())) << upcaster.name << " on " << line.place;
    }
    EXPECT_GT(needed, 0) << upcaster.name;
  }
  const auto as_today = [](const auto& value, upcast::Kept of) {
    const auto written = json::encode(value);
    Value room;
    return &upcast::in_todays_form(of, written, room) == &written;
  };
  for (const auto& [file, events] : read_events())
    for (const auto& event : events) EXPECT_TRUE(as_today(event, upcast::Kept::event)) << file;
  for (const auto& line : frozen("papers_")) {
    const auto paper = ledger::read_paper(paper_as_kept(line)).value();
    if (paper.kind == ledger::policy_paper)
      EXPECT_TRUE(as_today(ledger::read_policy_change(paper.json).value(), upcast::Kept::policy_change)) << line.place;
    else
      EXPECT_TRUE(as_today(json::decode<procedure::Practised>(json::parse_text(paper.json).value()).value(),
                           upcast::Kept::practice))
          << line.place;
  }
}

/// The way back: what a newer Dwell kept is named and stays out of the line, and is not read by half.
TEST(Golden, WhatANewerProgramKeptIsSetAsideByThisOne) {
  auto line = frozen("events_").front();
  line.value.at("body").as_object()["of_tomorrow"] = 1;
  line.text = json::to_text(line.value);
  const auto member = ledger::read_entry(as_kept(line, ledger::event_entry));
  EXPECT_FALSE(member.event);
  EXPECT_NE(member.unreadable.find("/body/of_tomorrow"), std::string::npos) << member.unreadable;

  line = frozen("events_").front();
  line.value.at("body").as_object()["kind"] = "of_tomorrow";
  line.text = json::to_text(line.value);
  EXPECT_FALSE(ledger::read_entry(as_kept(line, ledger::event_entry)).event);

  auto paper = frozen("papers_").front();
  paper.value.at("content").at("policy").as_object()["of_tomorrow"] = 1;
  paper.text = json::to_text(paper.value);
  EXPECT_FALSE(ledger::read_paper(paper_as_kept(paper)));

  auto event = read_events().begin()->second.front();
  event.schema = line::schema_version + 1;
  const auto faults = line::check(event, event.recorded_at);
  EXPECT_TRUE(std::any_of(faults.begin(), faults.end(), [](const auto& fault) { return fault.path == "/schema"; }));
}

}  // namespace
}  // namespace dwell::golden
