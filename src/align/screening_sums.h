// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <vector>

#include "ohmglow/base/image.h"

namespace ohmglow::internal {

inline constexpr int kBlockColumns = 8;  // Blocks of the picture whose means are followed.
inline constexpr int kBlockRows = 6;
inline constexpr int kBlocks = kBlockColumns * kBlockRows;
using Blocks = std::array<double, kBlocks>;  ///< A number for each.
inline constexpr int kTimeBlocks = 8;        // Parts of the capture whose mean pictures are kept.

/// One frame in few numbers, all less one origin that the capture has in common.
struct FrameProfile {
  int index = 0;
  std::array<float, kBlocks> block_k{};  ///< Mean of each block; NaN-free.
  std::array<int, kBlocks> seen{};       ///< Pixels with a value in each block.
  double roughness_k = 0;  ///< Mean |change from the frame before, from a pixel to the next|.
  double missing = 0;      ///< Share of the pixels without a value.
};

/// Sums over the frames, one pass. The frames that make them are chosen by the
/// caller, which first looks at a frame's profile.
class ScreeningSums {
 public:
  /// @param count  frames of the capture.
  ScreeningSums(cv::Size size, int count);

  /// Looks at a frame. `before_k` may be empty.
  [[nodiscard]] FrameProfile Profile(int index, const Image& before_k, const Image& frame_k);
  /// Takes the frame just looked at into its part of the capture.
  void AddValue(const Image& frame_k);
  /// Takes the step to the frame just looked at into the pixels' liveliness and
  /// the noise of columns and rows. Both frames must have been looked at.
  void AddChange(const Image& before_k, const Image& frame_k);
  /// The frame just looked at becomes the one before.
  void Keep();

  [[nodiscard]] Image Liveliness() const;  ///< Rms change of each pixel / sqrt(2) [K].
  [[nodiscard]] Image Mean() const;        ///< [K], less the origin; 0 where nothing was seen.
  [[nodiscard]] std::vector<Image> PartMeans() const;  ///< The same of each part with frames.
  [[nodiscard]] int Values(int row, int column) const;
  [[nodiscard]] int frames() const { return frames_; }
  [[nodiscard]] int changes() const { return changes_; }
  [[nodiscard]] double ColumnNoise(double pixel_noise_k);
  [[nodiscard]] double RowNoise(double pixel_noise_k);
  /// Least change other than none: the step of the counts; 0 if never seen.
  [[nodiscard]] double quantum_k() const { return quantum_k_; }

 private:
  struct Lines {  // Sums over the columns and rows of one frame.
    std::vector<float> column, row;
    std::vector<unsigned char> row_missing;  // Whether a row has a pixel without a value.
  };

  void FindOrigin(const Image& frame_k);
  int LookAtRow(const Image& frame_k, int row, std::array<int, kBlockColumns>& lost);
  void CloseBlocks(int block_row,
                   int height,
                   const std::array<int, kBlockColumns>& lost,
                   FrameProfile& out);
  void LookForQuantum(const Image& before_k, const Image& frame_k);
  static void Collect(const std::vector<float>& before,
                      const std::vector<float>& after,
                      float scale,
                      std::vector<float>& into);

  cv::Size size_;
  int count_;
  int frames_ = 0, changes_ = 0, line_every_;
  int looked_at_ = 0;
  float origin_k_ = 0;
  bool has_origin_ = false;
  double quantum_k_ = 0;
  Image change_sq_;
  cv::Mat_<int> missing_values_, missing_changes_;
  std::vector<Image> part_sum_;
  std::vector<cv::Mat_<int>> part_missing_;
  std::vector<int> part_frames_;
  std::vector<float> block_sum_;
  Lines before_, now_;
  std::vector<float> column_steps_, row_steps_;
};

}  // namespace ohmglow::internal
