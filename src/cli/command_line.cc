// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/command_line.h"

#include <algorithm>
#include <boost/program_options.hpp>

#include "cli/help.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

namespace po = boost::program_options;

[[noreturn]] void ThrowUnknown(const std::string& kind,
                               const std::string& name,
                               const std::vector<std::string>& known) {
  throw OptionError("unknown " + kind + " '" + name + "'; did you mean '" + Closest(name, known) +
                    "'? (see --help)");
}

po::options_description LocateDescription() {
  po::options_description description;
  auto add = description.add_options();
  add("help", "")("out", po::value<std::string>(), "")("json", po::value<std::string>(), "");
  for (const NumberOption& option : NumberOptions()) {
    add(std::string(option.name).c_str(), po::value<std::string>(), "");
  }
  return description;
}

std::vector<std::string> KnownNames(const po::options_description& description) {
  std::vector<std::string> names;
  for (const auto& option : description.options()) names.push_back("--" + option->long_name());
  return names;
}

// Boost's own texts name neither the closest option nor the way out.
po::variables_map Tokenize(const po::options_description& description,
                           const std::vector<std::string>& arguments,
                           std::vector<std::string>& places) {
  // Long options only: no abbreviations, and "-3" is a value, not an option.
  constexpr int kStyle = po::command_line_style::allow_long |
                         po::command_line_style::long_allow_next |
                         po::command_line_style::long_allow_adjacent;
  po::variables_map values;
  try {
    const auto parsed = po::command_line_parser(arguments).options(description).style(kStyle).run();
    for (const auto& option : parsed.options) {
      if (option.string_key.empty()) {
        places.insert(places.end(), option.value.begin(), option.value.end());
      }
    }
    po::store(parsed, values);
  } catch (const po::unknown_option& error) {
    ThrowUnknown("option", error.get_option_name(), KnownNames(description));
  } catch (const po::multiple_occurrences& error) {
    throw OptionError(error.get_option_name() + " is given more than once; give it once");
  } catch (const po::error_with_option_name& error) {
    throw OptionError(error.get_option_name() + " needs a value (see --help)");
  } catch (const po::error& error) {
    throw OptionError(std::string(error.what()) + " (see --help)");
  }
  return values;
}

std::string TextOf(const po::variables_map& values, const std::string& name) {
  if (values.count(name) == 0) return {};
  auto text = values[name].as<std::string>();
  if (text.empty()) throw OptionError("--" + name + " needs a value (see --help)");
  return text;
}

std::string OnlyPlace(const std::vector<std::string>& places,
                      const po::options_description& description) {
  for (const auto& place : places) {
    if (place.starts_with('-')) ThrowUnknown("option", place, KnownNames(description));
  }
  if (places.empty())
    throw OptionError("locate needs a case file: ohmglow locate CASE.ini --out DIR");
  if (places.size() > 1) {
    throw OptionError("locate takes one case file; '" + places[1] + "' is too much");
  }
  return places.front();
}

Request ParseLocate(const std::vector<std::string>& arguments) {
  const auto description = LocateDescription();
  std::vector<std::string> places;
  const auto values = Tokenize(description, arguments, places);
  if (values.count("help") != 0) return TextRequest{LocateHelp()};

  LocateRequest request;
  request.case_file = OnlyPlace(places, description);
  request.out = TextOf(values, "out");
  if (const auto json = TextOf(values, "json"); !json.empty()) {
    if (json != "-") {
      throw OptionError("--json: '" + json +
                        "' is not '-' (standard output); for a file use --out");
    }
    request.json_to_output = true;
  }
  if (request.out.empty() && !request.json_to_output) {
    throw OptionError("--out DIR is missing: the folder for the result");
  }
  for (const NumberOption& option : NumberOptions()) {
    const std::string name(option.name);
    if (values.count(name) != 0) SetNumber(option, TextOf(values, name), request.settings);
  }
  return request;
}

}  // namespace

Request ParseCommandLine(const std::vector<std::string>& arguments) {
  if (arguments.empty()) throw OptionError("no command; 'ohmglow --help' lists them");
  const std::string& first = arguments.front();
  if (first == "locate") return ParseLocate({arguments.begin() + 1, arguments.end()});
  if (first == "--help") return TextRequest{ProgramHelp()};
  if (first == "--version") return TextRequest{VersionText()};
  if (first.starts_with('-')) ThrowUnknown("option", first, {"--help", "--version"});
  ThrowUnknown("command", first, {"locate"});
}

}  // namespace ohmglow::cli
