// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "surface_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/input/measured_frames.h"
#include "scale_guess.h"

namespace ohmglow {
namespace {

// Parts of a pixel each way, to draw outlines that end inside one.
constexpr int kFine = 4;
// Bits of a fine pixel's fraction that the drawing keeps.
constexpr int kShift = 4;
// Farther corners are drawn here: whole numbers must hold them.
constexpr double kFarPx = 1e5;
// Camera's blur and the interpolation of registration (standard deviation).
constexpr double kSoftPx = 0.8;
constexpr double kEmissivityError = 0.03;
// From here on a region's emissivity makes a difference that is worth a word.
constexpr double kLeastChange = 0.01;

// A region's outline in the fine picture; empty where it cannot be placed.
std::vector<cv::Point> OutlineOf(const SurfaceRegion& region, const BoardMaps& maps) {
  if (region.on_board && !maps.board_from_frame) return {};
  const Point half(0.5 * region.width, 0.5 * region.height);
  std::array<Point, 4> corners{region.center - half,
                               region.center + Point(half.x, -half.y),
                               region.center + half,
                               region.center + Point(-half.x, half.y)};
  std::vector<cv::Point> outline;
  for (Point corner : corners) {
    if (region.on_board) corner = maps.board_from_frame->Inverse().Apply(corner);
    const auto fine = [](double px) {
      return cvRound(((std::clamp(px, -kFarPx, kFarPx) + 0.5) * kFine - 0.5) * (1 << kShift));
    };
    outline.emplace_back(fine(corner.x), fine(corner.y));
  }
  return outline;
}

const MeasuredFrames* Measured(const Case& job) {
  return dynamic_cast<const MeasuredFrames*>(job.frames.get());
}

bool ReflectedIsTold(const Case& job) {
  return FindAssumed(job.assumed, "surface.reflected_c") == nullptr;
}

// The temperature of an exitance near a known one, by Newton's method.
double TemperatureOf(double exitance, double guess_k, const SurfaceOptions& surface) {
  double kelvin = guess_k;
  for (int i = 0; i < 8; ++i) {
    const double value = surface.band ? surface.band->Radiance(kelvin) : BandExitance(kelvin);
    const double slope =
        surface.band ? surface.band->RadianceSlope(kelvin) : BandExitanceSlope(kelvin);
    const double step_k = (exitance - value) / slope;
    kelvin = std::clamp(kelvin + step_k, ObjectTemperature::kLowestK, ObjectTemperature::kHighestK);
    if (std::abs(step_k) < 1e-4) break;
  }
  return kelvin;
}

}  // namespace

Image RiseGain(const Case& job, const BoardMaps& maps, cv::Size frame_px) {
  const std::vector<SurfaceRegion> regions = SurfaceRegionsOf(job.frames.get());
  if (regions.empty()) return {};
  Image fine(frame_px * kFine, static_cast<float>(job.emissivity));
  bool any = false;
  for (const SurfaceRegion& region : regions) {
    const std::vector<cv::Point> outline = OutlineOf(region, maps);
    if (outline.empty()) continue;
    any = true;
    cv::fillConvexPoly(fine, outline, cv::Scalar(region.emissivity), cv::LINE_8, kShift);
  }
  if (!any) return {};
  Image emissivity;
  cv::resize(fine, emissivity, frame_px, 0, 0, cv::INTER_AREA);
  cv::GaussianBlur(emissivity, emissivity, {}, kSoftPx, kSoftPx, cv::BORDER_REPLICATE);
  return Image(job.emissivity / emissivity);
}

Remark RemarkOnRegions(const Case& job, const BoardMaps& maps) {
  const std::vector<SurfaceRegion> regions = SurfaceRegionsOf(job.frames.get());
  const auto lost = std::count_if(
      regions.begin(), regions.end(), [](const SurfaceRegion& region) { return region.on_board; });
  if (lost == 0 || maps.board_from_frame) return {};
  return Remark(RemarkKind::kRegionsUntied).With("count", static_cast<double>(lost));
}

void ScaleRises(const Image& gain, Response& response) {
  if (gain.empty()) return;
  for (Eigen::Index pixel = 0; pixel < response.courses.cols(); ++pixel) {
    response.courses.col(pixel) *= gain.ptr<float>()[pixel];
  }
  response.rise_k = Image(response.rise_k.mul(gain));
  response.noise_k = Image(response.noise_k.mul(gain));
  response.rise_gain = gain;
}

void DoubtEmissivity(const Case& job, const Image& gain, LocateResult& result) {
  if (gain.empty()) return;
  const cv::Rect frame({}, gain.size());
  for (Candidate& candidate : result.candidates) {
    const cv::Point at(cvRound(candidate.Peak().x), cvRound(candidate.Peak().y));
    if (!frame.contains(at) || std::abs(gain(at) - 1) < kLeastChange) continue;
    const double emissivity = job.emissivity / static_cast<double>(gain(at));
    WidenWatts(2 * std::log1p(kEmissivityError / emissivity), candidate);
  }
}

void ReadWithRegions(const Case& job, const Image& gain, Image& picture_k) {
  const MeasuredFrames* measured = Measured(job);
  if (gain.empty() || measured == nullptr || !ReflectedIsTold(job)) return;
  const SurfaceOptions& surface = measured->surface();
  const auto exitance = [&](double kelvin) {
    return surface.band ? surface.band->Radiance(kelvin) : BandExitance(kelvin);
  };
  const double reflected = exitance(surface.reflected_k);
  for (int y = 0; y < picture_k.rows; ++y) {
    for (int x = 0; x < picture_k.cols; ++x) {
      const auto read_k = static_cast<double>(picture_k(y, x));
      const auto times = static_cast<double>(gain(y, x));
      if (std::abs(times - 1) < kLeastChange || !std::isfinite(read_k)) continue;
      const double object = reflected + times * (exitance(read_k) - reflected);
      // Less than nothing: the emissivity told cannot be right here.
      if (!(object > exitance(ObjectTemperature::kLowestK))) continue;
      const double guess_k = surface.reflected_k + times * (read_k - surface.reflected_k);
      picture_k(y, x) = static_cast<float>(TemperatureOf(
          object,
          std::clamp(guess_k, ObjectTemperature::kLowestK, ObjectTemperature::kHighestK),
          surface));
    }
  }
}

}  // namespace ohmglow
