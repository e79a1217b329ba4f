// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <atomic>
#include <boost/program_options.hpp>
#include <cstdint>
#include <cstdio>
#include <ctime>
#include <iostream>
#include <opencv2/core.hpp>
#include <sstream>

#include "ohmglow/base/error.h"
#include "program.h"
#include "record/running_answer.h"
#include "simulate/description.h"
#include "trials/record/trial.h"

namespace {

namespace po = boost::program_options;

constexpr const char* kUsage =
    "record_trial DESCRIPTION.ini --from SEED --boards N --work DIR [--mode record|stairs]\n\n"
    "Plays N simulated boards without waiting and says how many faults came first. DIR is\n"
    "emptied board by board. --until P lets a recording end when it is sure.\n"
    "record_trial --look CASE.ini says what a running answer costs; the first reads all "
    "frames.\n\n";

struct Sum {
  int boards = 0, named = 0, verdict = 0, false_alarms = 0, enough = 0, tripped = 0;
  std::vector<double> seconds_s, off_mm, log_ratio;
};

double Quantile(std::vector<double> values, double q) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(q * static_cast<double>(values.size() - 1))];
}

void Add(std::uint64_t seed, const ohmglow::trial::Trial& trial, Sum& sum) {
  ++sum.boards;
  sum.named += trial.named ? 1 : 0;
  sum.verdict += trial.verdict ? 1 : 0;
  sum.false_alarms += trial.false_alarm ? 1 : 0;
  sum.enough += trial.enough ? 1 : 0;
  sum.tripped += trial.tripped.empty() ? 0 : 1;
  if (trial.enough) sum.seconds_s.push_back(trial.seconds_s);
  if (trial.off_mm) sum.off_mm.push_back(*trial.off_mm);
  if (trial.named) sum.log_ratio.push_back(std::abs(trial.log_power_ratio));
  std::cout << seed << ' ' << (trial.named ? "first" : "-") << ' '
            << (trial.verdict ? "verdict" : "-") << ' ' << (trial.false_alarm ? "FALSE" : "-")
            << ' ' << (trial.enough ? "enough" : "-") << ' ' << trial.seconds_s << ' '
            << trial.off_mm.value_or(-1) << ' ' << trial.log_power_ratio << ' ' << trial.tripped
            << std::endl;
}

void Print(const Sum& sum) {
  std::printf(
      "boards %d, first %d, with a verdict %d, another called a fault %d, enough %d, "
      "stopped by a guard %d\n",
      sum.boards,
      sum.named,
      sum.verdict,
      sum.false_alarms,
      sum.enough,
      sum.tripped);
  std::printf(
      "place off by %.2f mm in the median, %.2f mm in nine of ten; power, median of the "
      "log ratio %.2f; enough after %.0f s in the median\n",
      Quantile(sum.off_mm, 0.5),
      Quantile(sum.off_mm, 0.9),
      Quantile(sum.log_ratio, 0.5),
      Quantile(sum.seconds_s, 0.5));
}

// What an answer of a growing film costs, by the clock and of the processor.
void TimeLooks(const std::filesystem::path& case_file) {
  ohmglow::record::FilmSoFar film;
  const std::atomic<bool> never{false};
  for (int k = 0; k < 3; ++k) {
    const std::clock_t before = std::clock();
    const auto answer = ohmglow::record::LookAt(case_file, {}, film, never);
    std::printf("%d frames, %d means looked at: %.2f s, %.2f s of the processor %s\n",
                answer.frames,
                answer.looked_at,
                answer.took_s,
                static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC,
                answer.why_not.c_str());
  }
}

int Run(int argc, char** argv) {
  po::options_description named("Options");
  named.add_options()("help,h", "print this text")("description", po::value<std::string>(), "")(
      "from", po::value<std::uint64_t>()->default_value(1), "first seed")(
      "boards", po::value<int>()->default_value(20), "how many")(
      "work", po::value<std::string>(), "folder for the work")(
      "look", po::value<std::string>(), "case file of a film")(
      "mode", po::value<std::string>()->default_value("record"), "record or stairs")(
      "halves", po::value<std::string>()->default_value(""), "half periods, such as \"6 6 3 3\"")(
      "set", po::value<std::vector<std::string>>(), "KEY=VALUE in place of the description's")(
      "until", po::value<double>(), "end when that sure");
  po::positional_options_description position;
  position.add("description", 1);
  po::variables_map values;
  po::store(po::command_line_parser(argc, argv).options(named).positional(position).run(), values);
  if (values.count("help") > 0) {
    std::cout << kUsage << named;
    return ohmglow::tools::kDone;
  }
  po::notify(values);
  if (values.count("look") > 0) {
    TimeLooks(values["look"].as<std::string>());
    return ohmglow::tools::kDone;
  }
  if (values.count("description") + values.count("work") < 2) {
    throw ohmglow::OptionError("give a description and --work DIR");
  }
  cv::setNumThreads(1);
  auto description = ohmglow::simulate::ReadDescription(values["description"].as<std::string>());
  if (values.count("set") > 0) {
    for (const std::string& text : values["set"].as<std::vector<std::string>>()) {
      const auto equals = text.find('=');
      description[text.substr(0, equals)] = text.substr(equals + 1);
    }
  }
  ohmglow::trial::TrialOptions options;
  std::istringstream halves(values["halves"].as<std::string>());
  for (double half_s = 0; halves >> half_s;) options.halves_s.push_back(half_s);
  if (values.count("until") > 0) options.until = values["until"].as<double>();
  const std::filesystem::path work = values["work"].as<std::string>();
  Sum sum;
  const auto from = values["from"].as<std::uint64_t>();
  for (std::uint64_t seed = from;
       seed < from + static_cast<std::uint64_t>(values["boards"].as<int>());
       ++seed) {
    std::filesystem::remove_all(work);
    std::filesystem::create_directories(work);
    const auto scenario = ohmglow::simulate::Draw(description, seed);
    if (values["mode"].as<std::string>() == "stairs") {
      Add(seed, ohmglow::trial::PlayStairs(scenario, work), sum);
    } else {
      const auto set = ohmglow::simulate::MakeSetting(scenario);
      Add(seed, ohmglow::trial::PlayRecord(set, options, work), sum);
    }
  }
  Print(sum);
  return ohmglow::tools::kDone;
}

}  // namespace

int main(int argc, char** argv) {
  return ohmglow::tools::RunProgram("record_trial", [&] { return Run(argc, argv); });
}
