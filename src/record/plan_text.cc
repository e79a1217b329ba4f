// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/plan_text.h"

#include <cstdio>

namespace ohmglow::record {
namespace {

const char* PhaseText(Phase phase) {
  switch (phase) {
    case Phase::kRest:
      return "rest";
    case Phase::kApproach:
      return "first try";
    case Phase::kTurns:
      return "in turns";
    case Phase::kEnd:
    case Phase::kOver:
      break;
  }
  return "cooling";
}

template <typename... Values>
void AddLine(std::string& text, const char* format, Values... values) {
  char line[200];
  std::snprintf(line, sizeof line, format, values...);
  text += line;
  text += '\n';
}

}  // namespace

std::string WattText(double watts) {
  char text[40];
  if (watts < 1e-3) {
    std::snprintf(text, sizeof text, "%.2g mW", 1e3 * watts);
  } else if (watts < 0.1) {
    std::snprintf(text, sizeof text, "%.1f mW", 1e3 * watts);
  } else if (watts < 1) {
    std::snprintf(text, sizeof text, "%.0f mW", 1e3 * watts);
  } else {
    std::snprintf(text, sizeof text, "%.2f W", watts);
  }
  return text;
}

std::string PlanText(const SessionOptions& options, std::optional<double> least_w) {
  const Limits& limits = options.limits;
  std::string text = "What will be done, unless heat shows earlier or the answer is sure:\n";
  AddLine(text, "  %9s  %8s  %8s  %s", "from, s", "A", "up to V", "");
  for (const PatternStep& step : PlanSteps(options.pattern)) {
    AddLine(text,
            "  %4.0f-%-4.0f  %8.3g  %8.3g  %s",
            step.start_s,
            step.end_s,
            step.amps_a,
            step.amps_a > 0 ? limits.max_volts_v : 0.0,
            PhaseText(step.phase));
  }
  AddLine(text,
          "At most %.3g V x %.3g A = %.3g W.",
          limits.max_volts_v,
          limits.max_amps_a,
          limits.max_volts_v * limits.max_amps_a);
  text += "The output goes off at once where:\n";
  AddLine(text,
          "  a place in view warms by more than %.0f K, or reaches %.0f degrees Celsius;",
          limits.max_rise_k,
          limits.max_temperature_c);
  AddLine(text,
          "  the supply gives more than %.3g V or more amps than were set, or current at zero;",
          limits.max_volts_v);
  text += "  camera or supply fall silent, the current stops by itself, or this program ends;\n";
  AddLine(text, "  %.0f s have passed.", limits.max_seconds_s);
  if (least_w) {
    text += "A small part on the side in view that takes " + WattText(*least_w) +
            " or more at the highest current should show\n(a quiet, still camera; others need "
            "more).\n";
  }
  return text;
}

std::string CautionText() {
  return "Before you go on:\n"
         "- Only a board that is free of the mains: never its mains side, nothing else plugged "
         "in.\n"
         "- Cells and batteries out, capacitors discharged.\n"
         "- The voltage limit at or below the rail's own voltage; plus and minus checked twice.\n"
         "- Parts may get hot or burst: eye protection, nothing that burns near by, no fingers.\n"
         "- The supply's own switch within reach. Nobody leaves the bench while current flows.\n"
         "- Local codes decide, and work that they reserve is for licensed people.\n";
}

}  // namespace ohmglow::record
