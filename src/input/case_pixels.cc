// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_pixels.h"

#include <algorithm>
#include <string>
#include <vector>

#include "base/larger_pixels.h"
#include "ohmglow/base/error.h"

namespace ohmglow {

void BinPlaces(int binning, Case& job) {
  for (Landmark& landmark : job.landmarks) {
    landmark.frame_px = ToBinned(landmark.frame_px, binning);
  }
  for (Contact& contact : job.contacts) contact.frame_px = ToBinned(contact.frame_px, binning);
}

void RequireInView(const std::vector<Landmark>& landmarks,
                   cv::Size frame_px,
                   const std::filesystem::path& file) {
  constexpr int kLeastPx = 16;  // Smaller ones show no board.
  if (std::min(frame_px.width, frame_px.height) < kLeastPx) return;
  const double width = frame_px.width;
  const double height = frame_px.height;
  const auto far = std::count_if(landmarks.begin(), landmarks.end(), [&](const Landmark& landmark) {
    const Point at = landmark.frame_px;
    return at.x < -width || at.x > 2 * width || at.y < -height || at.y > 2 * height;
  });
  if (2 * far <= static_cast<std::ptrdiff_t>(landmarks.size())) return;
  throw InputError(file.string() + ": " + std::to_string(far) + " of " +
                   std::to_string(landmarks.size()) + " landmarks lie far outside the frames of " +
                   std::to_string(frame_px.width) + " x " + std::to_string(frame_px.height) +
                   " px by frame_x and frame_y; see whether the columns of frame and photo are "
                   "exchanged");
}

}  // namespace ohmglow
