// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <boost/program_options.hpp>
#include <fstream>
#include <iostream>
#include <string>
#include <vector>

#include "calibrate/ablation.h"
#include "calibrate/fit.h"
#include "calibrate/report.h"
#include "calibrate/results.h"
#include "ohmglow/base/error.h"
#include "program.h"

namespace {

namespace po = boost::program_options;
using ohmglow::calibrate::Calibration;
using ohmglow::calibrate::Capture;

using ohmglow::tools::kDone;
using ohmglow::tools::kOptions;

constexpr const char* kUsage =
    "calibrate --results DIR --truth DIR [--out FILE]\n"
    "calibrate --results DIR --truth DIR --ablate-results DIR --ablate-truth DIR\n\n"
    "Fits what each piece of evidence weighs to results of 'ohmglow locate' whose truth\n"
    "is known (RESULTS/<case>/result.json, TRUTH/<case>.truth.json), and says how well\n"
    "the confidences agree with the truth. With --out, writes the table of weights;\n"
    "without, it only judges the confidences that the results state. With a second pair\n"
    "of folders, fits without each piece of evidence in turn and judges it on those.\n"
    "Exit codes: 0 done, 1 internal, 2 options, 3 input, 4 data, 5 output.\n\n";

void Print(const char* what, const Calibration& all, const Calibration& first) {
  std::cout << what << ": Brier " << all.brier << ", calibration error " << all.error << " (n "
            << all.num_places << "); first places: Brier " << first.brier << ", calibration error "
            << first.error << " (n " << first.num_places << ")\n";
}

std::vector<std::vector<double>> Stated(const std::vector<Capture>& captures) {
  std::vector<std::vector<double>> out;
  for (const Capture& capture : captures) {
    std::vector<double>& stated = out.emplace_back();
    for (const auto& place : capture.places) stated.push_back(place.confidence);
  }
  return out;
}

void FitAndWrite(const std::vector<Capture>& captures,
                 const std::string& path,
                 const std::string& origin) {
  const auto fit = ohmglow::calibrate::FitWeights(captures);
  const std::string table = ohmglow::calibrate::WeightTable(fit, captures, origin);
  std::ofstream file(path);
  file << table;
  file.close();
  if (!file) throw ohmglow::OutputError(path + ": cannot be written");
  std::vector<std::vector<double>> fitted;
  for (const Capture& capture : captures) {
    fitted.push_back(ohmglow::calibrate::Confidences(capture, fit.weights));
  }
  std::cout << table;
  Print("fitted", Judge(captures, fitted, false), Judge(captures, fitted, true));
}

int Run(int argc, char** argv) {
  po::options_description named("Options");
  named.add_options()("help,h", "print this text")(
      "results", po::value<std::string>(), "folder of result folders")(
      "truth", po::value<std::string>(), "folder of truth files")(
      "out", po::value<std::string>(), "table of weights to write")(
      "ablate-results", po::value<std::string>(), "results to judge each piece of evidence on")(
      "ablate-truth", po::value<std::string>(), "their truth")(
      "origin",
      po::value<std::string>()->default_value(""),
      "sentence for that table: which captures");
  po::variables_map values;
  po::store(po::command_line_parser(argc, argv).options(named).run(), values);
  if (values.count("help") > 0) {
    std::cout << kUsage << named;
    return kDone;
  }
  for (const char* needed : {"results", "truth"}) {
    if (values.count(needed) == 0) {
      std::cerr << "calibrate: --" << needed << " is missing; see --help\n";
      return kOptions;
    }
  }
  const std::vector<Capture> captures =
      ohmglow::calibrate::ReadCaptures(values["results"].as<std::string>(),
                                       values["truth"].as<std::string>(),
                                       ohmglow::calibrate::EvidenceNames());
  Print(
      "stated", Judge(captures, Stated(captures), false), Judge(captures, Stated(captures), true));
  if (values.count("ablate-results") != values.count("ablate-truth")) {
    std::cerr << "calibrate: --ablate-results and --ablate-truth go together; see --help\n";
    return kOptions;
  }
  if (values.count("ablate-results") > 0) {
    std::cout << ohmglow::calibrate::AblationTable(
        captures,
        ohmglow::calibrate::ReadCaptures(values["ablate-results"].as<std::string>(),
                                         values["ablate-truth"].as<std::string>(),
                                         ohmglow::calibrate::EvidenceNames()));
  }
  if (values.count("out") > 0) {
    FitAndWrite(captures, values["out"].as<std::string>(), values["origin"].as<std::string>());
  }
  return kDone;
}

}  // namespace

int main(int argc, char** argv) {
  return ohmglow::tools::RunProgram("calibrate", [&] { return Run(argc, argv); });
}
