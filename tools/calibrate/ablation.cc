// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/ablation.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>

#include "calibrate/fit.h"
#include "ohmglow/result.h"

namespace ohmglow::calibrate {
namespace {

constexpr const char* kAll = "nothing: all evidence";

std::vector<Capture> Without(std::vector<Capture> captures, std::size_t piece) {
  for (Capture& capture : captures) {
    for (Place& place : capture.places) place.values[piece] = 0;
  }
  return captures;
}

struct Row {
  std::string without;
  Decisions decisions;
  double log_score = 0;  // mean over captures of the log probability of what is true
};

// Log probability that a place, or none, is the fault, as the truth has it:
// rewards the right place and the right doubt alike.
double LogScore(const std::vector<Capture>& captures,
                const std::vector<std::vector<double>>& confidences) {
  double sum = 0;
  for (std::size_t c = 0; c < captures.size(); ++c) {
    for (std::size_t i = 0; i < captures[c].places.size(); ++i) {
      const double stated = std::clamp(confidences[c][i], 1e-6, 1 - 1e-6);
      sum += std::log(captures[c].places[i].is_fault ? stated : 1 - stated);
    }
  }
  return captures.empty() ? 0 : sum / static_cast<double>(captures.size());
}

Row Try(const std::string& name,
        const std::vector<Capture>& fitted_on,
        const std::vector<Capture>& judged_on) {
  const Fit fit = FitWeights(fitted_on);
  std::vector<std::vector<double>> confidences;
  for (const Capture& capture : judged_on) {
    confidences.push_back(Confidences(capture, fit.weights));
  }
  return {name, Decide(judged_on, confidences), LogScore(judged_on, confidences)};
}

std::string Line(const Row& row) {
  const Decisions& d = row.decisions;
  char text[200];
  std::snprintf(text,
                sizeof text,
                "| %s | %d of %d | %d | %d of %d | %.3f | %.3f |\n",
                row.without.c_str(),
                d.first,
                d.faulty,
                d.found,
                d.false_alarms,
                d.empty,
                d.brier,
                row.log_score);
  return text;
}

}  // namespace

Decisions Decide(const std::vector<Capture>& captures,
                 const std::vector<std::vector<double>>& confidences) {
  Decisions out;
  int firsts = 0;
  for (std::size_t c = 0; c < captures.size(); ++c) {
    const Capture& capture = captures[c];
    const auto most = std::max_element(confidences[c].begin(), confidences[c].end());
    const bool any = most != confidences[c].end();
    const bool right =
        any && capture.places[static_cast<std::size_t>(most - confidences[c].begin())].is_fault;
    const bool named = any && *most >= kFaultConfidence;
    if (any) {
      ++firsts;
      out.brier += std::pow(*most - (right ? 1 : 0), 2);
    }
    if (capture.num_faults > 0) {
      ++out.faulty;
      out.first += right ? 1 : 0;
      out.found += right && named ? 1 : 0;
    } else {
      ++out.empty;
      out.false_alarms += named ? 1 : 0;
    }
  }
  if (firsts > 0) out.brier /= firsts;
  return out;
}

std::string AblationTable(const std::vector<Capture>& fitted_on,
                          const std::vector<Capture>& judged_on) {
  std::vector<Row> rows;
  const std::vector<std::string> names = EvidenceNames();
  for (std::size_t k = 1; k < names.size(); ++k) {  // Not the odds before looking.
    rows.push_back(Try(names[k], Without(fitted_on, k), Without(judged_on, k)));
  }
  std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
    return a.log_score < b.log_score;
  });
  rows.insert(rows.begin(), Try(kAll, fitted_on, judged_on));
  std::string text =
      "| without | first place is the fault | and named | false alarms | Brier of first places | "
      "log score a capture |\n| --- | --- | --- | --- | --- | --- |\n";
  for (const Row& row : rows) text += Line(row);
  return text;
}

}  // namespace ohmglow::calibrate
