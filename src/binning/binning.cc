// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "binning/binning.h"

#include <algorithm>
#include <memory>
#include <string>

#include "base/larger_pixels.h"
#include "binning/binned_frames.h"
#include "ohmglow/input/measured_frames.h"

namespace ohmglow {

int ChooseBinning(const Case& job, const BinningOptions& options) {
  if (!job.frames || job.frames->values() != FrameValues::kKelvin) return 1;
  if (!SurfaceRegionsOf(job.frames.get()).empty()) return 1;
  const cv::Size size = job.frames->size_px();
  const int most = std::max(1, std::min(size.width, size.height) / options.least_px);
  if (job.binning) return std::clamp(*job.binning, 1, std::min(size.width, size.height));
  const Assumption* scale = FindAssumed(job.assumed, "board.mm_per_pixel");
  const bool is_guess =
      scale && (scale->how == AssumedHow::kGuess || scale->how == AssumedHow::kByList);
  if (is_guess) return std::min(most, size.area() > options.large_frame_px ? 2 : 1);
  return std::clamp(static_cast<int>(options.most_mm / job.mm_per_pixel), 1, most);
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
  for (Landmark& landmark : binned.landmarks) {
    landmark.frame_px = ToBinned(landmark.frame_px, binning);
  }
  for (Contact& contact : binned.contacts) {
    contact.frame_px = ToBinned(contact.frame_px, binning);
  }
  return binned;
}

}  // namespace ohmglow
