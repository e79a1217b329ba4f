// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/progress_line.h"

#include <algorithm>
#include <iomanip>
#include <string>

namespace ohmglow::cli {
namespace {

constexpr int kBarWidth = 30;
constexpr int kLineWidth = kBarWidth + 24;

}  // namespace

ProgressLine::~ProgressLine() {
  if (percent_ >= 0) stream_ << '\r' << std::string(kLineWidth, ' ') << '\r' << std::flush;
}

void ProgressLine::Show(double share) {
  const int percent = static_cast<int>(100 * std::clamp(share, 0.0, 1.0));
  if (percent == percent_) return;
  percent_ = percent;
  const int done = percent * kBarWidth / 100;
  stream_ << "\rlooking for heat " << std::string(static_cast<std::size_t>(done), '#')
          << std::string(static_cast<std::size_t>(kBarWidth - done), '.') << ' ' << std::setw(3)
          << percent << " %" << std::flush;
}

}  // namespace ohmglow::cli
