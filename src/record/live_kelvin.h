// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>

#include "ohmglow/input/case.h"

namespace ohmglow::record {

class NewestPage;

/// Counts to kelvin by what a board's description says, one frame after the other, the
/// way the reader of case folders does.
class LiveKelvin {
 public:
  /// @param text    of the description, see BoardText.
  /// @param folder  what its paths are relative to.
  /// @param first   a frame: where the description says nothing, its counts must look like
  ///                a room in one unit alone.
  /// @throws InputError  also where frames hold no temperatures: nothing can be guarded then.
  LiveKelvin(const std::string& text, const std::filesystem::path& folder, const cv::Mat& first);
  ~LiveKelvin();

  [[nodiscard]] const Image& Convert(const cv::Mat& counts);
  [[nodiscard]] double mm_per_pixel() const { return job_.mm_per_pixel; }

 private:
  NewestPage* page_ = nullptr;  // Owned by the frames of `job_`.
  Case job_;
  Image kelvin_;
};

}  // namespace ohmglow::record
