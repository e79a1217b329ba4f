// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_evidence.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "align/body_rectangles.h"
#include "align/body_slopes.h"

namespace ohmglow {
namespace {

constexpr double kPxPerMm = 6;
constexpr double kMostSidePx = 700;
constexpr double kMarginMm = 2;
constexpr double kBlurPx = 0.8;
// A side may also lie off by what the list's size is wrong.
constexpr double kSizeShare = 0.06;
constexpr int kPlacesASide = 45;
// A body shows with this probability; then its rarity p has the density kRare p^(kRare - 1).
constexpr double kShows = 0.85;
constexpr double kRare = 0.3;

SideSums SumSlopes(const BodySlopes& slopes) {
  SideSums sums{cv::Mat_<float>(slopes.x.rows + 1, slopes.x.cols, 0.0F),
                cv::Mat_<float>(slopes.x.cols + 1, slopes.x.rows, 0.0F)};
  for (int r = 0; r < slopes.x.rows; ++r) {
    for (int c = 0; c < slopes.x.cols; ++c) {
      sums.down(r + 1, c) = sums.down(r, c) + slopes.x(r, c);
      sums.across(c + 1, r) = sums.across(c, r) + slopes.y(r, c);
    }
  }
  return sums;
}

struct Extremes {
  float least = 1;
  float most = -1;
};

// Mean slope along a side, over the ways it may lie off.
Extremes AlongSide(const cv::Mat_<float>& sums, int place, int first, int last, int off) {
  Extremes out;
  const auto length = static_cast<float>(last - first);
  for (int at = std::max(0, place - off); at <= std::min(sums.cols - 1, place + off); ++at) {
    const float mean = (sums(last, at) - sums(first, at)) / length;
    out.least = std::min(out.least, mean);
    out.most = std::max(out.most, mean);
  }
  return out;
}

// How much all four sides are edges of one sign, -1 .. 1.
float Outlined(const SideSums& sums, const BodyShape& shape, Point center, double off_px) {
  const auto span = [](double middle, int length, int most) {
    const int half = std::max(1, static_cast<int>(std::lround(0.5 * kBodyAlong * length)));
    const int at = static_cast<int>(std::lround(middle));
    return std::pair(std::clamp(at - half, 0, most - 2), std::clamp(at + half + 1, 2, most));
  };
  const auto off = [&](int length) {
    return static_cast<int>(std::lround(off_px + kSizeShare * length));
  };
  const auto [top, bottom] = span(center.y, shape.height, sums.down.rows - 1);
  const auto [left, right] = span(center.x, shape.width, sums.across.rows - 1);
  const auto side = [](double middle, int length, int sign) {
    return static_cast<int>(std::lround(middle + 0.5 * sign * length));
  };
  const Extremes l =
      AlongSide(sums.down, side(center.x, shape.width, -1), top, bottom, off(shape.width));
  const Extremes r =
      AlongSide(sums.down, side(center.x, shape.width, 1), top, bottom, off(shape.width));
  const Extremes t =
      AlongSide(sums.across, side(center.y, shape.height, -1), left, right, off(shape.height));
  const Extremes b =
      AlongSide(sums.across, side(center.y, shape.height, 1), left, right, off(shape.height));
  const float brighter = l.most - r.least + t.most - b.least;
  const float darker = r.most - l.least + b.most - t.least;
  return 0.25F * std::max(brighter, darker);
}

// What places all over the view have of a shape, in order.
std::vector<float> Anywhere(const SideSums& sums,
                            const Mask& seen,
                            const BodyShape& shape,
                            double off_px) {
  std::vector<float> out;
  for (int j = 0; j < kPlacesASide; ++j) {
    for (int i = 0; i < kPlacesASide; ++i) {
      const Point at((i + 0.5) / kPlacesASide * seen.cols, (j + 0.5) / kPlacesASide * seen.rows);
      if (seen(static_cast<int>(at.y), static_cast<int>(at.x)) == 0) continue;
      out.push_back(Outlined(sums, shape, at, off_px));
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

double LogRatio(float value, const std::vector<float>& anywhere) {
  const auto above = static_cast<double>(anywhere.end() -
                                         std::lower_bound(anywhere.begin(), anywhere.end(), value));
  return RarityEvidence((1 + above) / (1 + static_cast<double>(anywhere.size())));
}

}  // namespace

double RarityEvidence(double share) {
  return std::log(kShows * kRare * std::pow(share, kRare - 1) + 1 - kShows);
}

BodyView::BodyView(const PhotoLevels& picture,
                   const PlaneMap& picture_from_board,
                   const std::vector<cv::Rect2d>& bodies_mm,
                   const BodyLook& look)
    : picture_from_board_(picture_from_board) {
  const cv::Rect2d all = RectangleAround(bodies_mm);
  const double longest_mm = std::max(all.width, all.height) + 2 * kMarginMm;
  px_per_mm_ = std::min(kPxPerMm, kMostSidePx / longest_mm);
  // A list of a long strip is left a line at least two pixels wide: sides have two ends.
  const auto pixels = [&](double mm) {
    return std::max(2, static_cast<int>(std::ceil((mm + 2 * kMarginMm) * px_per_mm_)));
  };
  const cv::Size size(pixels(all.width), pixels(all.height));
  const Point corner = all.tl() - Point(kMarginMm, kMarginMm);
  board_from_view_ = {1 / px_per_mm_, 0, corner.x, 0, 1 / px_per_mm_, corner.y, 0, 0, 1};
  view_ = SeenThrough(picture, PlaneMap{picture_from_board.matrix * board_from_view_}, size);
  const PlaneMap picture_from_view{picture_from_board.matrix * board_from_view_};
  const cv::Matx22d scale = picture_from_view.Jacobian(0.5 * Point(size));
  const double own_px = 1 / std::sqrt(std::max(1e-9, std::abs(cv::determinant(scale))));
  const double blur_px = std::max(kBlurPx, look.blur_own_px * own_px);
  sums_ = SumSlopes(SlopesOver(view_.picture_k, {}, blur_px, look.noises));
  std::map<BodyShape, std::size_t> known;
  for (const cv::Rect2d& body : bodies_mm) {
    const Point center = (body.tl() - corner + 0.5 * Point(body.width, body.height)) * px_per_mm_;
    const cv::Point at(center);
    if (!cv::Rect({}, size).contains(at) || view_.seen(at.y, at.x) == 0) continue;
    const BodyShape shape{static_cast<int>(std::lround(body.width * px_per_mm_)),
                          static_cast<int>(std::lround(body.height * px_per_mm_))};
    const auto [place, is_new] = known.try_emplace(shape, shapes_.size());
    if (is_new) shapes_.push_back(shape);
    bodies_.push_back({center, place->second});
  }
  Allow(kBodyOffMm);
}

void BodyView::Allow(double off_mm) {
  off_px_ = off_mm * px_per_mm_;
  anywhere_.clear();
  for (const BodyShape& shape : shapes_) {
    anywhere_.push_back(Anywhere(sums_, view_.seen, shape, off_px_));
  }
}

double BodyView::Evidence(const PlaneMap& moved) const {
  double sum = 0;
  for (const Body& body : bodies_) {
    const std::vector<float>& places = anywhere_[body.shape];
    if (places.empty()) continue;
    sum +=
        LogRatio(Outlined(sums_, shapes_[body.shape], moved.Apply(body.center), off_px_), places);
  }
  return sum;
}

std::vector<BodyView::Vote> BodyView::Votes(const PlaneMap& moved, double reach_mm) const {
  const int reach = static_cast<int>(std::lround(reach_mm * px_per_mm_));
  std::vector<Vote> votes;
  for (const Body& body : bodies_) {
    if (anywhere_[body.shape].empty()) continue;
    const Point at = moved.Apply(body.center);
    float most = -2;
    Point sum(0, 0);
    int count = 0;
    for (int y = -reach; y <= reach; ++y) {
      for (int x = -reach; x <= reach; ++x) {
        const float value = Outlined(sums_, shapes_[body.shape], at + Point(x, y), off_px_);
        if (value < most) continue;
        if (value > most) {
          sum = {0, 0};
          count = 0;
        }
        most = value;
        sum += Point(x, y);
        ++count;
      }
    }
    votes.push_back({at, sum / count, LogRatio(most, anywhere_[body.shape])});
  }
  return votes;
}

std::vector<Point> BodyView::Places() const {
  std::vector<Point> places;
  for (const Body& body : bodies_) places.push_back(body.center);
  return places;
}

PlaneMap BodyView::PictureFromBoard(const PlaneMap& moved) const {
  const cv::Matx33d m =
      picture_from_board_.matrix * board_from_view_ * moved.matrix * board_from_view_.inv();
  return PlaneMap{m * (1 / m(2, 2))};
}

double BodyEvidence(const PhotoLevels& picture,
                    const PlaneMap& picture_from_board,
                    const std::vector<cv::Rect2d>& bodies_mm) {
  return BodyView(picture, picture_from_board, bodies_mm, kPhotoLook).Evidence();
}

}  // namespace ohmglow
