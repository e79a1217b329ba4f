// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <vector>

#include "ohmglow/input/case.h"

namespace ohmglow::record {

/// A film that grows, made small for looking at it again and again: frames within a fifth
/// of a second become their mean, once. Noise falls as it does with all of them; in so
/// short a time a view in the hand moves by a fraction of a pixel.
class FilmSoFar {
 public:
  /// Reads what is new.
  /// @return  the case as it is now, of means; of many every n-th.
  /// @param most_pixels  of all means together.
  /// @throws InputError  where the folder cannot be read yet.
  [[nodiscard]] Case Read(const std::filesystem::path& case_file, double most_pixels);
  [[nodiscard]] int num_frames() const { return num_frames_; }

 private:
  void AddFrames(const Case& job);

  std::vector<Image> means_k_;
  std::vector<double> times_s_;
  int group_ = 0;       // Frames of a mean; 0: not known yet.
  int num_frames_ = 0;  // In the means.
};

}  // namespace ohmglow::record
