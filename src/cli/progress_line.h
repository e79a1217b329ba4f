// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <ostream>

namespace ohmglow::cli {

/// One line that rewrites itself while a long job runs, and is wiped in the
/// end. For terminals: whoever makes one has asked isatty().
class ProgressLine {
 public:
  explicit ProgressLine(std::ostream& stream) : stream_(stream) {}
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// @param share  of the work done; clamped to 0 .. 1. Writes only where the
  ///               shown percentage changes.
  void Show(double share);

 private:
  std::ostream& stream_;
  int percent_ = -1;
};

}  // namespace ohmglow::cli
