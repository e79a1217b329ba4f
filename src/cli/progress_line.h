// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <ostream>
#include <string>

namespace ohmglow::cli {

/// One line that rewrites itself while a long job runs, and is wiped in the
/// end. For terminals: whoever makes one has asked isatty().
class ProgressLine {
 public:
  /// @param label  what is being done, before the bar.
  ProgressLine(std::ostream& stream, std::string label)
      : stream_(stream), label_(std::move(label)) {}
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// @param share  of the work done; clamped to 0 .. 1. Writes only where the
  ///               shown percentage changes.
  void Show(double share);

 private:
  std::ostream& stream_;
  std::string label_;
  int percent_ = -1;
};

/// A ProgressLine on standard error where that is a terminal, else nothing.
class TerminalProgress {
 public:
  explicit TerminalProgress(const std::string& label);
  /// Empty where nothing is shown. Valid while this object lives.
  [[nodiscard]] std::function<void(double)> callback() const;

 private:
  std::unique_ptr<ProgressLine> line_;
};

}  // namespace ohmglow::cli
