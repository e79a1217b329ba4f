// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/plan_text.h"

#include <cstdio>

#include "record/record_words.h"

namespace ohmglow::record {
namespace {

const char* PhaseKey(Phase phase) {
  switch (phase) {
    case Phase::kRest:
      return "plan.rest";
    case Phase::kApproach:
      return "plan.first_try";
    case Phase::kTurns:
      return "plan.in_turns";
    case Phase::kEnd:
    case Phase::kOver:
      break;
  }
  return "plan.cooling";
}

std::string Row(const std::string& time,
                const std::string& amps,
                const std::string& volts,
                const std::string& phase) {
  char line[200];
  std::snprintf(line,
                sizeof line,
                "  %9s  %8s  %8s  %s\n",
                time.c_str(),
                amps.c_str(),
                volts.c_str(),
                phase.c_str());
  return line;
}

std::string Steps(const SessionOptions& options, const Words& words) {
  std::string text = Row(words.Get("plan.from"), "A", words.Get("plan.up_to"), "");
  for (const PatternStep& step : PlanSteps(options.pattern)) {
    char time[40];
    std::snprintf(time, sizeof time, "%.0f-%-4.0f", step.start_s, step.end_s);
    text += Row(time,
                NumberText(words, "%.3g", step.amps_a),
                NumberText(words, "%.3g", step.amps_a > 0 ? options.limits.max_volts_v : 0),
                words.Get(PhaseKey(step.phase)));
  }
  return text;
}

}  // namespace

std::string PlanText(const SessionOptions& options,
                     std::optional<double> least_w,
                     const Words& words) {
  const Limits& limits = options.limits;
  const auto number = [&](double value) { return NumberText(words, "%.3g", value); };
  const Words::Values values{{"volts", number(limits.max_volts_v)},
                             {"amps", number(limits.max_amps_a)},
                             {"watts", number(limits.max_volts_v * limits.max_amps_a)},
                             {"rise", number(limits.max_rise_k)},
                             {"temperature", number(limits.max_temperature_c)},
                             {"seconds", number(limits.max_seconds_s)},
                             {"power", WattText(words, least_w.value_or(0))}};
  const auto line = [&](const char* key) { return words.Fill(key, values) + '\n'; };
  std::string text = line("plan.head") + Steps(options, words);
  text += line("plan.at_most") + line("plan.off_where");
  for (const char* key : {"plan.heat", "plan.supply", "plan.silent", "plan.time"}) {
    text += "  " + line(key);
  }
  if (least_w) text += line("plan.least") + line("plan.least_more");
  return text;
}

std::string CautionText(const Words& words) {
  std::string text = words.Get("caution.head") + '\n';
  for (const char* key : {"caution.mains",
                          "caution.charge",
                          "caution.volts",
                          "caution.heat",
                          "caution.switch",
                          "caution.sleep",
                          "caution.law"}) {
    text += "- " + words.Get(key) + '\n';
  }
  return text;
}

}  // namespace ohmglow::record
