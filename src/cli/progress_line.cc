// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/progress_line.h"

#include <unistd.h>

#include <algorithm>
#include <iomanip>
#include <iostream>
#include <string>

namespace ohmglow::cli {
namespace {

constexpr int kBarWidth = 30;
constexpr int kPercentWidth = 8;

}  // namespace

ProgressLine::~ProgressLine() {
  if (percent_ < 0) return;
  const std::string blank(label_.size() + kBarWidth + kPercentWidth, ' ');
  stream_ << '\r' << blank << '\r' << std::flush;
}

void ProgressLine::Show(double share) {
  const int percent = static_cast<int>(100 * std::clamp(share, 0.0, 1.0));
  if (percent == percent_) return;
  percent_ = percent;
  const int done = percent * kBarWidth / 100;
  stream_ << '\r' << label_ << ' ' << std::string(static_cast<std::size_t>(done), '#')
          << std::string(static_cast<std::size_t>(kBarWidth - done), '.') << ' ' << std::setw(3)
          << percent << " %" << std::flush;
}

TerminalProgress::TerminalProgress(const std::string& label) {
  if (isatty(STDERR_FILENO) != 0) line_ = std::make_unique<ProgressLine>(std::cerr, label);
}

std::function<void(double)> TerminalProgress::callback() const {
  if (!line_) return {};
  return [line = line_.get()](double share) { line->Show(share); };
}

}  // namespace ohmglow::cli
