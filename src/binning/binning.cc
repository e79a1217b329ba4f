// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binning/binning.h"

#include <algorithm>
#include <memory>
#include <string>

#include "binning/binned_frames.h"
#include "input/case_pixels.h"
#include "ohmglow/input/measured_frames.h"

namespace ohmglow {

int ChooseBinning(const Case& job, const BinningOptions& options) {
  if (!job.frames || job.frames->values() != FrameValues::kKelvin) return 1;
  if (!SurfaceRegionsOf(job.frames.get()).empty()) return 1;
  const cv::Size size = job.frames->size_px();
  const int most = std::max(1, std::min(size.width, size.height) / options.least_px);
  if (job.binning) return std::max(1, std::min({*job.binning, size.width, size.height}));
  const Assumption* scale = FindAssumed(job.assumed, "board.mm_per_pixel");
  const bool is_guess =
      scale && (scale->how == AssumedHow::kGuess || scale->how == AssumedHow::kByList);
  if (is_guess) return std::min(most, size.area() > options.large_frame_px ? 2 : 1);
  if (!(job.mm_per_pixel > 0)) return 1;
  return static_cast<int>(std::clamp<double>(options.most_mm / job.mm_per_pixel, 1, most));
}

Assumption AssumedBinning(int binning) {
  return {"frames.shrink",
          std::to_string(binning),
          AssumedHow::kDefault,
          "heat is less sharp than the camera's pixels; coordinates stay theirs"};
}

Case Binned(const Case& job, int binning) {
  if (binning == 1) return job;
  Case binned = job;
  binned.frames = std::make_shared<BinnedFrames>(job.frames, binning);
  binned.mm_per_pixel *= binning;
  BinPlaces(binning, binned);
  return binned;
}

}  // namespace ohmglow
