// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "count_pages.h"
#include "input/color_curve.h"
#include "ohmglow/input/frame_source.h"

namespace ohmglow {

struct RelativeOptions {
  int shrink = 1;             ///< Pixels each way of the pages that make one of the frames; >= 1.
  bool dark_is_warm = false;  ///< Pictures only.
};

/// Stored pages whose scale nobody knows: counts, or pictures in grey or in colours of 8
/// bits, of which colours become values along the row that they form (ColorCurve). They are
/// moved and stretched, by the same amounts in every frame, so that the first one that
/// can be read looks like a board at room temperature: its median 300, the middle 96 % of it spread
/// over 10.
///
/// NaN is what is no finite number, the end counts of wide integers (a detector or its
/// converter saturates there), and colours that lie off the row.
class RelativeFrames final : public FrameSource {
 public:
  /// @throws InputError  where the first frame holds no value or but one, or its colours
  ///         form no row.
  RelativeFrames(std::unique_ptr<CountPages> pages,
                 const std::string& name,
                 const RelativeOptions& options);

  [[nodiscard]] int count() const override { return pages_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] FrameValues values() const override { return FrameValues::kRelative; }
  [[nodiscard]] std::optional<ValueRange> range() const override;
  void Read(int index, Image& values) override;

 private:
  [[nodiscard]] bool is_picture() const { return CV_MAT_DEPTH(pages_->type()) == CV_8U; }
  // The page in `counts_`, shrunk, before it is moved and stretched.
  [[nodiscard]] Image PageValues() const;
  [[nodiscard]] ColorCurve LearnColors();

  std::unique_ptr<CountPages> pages_;
  RelativeOptions options_;
  cv::Size size_px_;
  std::optional<ColorCurve> colors_;
  double scale_ = 1;
  double zero_ = 0;
  cv::Mat counts_;
};

/// The shrinking that leaves frames of 210 to 420 pixels across (down to 150 that stay within 0.48
/// mm), as thermal cameras have them: what a video shows beyond was made up when the picture was
/// enlarged.
/// @param mm_per_pixel  of the pictures, where it is told.
[[nodiscard]] int UsualShrink(cv::Size page_size_px, std::optional<double> mm_per_pixel);

}  // namespace ohmglow
