// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "calibrate/report.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdio>

namespace ohmglow::calibrate {
namespace {

constexpr std::size_t kBins = 10;

struct Bin {
  int places = 0;
  double stated = 0;
  double faults = 0;
};

}  // namespace

Calibration Judge(const std::vector<Capture>& captures,
                  const std::vector<std::vector<double>>& confidences,
                  bool first_only) {
  Calibration out;
  std::array<Bin, kBins> bins;
  for (std::size_t c = 0; c < captures.size(); ++c) {
    const std::size_t count = first_only ? std::min<std::size_t>(1, captures[c].places.size())
                                         : captures[c].places.size();
    for (std::size_t i = 0; i < count; ++i) {
      const double stated = confidences[c][i];
      const double fault = captures[c].places[i].is_fault ? 1 : 0;
      out.brier += (stated - fault) * (stated - fault);
      const auto at = std::min(kBins - 1, static_cast<std::size_t>(stated * kBins));
      bins[at].places += 1;
      bins[at].stated += stated;
      bins[at].faults += fault;
      out.num_places += 1;
    }
  }
  if (out.num_places == 0) return out;
  for (const Bin& bin : bins) out.error += std::abs(bin.stated - bin.faults) / out.num_places;
  out.brier /= out.num_places;
  return out;
}

std::string WeightTable(const Fit& fit,
                        const std::vector<Capture>& captures,
                        const std::string& origin) {
  int places = 0;
  int faults = 0;
  for (const Capture& capture : captures) {
    for (const Place& place : capture.places) {
      ++places;
      faults += place.is_fault ? 1 : 0;
    }
  }
  std::string text = "// Written by tools/calibrate: do not edit. " + origin + "\n// " +
                     std::to_string(captures.size()) + " captures, " + std::to_string(places) +
                     " places, " + std::to_string(faults) +
                     " of them faults. After each weight, its standard error.\n";
  for (std::size_t k = 0; k < fit.weights.size(); ++k) {
    char row[128];
    std::snprintf(row,
                  sizeof row,
                  "{\"%s\", %.3f},  // %.2f\n",
                  Priors()[k].name.c_str(),
                  fit.weights[k],
                  fit.sigmas[k]);
    text += row;
  }
  return text;
}

}  // namespace ohmglow::calibrate
