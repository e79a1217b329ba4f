// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "ohmglow/align/alignment.h"
#include "ohmglow/base/image.h"
#include "ohmglow/heat/heat_options.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow {

/// The capture folded into a bounded number of time bins, every bin the mean
/// of consecutive registered frames in the view of the reference frame. All
/// later fits work on it, so their memory does not grow with the frame count.
struct Stack {
  std::vector<Image> bins_k;                       ///< Mean temperature of each bin [K].
  std::vector<double> time_s;                      ///< Mean time of each bin's frames.
  std::vector<double> num_frames;                  ///< Frames averaged in each bin.
  std::vector<int> segment;                        ///< Shutter segment of each bin.
  std::vector<std::vector<double>> frame_times_s;  ///< Of the frames of each bin.
  std::vector<std::vector<Similarity>> poses;      ///< A few of each bin's frames.
  Mask seen;  ///< 255 where (nearly) every frame saw and read the pixel.
  /// 255 where the camera could read the pixel at first but not in all frames:
  /// most likely too hot for its range. Empty: nowhere.
  Mask out_of_range;
  /// There, by how much the warmest bin that was read in every frame stood above the begin, less
  /// what the middling pixel gained meanwhile: a lower limit of the rise [K]; else 0. Empty: nowhere.
  Image read_rise_k;

  [[nodiscard]] int size() const { return static_cast<int>(bins_k.size()); }
  [[nodiscard]] cv::Size size_px() const { return bins_k.front().size(); }
};

/// Registers, fills bad pixels and averages; one pass over the frames.
/// @param frame_times_s  one per frame of the capture.
/// @throws DataError  where fewer than 12 frames can be used.
[[nodiscard]] Stack BuildStack(FrameSource& frames,
                               const std::vector<double>& frame_times_s,
                               const Alignment& alignment,
                               const HeatOptions& options);

/// Bins at the begin whose mean is the picture before the heating.
[[nodiscard]] int StaticBins(const Stack& stack);

/// Lets go of the pictures of all other bins: of 640 x 480 pixels they take 120 MB.
void KeepStaticBins(Stack& stack);

/// A middling temperature of each bin: median of some of its pixels [K].
[[nodiscard]] std::vector<float> BinLevels(const Stack& stack);

/// Estimates what stays with the sensor (column and pixel pattern) jointly
/// with the scene and takes it out of the bins. In the registered view the
/// pattern wanders over the board and would turn into stripes that no
/// temporal fit can tell from heat.
///
/// Model: bin_b = scene_0 + sum_j scene_j phi_j(t_b) + W_b pattern, with phi a
/// few slow cosines and W_b the motion. Eliminating the scene leaves normal
/// equations of the pattern alone, solved by conjugate gradients with a small
/// ridge, which keeps what the motion cannot tell apart in the scene.
/// @return  the pattern [K], sensor coordinates.
Image RemoveSensorPattern(Stack& stack, const HeatOptions& options);

}  // namespace ohmglow
