// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <vector>

#include "ohmglow/align/screening_report.h"
#include "ohmglow/base/geometry.h"
#include "ohmglow/base/image.h"
#include "ohmglow/base/remark.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow {

/// How much freedom the motion between frames has; each holds the ones before.
enum class MotionModel {
  kShift,
  kRigid,  ///< And a rotation.
  kSimilarity,
  kProjective,
};
inline constexpr std::size_t kNumMotionModels = 4;

/// What screening and registration found out about one frame.
struct FrameState {
  bool used = true;
  Remark reason;    ///< Why it is not used; empty where it is.
  int segment = 0;  ///< Counts up at every shutter event.
  Similarity frame_from_reference;
  /// The whole motion in pixel coordinates where it is more than a similarity
  /// (MotionModel::kProjective); frame_from_reference is the nearest to it.
  std::optional<PlaneMap> projective_from_reference;
  /// Expected error, rms over the frame: that of the frame's own fit (from its
  /// residuals and the texture, Cramer-Rao) before the course was smoothed, and
  /// the share of the motion that the sensor's pattern may have held back;
  /// at most max_shift_px, which it is where no texture tells the motion.
  double residual_px = 0;
};

/// All frames put where they belong. Frame coordinates of the results are
/// those of the reference frame.
struct Alignment {
  std::vector<FrameState> frames;
  int reference = 0;  ///< The first used frame.
  int num_segments = 1;
  Mask good_pixels;    ///< Sensor coordinates; 0 at dead, stuck or noisy pixels.
  Image pattern_k;     ///< What stays with the sensor while the scene moves, mean 0 [K].
  double noise_k = 0;  ///< Standard deviation of one pixel in one frame [K].
  double largest_shift_px = 0;
  double median_residual_px = 0;
  MotionModel motion_model = MotionModel::kShift;  ///< Chosen by the capture's own texture.
  /// By model, the gain in log-likelihood a frame over a mere shift, on parts
  /// of the picture that it was not fitted to; negative where it only adds noise.
  std::array<double, kNumMotionModels> model_gain{};
  int num_blurred = 0;          ///< Frames dropped because fast motion had blurred them.
  std::vector<Remark> remarks;  ///< What registration cannot do here; empty where all is well.
  ScreeningReport screening;    ///< What was excluded or happened before any motion was known.
};

/// Pixel coordinates of the reference frame to those of a frame.
[[nodiscard]] PlaneMap MapOf(const FrameState& frame, cv::Size frame_size_px);

struct AlignOptions {
  double max_shift_px = 25;      ///< Search range of the motion; > 0.
  int reference_frames = 8;      ///< Frames averaged into the first model image; >= 1.
  int pattern_iterations = 0;    ///< Alternations between scene and sensor pattern; >= 0.
  double dead_pixel_sigmas = 8;  ///< Distance from its neighbours at which a pixel is dead; > 0.
  /// Called with the share of the work done, 0 .. 1; may be empty.
  std::function<void(double)> progress;

  void Validate() const;  ///< @throws OptionError naming field, value and rule.
};

/// Screens the frames (shutter freezes and jumps, repeats, bad pixels) and
/// registers each used one to the first used one.
/// @param frames   the capture; read more than once, never kept.
/// @throws DataError  where fewer than two frames can be used.
/// Sources: Clement, Bierbaum, Sethna 2018, arXiv:1809.05583 (a model image
/// learned from all frames); Baker, Matthews, IJCV 56 (2004) 221-255
/// (inverse compositional Gauss-Newton).
[[nodiscard]] Alignment Align(FrameSource& frames, const AlignOptions& options);

}  // namespace ohmglow
