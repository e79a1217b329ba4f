// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <mutex>
#include <optional>
#include <vector>

#include "analysis.h"
#include "desk/film.h"
#include "desk/kept_courses.h"
#include "ohmglow/input/case.h"
#include "ohmglow/locate.h"
#include "ohmglow/result.h"
#include "rank/place_courses.h"

namespace ohmglow::desk {

/// How one spot warmed.
struct SpotCurve {
  std::vector<GrowthPoint> points;
  double exponent = 2;  ///< Rise ~ current^exponent.
  double exponent_sigma = 0;
  double snr = 0;  ///< Of what follows the supply there.
};

/// Where the courses of all points are while nobody asks.
enum class Hold { kMemory, kAside };

/// A located capture that can be asked further: the result, and what it was computed from.
class Found {
 public:
  /// Runs the whole job; see Locate().
  /// @throws Error, and whatever `options.progress` throws.
  Found(Case job, const LocateOptions& options, Hold hold = Hold::kAside);

  /// Without its frames.
  [[nodiscard]] const Case& job() const { return job_; }
  [[nodiscard]] const LocateResult& result() const { return analysis_.result; }

  /// Nothing where the spot was not seen. In the units of the result.
  [[nodiscard]] std::optional<SpotCurve> CurveAt(Point frame_px) const;

  /// When the moving pictures of the warming were, and the current then.
  [[nodiscard]] const std::vector<double>& FilmTimes() const { return film_->times_s(); }
  [[nodiscard]] double AmpsAt(double time_s) const { return analysis_.drive->AmpsAt(time_s); }
  /// @param picture  below FilmTimes().size(). @return  rise, in the units of the result.
  [[nodiscard]] Image FilmAt(std::size_t picture) const;

 private:
  void Prepare();
  void PutAside();
  [[nodiscard]] cv::Rect Around(Point binned_px) const;
  [[nodiscard]] double MmPerPixel() const { return job_.mm_per_pixel * binning_; }

  Case job_;
  int binning_ = 1;    ///< Of the analysis; its result is in pixels of the frames.
  Analysis analysis_;
  double unit_ = 1;  ///< Of the result over that of the analysis: differs for relative frames.
  mutable std::mutex mutex_;
  mutable std::optional<PlaceCourses> courses_;
  mutable std::size_t left_bytes_ = 0;  ///< Used by questions since memory was handed back.
  std::optional<const Film> film_;
  std::optional<KeptCourses> kept_;
};

}  // namespace ohmglow::desk
