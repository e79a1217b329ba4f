// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "compare/pair_search.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/best_apart.h"

namespace ohmglow {
namespace {

// Steps at which a corner of a frame some 80 pixels wide moves by two pixels.
constexpr double kRotationStepDeg = 3;
constexpr double kScaleStep = 1.06;
constexpr double kLeastOverlap = 0.3;
// Two matches are one where the corners lie closer than this share of the width.
constexpr double kSameShare = 0.1;
constexpr int kPeaksAView = 2;
constexpr double kLeastEnergy = 1e-3;

// Of a real picture, packed: half the work of a complex one.
using Spectrum = Image;

Spectrum Transform(const Image& image, cv::Size size) {
  Image padded(size, 0.0F);
  image.copyTo(padded(cv::Rect({}, image.size())));
  Spectrum out;
  cv::dft(padded, out);
  return out;
}

// sum over x of a(x) b(x + shift), circular.
Image Correlate(const Spectrum& a, const Spectrum& b) {
  Spectrum product;
  cv::mulSpectrums(b, a, product, 0, true);
  Image out;
  cv::idft(product, out, cv::DFT_SCALE | cv::DFT_REAL_OUTPUT);
  return out;
}

struct Spectra {
  Spectrum value;
  Spectrum square;
  Spectrum seen;
};

Spectra SpectraOf(const Texture& texture, cv::Size size) {
  Image seen;
  texture.seen.convertTo(seen, CV_32F, 1.0 / 255);
  return {Transform(texture.value, size),
          Transform(Image(texture.value.mul(texture.value)), size),
          Transform(seen, size)};
}

double LeastEnergy(const Image& energy) {
  double largest = 0;
  cv::minMaxLoc(energy, nullptr, &largest);
  return kLeastEnergy * std::max(0.0, largest);
}

// Normalised correlation over the overlap for every shift (Padfield 2012).
// Textures have no mean to speak of, so it is not taken out again.
Image MaskedCorrelation(const Spectra& before, const Spectra& after, double least_count) {
  const Image count = Correlate(before.seen, after.seen);
  const Image cross = Correlate(before.value, after.value);
  const Image energy_before = Correlate(before.square, after.seen);
  const Image energy_after = Correlate(before.seen, after.square);
  // Where a picture is plain only the transforms' rounding is left, and a ratio
  // of roundings may be anything.
  const double least_before = LeastEnergy(energy_before);
  const double least_after = LeastEnergy(energy_after);
  Image out(count.size(), 0.0F);
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      if (count(y, x) < least_count) continue;
      if (energy_before(y, x) <= least_before || energy_after(y, x) <= least_after) continue;
      const double energy = static_cast<double>(energy_before(y, x)) * energy_after(y, x);
      out(y, x) = static_cast<float>(cross(y, x) / std::sqrt(energy));
    }
  }
  return out;
}

// The view of `after` turned and scaled about its centre, for a shift-only search.
PlaneMap AfterFromTurned(double rotation_deg, double scale, cv::Size after, cv::Size turned) {
  const double angle = rotation_deg * CV_PI / 180;
  const double c = scale * std::cos(angle);
  const double s = scale * std::sin(angle);
  const double tx = (turned.width - 1) / 2.0;
  const double ty = (turned.height - 1) / 2.0;
  return PlaneMap{{c,
                   -s,
                   (after.width - 1) / 2.0 - c * tx + s * ty,
                   s,
                   c,
                   (after.height - 1) / 2.0 - s * tx - c * ty,
                   0,
                   0,
                   1}};
}

// The best shifts of one turned view.
void AddPeaks(Image match,
              cv::Size before,
              const PlaneMap& after_from_turned,
              std::vector<CoarseMatch>& all) {
  for (int k = 0; k < kPeaksAView; ++k) {
    double best = 0;
    cv::Point at;
    cv::minMaxLoc(match, nullptr, &best, nullptr, &at);
    if (best <= 0) break;
    cv::circle(match, at, before.width / 16 + 1, 0, cv::FILLED);
    const double dx = at.x > match.cols - before.width ? at.x - match.cols : at.x;
    const double dy = at.y > match.rows - before.height ? at.y - match.rows : at.y;
    const cv::Matx33d shift(1, 0, dx, 0, 1, dy, 0, 0, 1);
    all.push_back({PlaneMap{after_from_turned.matrix * shift}, best});
  }
}

std::vector<CoarseMatch> Distinct(std::vector<CoarseMatch> all, cv::Size size, int most) {
  const auto same = [&](const CoarseMatch& a, const CoarseMatch& b) {
    return CornerDistance(a.after_from_before, b.after_from_before, size) < kSameShare * size.width;
  };
  return BestApart(std::move(all), most, &CoarseMatch::agreement, same);
}

}  // namespace

std::vector<CoarseMatch> SearchPair(const Texture& before,
                                    const Texture& after,
                                    const PairAlignOptions& options,
                                    int most) {
  const double least_count = kLeastOverlap * cv::countNonZero(before.seen);
  const int rotations = static_cast<int>(std::ceil(options.max_rotation_deg / kRotationStepDeg));
  const int scales =
      static_cast<int>(std::ceil(std::log(options.max_scale) / std::log(kScaleStep)));
  std::vector<CoarseMatch> all;
  for (int s = -scales; s <= scales; ++s) {
    const double scale = options.expected_scale * std::pow(kScaleStep, s);
    // A turned and enlarged view does not fit the frame: let it be larger.
    const int side =
        static_cast<int>(std::ceil(std::hypot(after.size().width, after.size().height) / scale));
    const cv::Size turned(side, side);
    const cv::Size padded(cv::getOptimalDFTSize(side + before.size().width),
                          cv::getOptimalDFTSize(side + before.size().height));
    const Spectra first = SpectraOf(before, padded);
    for (int r = -rotations; r <= rotations; ++r) {
      const PlaneMap after_from_turned =
          AfterFromTurned(r * kRotationStepDeg, scale, after.size(), turned);
      const Texture view = WarpTexture(after, after_from_turned, turned);
      AddPeaks(MaskedCorrelation(first, SpectraOf(view, padded), least_count),
               before.size(),
               after_from_turned,
               all);
    }
  }
  return Distinct(std::move(all), before.size(), most);
}

}  // namespace ohmglow
