// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/arguments.h"

#include <boost/program_options.hpp>
#include <charconv>

#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace po = boost::program_options;

po::options_description Describe(const Syntax& syntax) {
  po::options_description description;
  auto add = description.add_options();
  add("help", "");
  for (const TextOption& option : syntax.options) {
    const std::string name(option.name);
    if (option.value.empty()) {
      add(name.c_str(), "");
    } else {
      add(name.c_str(), po::value<std::string>(), "");
    }
  }
  if (syntax.numbers) {
    for (const NumberOption& option : NumberOptions()) {
      add(std::string(option.name).c_str(), po::value<std::string>(), "");
    }
  }
  return description;
}

[[noreturn]] void ThrowUnknown(const std::string& name,
                               const po::options_description& description) {
  std::vector<std::string> known;
  for (const auto& option : description.options()) known.push_back("--" + option->long_name());
  throw OptionError("unknown option '" + name + "'; did you mean '" + Closest(name, known) +
                    "'? (see --help)");
}

// Boost's own texts name neither the closest option nor the way out.
po::parsed_options Tokenize(const po::options_description& description,
                            const std::vector<std::string>& arguments,
                            po::variables_map& values) {
  // Long options only: no abbreviations, and "-3" is a value, not an option.
  constexpr int kStyle = po::command_line_style::allow_long |
                         po::command_line_style::long_allow_next |
                         po::command_line_style::long_allow_adjacent;
  try {
    auto parsed = po::command_line_parser(arguments).options(description).style(kStyle).run();
    po::store(parsed, values);
    return parsed;
  } catch (const po::unknown_option& error) {
    ThrowUnknown(error.get_option_name(), description);
  } catch (const po::multiple_occurrences& error) {
    throw OptionError(error.get_option_name() + " is given more than once; give it once");
  } catch (const po::error_with_option_name& error) {
    throw OptionError(error.get_option_name() + " needs a value (see --help)");
  } catch (const po::error& error) {
    throw OptionError(std::string(error.what()) + " (see --help)");
  }
}

}  // namespace

Arguments::Arguments(const Syntax& syntax, const std::vector<std::string>& arguments)
    : syntax_(&syntax) {
  const auto description = Describe(syntax);
  po::variables_map values;
  for (const auto& option : Tokenize(description, arguments, values).options) {
    if (!option.string_key.empty()) continue;
    places_.insert(places_.end(), option.value.begin(), option.value.end());
  }
  for (const auto& [name, value] : values) {
    values_[name] = value.as<std::string>();
    // Of a switch, too, Boost keeps a text: an empty one.
    const bool takes_text = description.find(name, false).semantic()->max_tokens() > 0;
    if (takes_text && values_[name].empty()) {
      throw OptionError("--" + name + " needs a value (see --help)");
    }
  }
  for (const auto& place : places_) {
    // A lone "-" is standard input, where a command takes it.
    if (place.size() > 1 && place.starts_with('-')) ThrowUnknown(place, description);
  }
}

std::string Arguments::Text(const std::string& name) const {
  const auto found = values_.find(name);
  return found == values_.end() ? std::string() : found->second;
}

std::string Arguments::Needed(const std::string& name, const std::string& what_for) const {
  if (has(name)) return Text(name);
  std::string value;
  for (const TextOption& option : syntax_->options) {
    if (option.name == name) value = option.value;
  }
  throw OptionError("give --" + name + " " + value + ": " + what_for);
}

int Arguments::Whole(const std::string& name, int low, int high, int fallback) const {
  if (!has(name)) return fallback;
  const std::string text = Text(name);
  int value = 0;
  const auto end = text.data() + text.size();
  const auto [rest, code] = std::from_chars(text.data(), end, value);
  if (code != std::errc() || rest != end || value < low || value > high) {
    throw OptionError("--" + name + ": '" + text + "' is no whole number from " +
                      std::to_string(low) + " to " + std::to_string(high) + "; give one");
  }
  return value;
}

const std::vector<std::string>& Arguments::Places(std::size_t count,
                                                  const std::string& what) const {
  const std::string name(syntax_->name);
  if (places_.size() < count) {
    throw OptionError(name + " needs " + what + " (see ohmglow " + name + " --help)");
  }
  if (places_.size() > count) {
    const auto amps = std::find_if(places_.begin(), places_.end(), [](const std::string& place) {
      return !place.empty() && place.find_first_not_of("0123456789.,@") == std::string::npos;
    });
    if (has("levels") && amps != places_.end()) {
      throw OptionError("--levels: put the currents in quotes: --levels \"" + Text("levels") + " " +
                        *amps + " ...\"");
    }
    throw OptionError(name + " takes " + what + "; '" + places_[count] + "' is too much");
  }
  return places_;
}

bool Arguments::WantsJson() const {
  const std::string json = Text("json");
  if (!json.empty() && json != "-") {
    const bool has_out = std::any_of(syntax_->options.begin(),
                                     syntax_->options.end(),
                                     [](const auto& option) { return option.name == "out"; });
    throw OptionError("--json: '" + json + "' is not '-' (standard output); for a file " +
                      (has_out ? "use --out" : "write --json - > " + json));
  }
  return !json.empty();
}

OutputChoice Arguments::Output() const {
  OutputChoice choice;
  choice.json_to_output = WantsJson();
  choice.out = choice.json_to_output ? Text("out") : Needed("out", "the folder for the result");
  return choice;
}

Settings Arguments::ReadSettings() const {
  Settings settings;
  for (const NumberOption& option : NumberOptions()) {
    const std::string name(option.name);
    if (has(name)) SetNumber(option, Text(name), settings);
  }
  return settings;
}

}  // namespace ohmglow::cli
