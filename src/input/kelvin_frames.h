// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "count_pages.h"
#include "count_table.h"
#include "ohmglow/input/measured_frames.h"
#include "ohmglow/input/radiometry.h"

namespace ohmglow {

/// From a count to the apparent temperature: by the table or the curve where
/// there is one, else kelvin = zero_k + scale_k x count.
struct CountScale {
  double scale_k = 0.01;
  double zero_k = 0;
  std::shared_ptr<const CountTable> table = {};
  std::optional<SignalCurve> curve = {};

  /// NaN where a table or curve has none.
  [[nodiscard]] double Apparent(double count) const;
};

/// Stored pages as object temperature: scale, then `ObjectTemperature`.
/// Integer counts go through a table with one entry a count; its first and last
/// (where the detector or its converter saturates) are NaN. Float samples are
/// never saturated; those that are not finite stay NaN.
class KelvinFrames final : public MeasuredFrames {
 public:
  /// @param surface  with the camera's own curve as band where the scale has one.
  KelvinFrames(std::unique_ptr<CountPages> pages, CountScale scale, const SurfaceOptions& surface);

  [[nodiscard]] int count() const override { return pages_->count(); }
  [[nodiscard]] cv::Size size_px() const override { return pages_->size_px(); }
  void Read(int index, Image& kelvin) override;
  [[nodiscard]] const SurfaceOptions& surface() const override { return surface_; }
  [[nodiscard]] std::optional<CountSteps> steps() const override;

 private:
  void FillTable();

  std::unique_ptr<CountPages> pages_;
  CountScale scale_;
  SurfaceOptions surface_;
  ObjectTemperature object_;
  std::vector<float> table_k_;  // By count, from the least one of the type.
  cv::Mat counts_;
};

}  // namespace ohmglow
