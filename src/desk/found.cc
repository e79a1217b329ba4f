// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/found.h"

#include <malloc.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/larger_pixels.h"
#include "binning/binning.h"
#include "binning/unbin.h"
#include "heat/plate.h"
#include "ohmglow/base/error.h"
#include "rank/course.h"
#include "rank/growth.h"

namespace ohmglow::desk {
namespace {

// The same picture stands in both; the result's may be on a scale of its own.
double UnitOf(const Analysis& analysis) {
  double own = 0;
  double shown = 0;
  const Image& rise = analysis.response.rise_k;
  for (int y = 0; y < rise.rows; ++y) {
    for (int x = 0; x < rise.cols; ++x) {
      if (!std::isfinite(rise(y, x)) || std::abs(rise(y, x)) <= own) continue;
      own = std::abs(rise(y, x));
      shown = std::abs(analysis.result.response_k(y, x));
    }
  }
  return own > 0 ? shown / own : 1;
}

void Scale(double unit, GrowthPoint& point) {
  point.rise_k *= unit;
  point.heat_k_mm2 *= unit;
  if (point.fit_k) *point.fit_k *= unit;
  if (point.fit_sigma_k) *point.fit_sigma_k *= unit;
}

}  // namespace

Found::Found(Case job, const LocateOptions& options, Hold hold)
    : job_(std::move(job)),
      binning_(ChooseBinning(job_)),
      analysis_(Analyze(Binned(job_, binning_), options)),
      unit_(UnitOf(analysis_)) {
  analysis_.quarters_k.clear();
  courses_.emplace(
      analysis_.response, *analysis_.model, *analysis_.drive, MakeSourceCourses(PlateOf(job_)));
  Prepare();
  Unbin(job_, binning_, analysis_.result);
  // What was read is not needed again, and much of it is held until the source goes.
  job_.frames.reset();
  analysis_.power = {};  // What of it is shown stands in the result.
  if (hold == Hold::kAside) PutAside();
  malloc_trim(0);
}

// What a spot is asked with is made once for each size of spots; now, not when somebody waits.
void Found::Prepare() {
  constexpr int kAcross = 8;
  const cv::Size size = analysis_.response.seen.size();
  for (int i = 0; i < kAcross * kAcross; ++i) {
    const Point at((i % kAcross + 0.5) * size.width / kAcross,
                   (i / kAcross + 0.5) * size.height / kAcross);
    static_cast<void>(courses_->At(at));
  }
  for (const Candidate& candidate : analysis_.result.candidates) {
    static_cast<void>(courses_->At(candidate.frame_px));
  }
  constexpr double kUsualLagS = 3;
  double lag_s = kUsualLagS;
  if (!analysis_.result.candidates.empty()) {
    const PlaceCourses::Place place = courses_->At(analysis_.result.candidates.front().Peak());
    lag_s = place.courses->Fit(place.course, analysis_.response.noise_median_k).lag_s;
  }
  film_.emplace(analysis_, lag_s);
}

Image Found::FilmAt(std::size_t picture) const {
  const auto bin = static_cast<Eigen::Index>(picture);
  const Eigen::RowVectorXf values = kept_ ? kept_->Row(bin) : analysis_.response.courses.row(bin);
  const Image rise(film_->At(analysis_, picture, values) * unit_);
  return Unbin(rise, binning_, analysis_.result.frame_size_px);
}

void Found::PutAside() {
  try {
    kept_.emplace(analysis_.response.courses, analysis_.response.seen.size());
  } catch (const InputError&) {
    return;  // No room on the disk: they stay in memory.
  }
}

// What a spot's curve is read from: the spot with its surroundings, and all that its heat reaches
// in the sums of MeasureGrowth().
cv::Rect Found::Around(Point binned_px) const {
  const Detector::Best best = analysis_.response.detector.BestAt(binned_px);
  const double reach_px = std::max({kGrowthReachMm / MmPerPixel(),
                                    kSpotReachSigmas * best.sigma_px,
                                    kSpotReachSigmas * best.surroundings_px});
  const int reach = static_cast<int>(std::ceil(reach_px)) + 1;
  return {cvRound(binned_px.x) - reach, cvRound(binned_px.y) - reach, 2 * reach + 1, 2 * reach + 1};
}

std::optional<SpotCurve> Found::CurveAt(Point frame_px) const {
  const Point binned_px = ToBinned(frame_px, binning_);
  const Response& response = analysis_.response;
  const cv::Point at(cvRound(binned_px.x), cvRound(binned_px.y));
  if (!at.inside(cv::Rect({0, 0}, response.seen.size())) || response.seen(at) == 0) {
    return std::nullopt;
  }
  const std::lock_guard lock(mutex_);  // PlaceCourses remembers, and the window is one.
  std::optional<KeptCourses::Window> window;
  if (kept_) window.emplace(*kept_, Around(binned_px));
  const PlaceCourses::Place place = courses_->At(binned_px);
  const CourseFit fit = courses_->FitOf(place);
  Growth growth = MeasureGrowth(response,
                                *analysis_.model,
                                *analysis_.drive,
                                binned_px,
                                MmPerPixel(),
                                fit.lag_s,
                                std::clamp(fit.exponent, 1.0, 2.0));
  // Each thread that answers would keep what its widest question took; handing it back takes time.
  constexpr std::size_t kMostLeftBytes = std::size_t{16} << 20U;
  left_bytes_ +=
      growth.points.size() * sizeof(double) * static_cast<std::size_t>(Around(binned_px).area());
  if (left_bytes_ > kMostLeftBytes) {
    malloc_trim(0);
    left_bytes_ = 0;
  }
  for (GrowthPoint& point : growth.points) Scale(unit_, point);
  return SpotCurve{std::move(growth.points), fit.exponent, fit.exponent_sigma, fit.snr};
}

}  // namespace ohmglow::desk
