#include "exchange/library.h"

#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "device/line_of.h"
#include "exchange/said/said.h"
#include "exchange/toml/toml.h"

extern "C" {
extern const char dwell_text_policy[], dwell_text_policy_end[];
extern const char dwell_text_catheters[], dwell_text_catheters_end[];
extern const char dwell_text_infusates[], dwell_text_infusates_end[];
}

namespace dwell::exchange {
namespace {

/// What lies in the vein, and what stands between it and the syringe; a ward's older file has no add-ons.
struct CatheterFile {
  std::vector<device::Catheter> catheter;
  std::vector<device::AddOn> add_on{};
};
BOOST_DESCRIBE_STRUCT(CatheterFile, (), (catheter, add_on))

struct InfusateFile {
  infusate::Formulary infusates;
};
BOOST_DESCRIBE_STRUCT(InfusateFile, (), (infusates))

/// A text and the name by which messages speak of it.
struct Text {
  std::string file;
  std::string text;
};

void collect(FieldErrors& all, const FieldErrors& errors) { all.insert(all.end(), errors.begin(), errors.end()); }

Checked<engine::Library> read_library(const Text& policy, const Text& catheters, const Text& infusates) {
  engine::Library library;
  FieldErrors errors;
  if (auto document = toml_text::parse(policy.text, policy.file)) {
    if (auto read = json::decode<policy::Policy>(document->value)) {
      collect(errors, toml_text::located(policy::check(*read), *document));
      library.policy = std::move(*read);
    } else {
      collect(errors, toml_text::located(read.error(), *document));
    }
  } else {
    collect(errors, document.error());
  }
  if (auto read = toml_text::read<CatheterFile>(catheters.text, catheters.file)) {
    library.catheters = std::move(read->catheter);
    for (std::size_t i = 0; i < library.catheters.size(); ++i) {
      auto faults = device::check_catheter("/catheter/" + std::to_string(i), library.catheters[i]);
      for (auto& fault : faults) fault.path = catheters.file + ": " + fault.path;
      collect(errors, faults);
    }
    library.add_ons = std::move(read->add_on);
    for (std::size_t i = 0; i < library.add_ons.size(); ++i) {
      auto faults = device::check_add_on("/add_on/" + std::to_string(i), library.add_ons[i]);
      for (auto& fault : faults) fault.path = catheters.file + ": " + fault.path;
      collect(errors, faults);
    }
  } else {
    collect(errors, read.error());
  }
  if (auto read = toml_text::read<InfusateFile>(infusates.text, infusates.file))
    library.infusates = std::move(read->infusates);
  else
    collect(errors, read.error());
  if (!errors.empty()) return refuse(std::move(errors));
  return library;
}

Checked<Text> read_file(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in || std::filesystem::is_directory(path)) return refuse("", path, in_english_only("a file that can be read"));
  std::ostringstream text;
  text << in.rdbuf();
  return Text{path, std::move(text).str()};
}

}  // namespace

Checked<engine::Library> load_library(const std::string& folder) {
  FieldErrors errors;
  const auto open = [&](const char* name) {
    auto text = read_file(folder + "/" + name);
    if (!text) collect(errors, text.error());
    return text.value_or(Text{});
  };
  const Text policy = open("policy.toml"), catheters = open("catheters.toml"), infusates = open("infusates.toml");
  if (!errors.empty()) return refuse(std::move(errors));
  return read_library(policy, catheters, infusates);
}

const engine::Library& default_library() {
  static const engine::Library library = [] {
    auto read = read_library({"policy.toml", {dwell_text_policy, dwell_text_policy_end}},
                             {"catheters.toml", {dwell_text_catheters, dwell_text_catheters_end}},
                             {"infusates.toml", {dwell_text_infusates, dwell_text_infusates_end}});
    if (read) return std::move(*read);
    std::string message = "the built-in library is faulty:";
    for (const auto& e : read.error())
      message += "\n" + e.path + ": " + e.found + "; expected " + said::in_english(e.expected);
    throw std::logic_error(message);
  }();
  return library;
}

Checked<device::Case> load_case(const std::string& text, const std::string& file, Instant now, DecimalSign sign) {
  return toml_text::parse(text, file).and_then([&](toml_text::Document document) {
    if (!document.value.as_object().contains("now")) document.value.as_object()["now"] = iso(now);
    return json::decode<device::Case>(document.value, sign).map_error([&](FieldErrors e) {
      return toml_text::located(std::move(e), document);
    });
  });
}

}  // namespace dwell::exchange
