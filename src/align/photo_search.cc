// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/photo_search.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "base/best_apart.h"

namespace ohmglow {
namespace {

constexpr double kScaleStep = 1.07;
constexpr double kTurnStepDeg = 4;
constexpr int kTurnSteps = 1;
constexpr double kLeastOverlap = 0.45;
constexpr int kPeaksAView = 2;
constexpr double kSameShare = 0.06;

using Field = cv::Mat_<cv::Vec2f>;

Field Transform(const Field& field, cv::Size size) {
  Field padded(size, cv::Vec2f(0, 0));
  field.copyTo(padded(cv::Rect({}, field.size())));
  Field out;
  cv::dft(padded, out, 0, field.rows);
  return out;
}

Image EnergySums(const EdgeField& edges) {
  Image energy(edges.size());
  for (int y = 0; y < energy.rows; ++y) {
    for (int x = 0; x < energy.cols; ++x) energy(y, x) = edges.value(y, x).dot(edges.value(y, x));
  }
  cv::Mat_<double> sums;
  cv::integral(energy, sums, CV_64F);
  Image single;
  sums.convertTo(single, CV_32F);
  return single;
}

double BoxSum(const Image& sums, const cv::Rect& box) {
  return static_cast<double>(sums(box.br().y, box.br().x)) - sums(box.y, box.br().x) -
         sums(box.br().y, box.x) + sums(box.y, box.x);
}

// The frame turned about its middle; directions turn with it.
struct Turned {
  EdgeField edges;
  cv::Matx33d frame_from_turned;
};

Turned Turn(const EdgeField& frame, double angle_deg) {
  const double angle = angle_deg * std::numbers::pi / 180;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  const double width = frame.size().width;
  const double height = frame.size().height;
  const cv::Size size(
      static_cast<int>(std::ceil(std::abs(c) * width + std::abs(s) * height - 1e-9)),
      static_cast<int>(std::ceil(std::abs(s) * width + std::abs(c) * height - 1e-9)));
  const double tx = (size.width - 1) / 2.0;
  const double ty = (size.height - 1) / 2.0;
  Turned out;
  out.frame_from_turned = cv::Matx33d(c,
                                      s,
                                      (width - 1) / 2 - c * tx - s * ty,  //
                                      -s,
                                      c,
                                      (height - 1) / 2 + s * tx - c * ty,
                                      0,
                                      0,
                                      1);
  constexpr int kBack = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
  cv::warpPerspective(frame.value, out.edges.value, out.frame_from_turned, size, kBack);
  cv::warpPerspective(frame.seen, out.edges.seen, out.frame_from_turned, size, kBack);
  out.edges.seen = out.edges.seen > 250;
  const float c2 = static_cast<float>(std::cos(2 * angle));
  const float s2 = static_cast<float>(std::sin(2 * angle));
  for (cv::Vec2f& v : out.edges.value) v = {c2 * v[0] - s2 * v[1], s2 * v[0] + c2 * v[1]};
  return out;
}

// Correlation for every shift, over the energies where the two overlap.
class Correlator {
 public:
  Correlator(const EdgeField& straight, cv::Size largest)
      : size_(straight.size()),
        // Room for what may reach beyond the photo and still overlap enough.
        padded_(PaddedLength(size_.width, largest.width),
                PaddedLength(size_.height, largest.height)),
        spectrum_(Transform(straight.value, padded_)),
        sums_(EnergySums(straight)) {}

  void AddPeaks(const Turned& turned,
                const PlaneMap& photo_from_coarse,
                std::vector<PhotoMatch>& all) const {
    Image match = Match(turned.edges);
    for (int k = 0; k < kPeaksAView; ++k) {
      double best = 0;
      cv::Point at;
      cv::minMaxLoc(match, nullptr, &best, nullptr, &at);
      if (best <= 0) return;
      cv::circle(match, at, 4, 0, cv::FILLED);
      const cv::Point shift = Shift(at);
      const cv::Matx33d m(1, 0, shift.x, 0, 1, shift.y, 0, 0, 1);
      all.push_back(
          {PlaneMap{photo_from_coarse.matrix * m * turned.frame_from_turned.inv()}, best});
    }
  }

 private:
  static int PaddedLength(int photo, int frame) {
    const int beyond = static_cast<int>((1 - kLeastOverlap) * frame) + 2;
    return cv::getOptimalDFTSize(std::max(photo + beyond, frame));
  }

  [[nodiscard]] cv::Point Shift(cv::Point at) const {
    return {at.x >= size_.width ? at.x - padded_.width : at.x,
            at.y >= size_.height ? at.y - padded_.height : at.y};
  }

  [[nodiscard]] Image Match(const EdgeField& turned) const {
    Field product;
    cv::mulSpectrums(spectrum_, Transform(turned.value, padded_), product, 0, true);
    Field cross;
    cv::idft(product, cross, cv::DFT_SCALE);
    const Image own = EnergySums(turned);
    const cv::Rect area({}, size_);
    const double all_own = BoxSum(own, cv::Rect({}, turned.size()));
    const double mean = BoxSum(sums_, area) / area.area() * turned.size().area();
    Image out(padded_, 0.0F);
    for (int y = 0; y < out.rows; ++y) {
      for (int x = 0; x < out.cols; ++x) {
        if (cross(y, x)[0] <= 0) continue;
        const cv::Point shift = Shift({x, y});
        const cv::Rect both = cv::Rect(shift, turned.size()) & area;
        if (both.area() < kLeastOverlap * turned.size().area()) continue;
        const double a = BoxSum(own, both - shift);
        // A place with few edges must not win by their small number.
        const double energy = a * (BoxSum(sums_, both) + 0.3 * mean) + 1e-6 * all_own * mean;
        out(y, x) = static_cast<float>(cross(y, x)[0] / std::sqrt(energy) *
                                       std::sqrt(a / std::max(1e-9, all_own)));
      }
    }
    return out;
  }

  cv::Size size_;
  cv::Size padded_;
  Field spectrum_;
  Image sums_;
};

std::vector<PhotoMatch> Distinct(std::vector<PhotoMatch> all, cv::Size frame, int most) {
  const auto same = [&](const PhotoMatch& a, const PhotoMatch& b) {
    return FrameDistance(b.photo_from_frame, a.photo_from_frame, frame) < kSameShare * frame.width;
  };
  return BestApart(std::move(all), most, &PhotoMatch::agreement, same);
}

cv::Matx33d FullFromHalf() { return {2, 0, 0.5, 0, 2, 0.5, 0, 0, 1}; }

}  // namespace

double MainTurnDeg(const EdgeField& edges) {
  std::complex<double> sum = 0;
  for (const cv::Vec2f& v : edges.value) {
    const std::complex<double> z(v[0], v[1]);
    const double size = std::abs(z);
    if (size > 1e-6) sum += z * z / size;
  }
  return std::arg(sum) / 4 * 180 / std::numbers::pi;
}

double FrameDistance(const PlaneMap& a, const PlaneMap& b, cv::Size frame) {
  const Point middle((frame.width - 1) / 2.0, (frame.height - 1) / 2.0);
  const double scale = std::sqrt(std::abs(cv::determinant(a.Jacobian(middle))));
  double sum = 0;
  for (int j = 0; j < 4; ++j) {
    for (int i = 0; i < 4; ++i) {
      const Point p((i + 0.5) / 4 * frame.width, (j + 0.5) / 4 * frame.height);
      const Point d = a.Apply(p) - b.Apply(p);
      sum += d.dot(d);
    }
  }
  return std::sqrt(sum / 16) / std::max(1e-9, scale);
}

std::vector<PhotoMatch> SearchPhoto(const EdgeField& frame,
                                    const PhotoLevels& photo,
                                    const PlaneMap& photo_from_straight,
                                    const PhotoAlignOptions& options,
                                    double blur_px,
                                    int most,
                                    double least_noise) {
  const EdgeField half = Halved(frame);
  std::vector<Turned> turned;
  const Point middle((photo.cols() - 1) / 2.0, (photo.rows() - 1) / 2.0);
  std::vector<PhotoMatch> all;
  const double frame_diagonal = std::hypot(frame.size().width, frame.size().height);
  const double photo_diagonal = std::hypot(photo.cols(), photo.rows());
  const double ratio = options.most_frames / options.least_frames;
  const int scales = static_cast<int>(std::ceil(std::log(ratio) / std::log(kScaleStep)));
  cv::Size largest;
  double turn_deg = 0;
  for (int k = 0; k <= scales; ++k) {
    const double frames = options.least_frames * std::pow(kScaleStep, k);
    // Frame pixels per photo pixel.
    const double scale = frames * frame_diagonal / photo_diagonal;
    const cv::Size size(static_cast<int>(photo.cols() * scale),
                        static_cast<int>(photo.rows() * scale));
    const cv::Matx33d straight_from_small(1 / scale,
                                          0,
                                          middle.x - (size.width - 1) / (2 * scale),
                                          0,
                                          1 / scale,
                                          middle.y - (size.height - 1) / (2 * scale),
                                          0,
                                          0,
                                          1);
    const PlaneMap photo_from_small{photo_from_straight.matrix * straight_from_small};
    const StaticView view = SeenThrough(photo, photo_from_small, size);
    const EdgeField edges = Halved(MakeEdges(view.picture_k, view.seen, blur_px, least_noise));
    if (turned.empty()) {
      turn_deg = MainTurnDeg(edges) - MainTurnDeg(frame);
      turn_deg -= 90 * std::round(turn_deg / 90);
      for (int quarter = 0; quarter < 4; ++quarter) {
        for (int r = -kTurnSteps; r <= kTurnSteps; ++r) {
          turned.push_back(Turn(half, turn_deg + 90 * quarter + kTurnStepDeg * r));
          const cv::Size size_px = turned.back().edges.size();
          largest = {std::max(largest.width, size_px.width),
                     std::max(largest.height, size_px.height)};
        }
      }
    }
    const Correlator correlator(edges, largest);
    const PlaneMap photo_from_half{photo_from_small.matrix * FullFromHalf()};
    for (const Turned& t : turned) correlator.AddPeaks(t, photo_from_half, all);
  }
  // Maps are so far from the frame's half; from its pixels to the photo's.
  for (PhotoMatch& match : all) {
    const cv::Matx33d m = match.photo_from_frame.matrix * FullFromHalf().inv();
    match.photo_from_frame.matrix = m * (1 / m(2, 2));
  }
  return Distinct(std::move(all), frame.size(), most);
}

}  // namespace ohmglow
