// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <boost/program_options.hpp>
#include <cstdint>
#include <iostream>
#include <string>

#include "bench_server.h"
#include "case_writer.h"
#include "description.h"
#include "ohmglow/base/error.h"
#include "program.h"

namespace {

namespace po = boost::program_options;

using ohmglow::tools::kDone;
using ohmglow::tools::kOptions;

constexpr const char* kUsage =
    "simulate DESCRIPTION.ini --seed N --out DIR\n"
    "simulate --bench DESCRIPTION.ini --seed N [--out DIR] [--port N] | ohmglow record ...\n\n"
    "Draws one case from a description: an invented board with a short, its heat in\n"
    "finite differences, a camera and a supply. Writes DIR/case (the case folder) and\n"
    "DIR/truth.json. The same description and seed give the same bytes.\n"
    "With --bench it plays that bench instead: frames on standard output, the supply on a\n"
    "TCP port, heat that follows what is commanded; DIR then gets board/ and truth.json.\n"
    "Exit codes: 0 done, 1 internal, 2 options, 3 input, 4 data, 5 output.\n\n";

constexpr const char* kKeys =
    "\nKeys of a description, with their defaults. A number may be a range, 2..5\n"
    "(uniform) or 0.01~0.1 (uniform in the logarithm), and 0.3? 1..2 is 0 in seven\n"
    "draws of ten; a word may be a choice, arm|hand. Power 0 means: not there.\n";

std::string FaultWords() {
  std::string words = "what goes wrong:";
  for (const auto& [name, fault] : ohmglow::simulate::BenchFaultNames()) {
    words.append(" ").append(name);
  }
  return words;
}

ohmglow::simulate::BenchOptions ReadBench(const po::variables_map& values) {
  ohmglow::simulate::BenchOptions options;
  options.port = values["port"].as<int>();
  options.speed = values["speed"].as<double>();
  options.fault_s = values["fault-s"].as<double>();
  if (values.count("out") > 0) options.out = values["out"].as<std::string>();
  if (values.count("events") > 0) options.events = values["events"].as<std::string>();
  if (values.count("fault") == 0) return options;
  const auto word = values["fault"].as<std::string>();
  for (const auto& [name, fault] : ohmglow::simulate::BenchFaultNames()) {
    if (word == name) options.fault = fault;
  }
  if (!options.fault) {
    throw ohmglow::OptionError("--fault: there is no '" + word + "'; " + FaultWords());
  }
  return options;
}

int Run(int argc, char** argv) {
  po::options_description named("Options");
  named.add_options()("help,h", "print this text")(
      "description", po::value<std::string>(), "description, an .ini file")(
      "seed", po::value<std::uint64_t>()->default_value(1), "seed of all chance")(
      "out", po::value<std::string>(), "folder to write to")("bench", "play camera and supply")(
      "port", po::value<int>()->default_value(0), "of the supply; 0: any, told on standard error")(
      "speed", po::value<double>()->default_value(1), "seconds of the bench in one of the clock")(
      "events", po::value<std::string>(), "file for when the output was switched")(
      "fault", po::value<std::string>(), FaultWords().c_str())(
      "fault-s", po::value<double>()->default_value(20), "when the fault begins");
  po::positional_options_description position;
  position.add("description", 1);
  po::variables_map values;
  po::store(po::command_line_parser(argc, argv).options(named).positional(position).run(), values);
  if (values.count("help") > 0) {
    std::cout << kUsage << named << kKeys << ohmglow::simulate::DescribeKeys();
    return kDone;
  }
  const bool bench = values.count("bench") > 0;
  for (const char* needed : {"description", "out"}) {
    if (values.count(needed) == 0 && !(bench && std::string(needed) == "out")) {
      std::cerr << "simulate: " << needed << " is missing; see --help\n";
      return kOptions;
    }
  }
  const auto description =
      ohmglow::simulate::ReadDescription(values["description"].as<std::string>());
  const auto scenario = ohmglow::simulate::Draw(description, values["seed"].as<std::uint64_t>());
  if (bench) {
    ohmglow::simulate::RunBench(scenario, ReadBench(values));
    return kDone;
  }
  ohmglow::simulate::WriteCase(scenario, values["out"].as<std::string>());
  return kDone;
}

}  // namespace

int main(int argc, char** argv) {
  return ohmglow::tools::RunProgram("simulate", [&] { return Run(argc, argv); });
}
