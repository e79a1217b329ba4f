// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_search.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "align/body_evidence.h"
#include "align/body_rectangles.h"
#include "align/body_slopes.h"
#include "align/map_candidates.h"
#include "align/photo_search.h"
#include "base/best_apart.h"

namespace ohmglow {
namespace {

constexpr double kLeastPxPerMm = 3;
constexpr double kMostPxPerMm = 4;
constexpr double kMostSidePx = 1400;
constexpr int kLeastSidePx = 16;
constexpr double kBlurPx = 1.2;
// Places are told apart to this.
constexpr int kCellPx = 3;
constexpr double kScaleStep = 0.035;
constexpr double kTurnStepDeg = 1;
constexpr int kTurnSteps = 1;
constexpr int kPeaksATurn = 2;
constexpr int kPeakCells = 3;
constexpr double kOtherMm = 2;

// The picture turned so that the board's edges run along rows and columns.
struct Straight {
  StaticView view;
  cv::Matx33d picture_from_straight;
};

Straight Straighten(const PhotoLevels& picture, double turn_deg, double px_per_px) {
  const double a = turn_deg * std::numbers::pi / 180;
  const double c = std::cos(a);
  const double s = std::sin(a);
  const double w = picture.cols();
  const double h = picture.rows();
  const cv::Size size(static_cast<int>(px_per_px * (std::abs(c) * w + std::abs(s) * h)),
                      static_cast<int>(px_per_px * (std::abs(s) * w + std::abs(c) * h)));
  const Point to((size.width - 1) / 2.0, (size.height - 1) / 2.0);
  const cv::Matx33d from_middle(1, 0, -to.x, 0, 1, -to.y, 0, 0, px_per_px);
  const cv::Matx33d turned(c, -s, (w - 1) / 2, s, c, (h - 1) / 2, 0, 0, 1);
  Straight out;
  out.picture_from_straight = turned * from_middle;
  out.view = SeenThrough(picture, PlaneMap{out.picture_from_straight}, size);
  return out;
}

int Odd(double length) { return 2 * static_cast<int>(std::lround(0.5 * (length - 1))) + 1; }

Image Moved(const Image& image, int right, int down) {
  Image out(image.size(), 0.0F);
  const cv::Rect all({}, image.size());
  const cv::Rect to = all & cv::Rect(cv::Point(right, down), image.size());
  if (!to.empty()) image(to - cv::Point(right, down)).copyTo(out(to));
  return out;
}

// How much the two sides that a slope crosses are edges of one sign, about each place.
struct SidePair {
  cv::Mat brighter, darker;  // Inside.
};

SidePair PairSides(const Image& slope, int length, int side_length, bool upright) {
  const int along = std::max(1, Odd(kBodyAlong * side_length));
  Image mean, most, least;
  cv::blur(slope, mean, upright ? cv::Size(1, along) : cv::Size(along, 1));
  const cv::Mat off = cv::Mat::ones(upright ? 1 : 3, upright ? 3 : 1, CV_8U);
  cv::dilate(mean, most, off);
  cv::erode(mean, least, off);
  const int before = length / 2;
  const int after = length - before;
  const auto at = [&](const Image& image, int shift) {
    return upright ? Moved(image, shift, 0) : Moved(image, 0, shift);
  };
  return {cv::Mat(at(most, before) - at(least, -after)),
          cv::Mat(at(most, -after) - at(least, before))};
}

// How rare a cell's best outline of a shape is among the cells.
Image CellEvidence(const BodySlopes& slopes, const Mask& seen, const BodyShape& shape) {
  const SidePair x = PairSides(slopes.x, shape.width, shape.height, true);
  const SidePair y = PairSides(slopes.y, shape.height, shape.width, false);
  const cv::Mat brighter = x.brighter + y.brighter;
  const cv::Mat darker = x.darker + y.darker;
  Image best;
  best = cv::max(brighter, darker);
  cv::dilate(best, best, cv::Mat::ones(kCellPx, kCellPx, CV_8U));
  Image cells(best.rows / kCellPx, best.cols / kCellPx, 0.0F);
  std::vector<float> all;
  const auto each_cell = [&](const auto& act) {
    for (int row = 0; row < cells.rows; ++row) {
      for (int col = 0; col < cells.cols; ++col) {
        const cv::Point p(col * kCellPx + kCellPx / 2, row * kCellPx + kCellPx / 2);
        if (seen(p) != 0) act(best(p), cells(row, col));
      }
    }
  };
  each_cell([&](float value, float&) { all.push_back(value); });
  std::sort(all.begin(), all.end());
  each_cell([&](float value, float& cell) {
    const auto above = all.end() - std::lower_bound(all.begin(), all.end(), value);
    cell = static_cast<float>(
        RarityEvidence((1 + static_cast<double>(above)) / (1 + static_cast<double>(all.size()))));
  });
  return cells;
}

struct Found {
  double evidence = 0;
  PlaneMap picture_from_board;
};

class TurnSearch {
 public:
  TurnSearch(const PhotoLevels& picture,
             const std::vector<cv::Rect2d>& bodies,
             double mm_per_px,
             double turn_deg)
      : bodies_(bodies), all_(RectangleAround(bodies)) {
    const double longer_mm = mm_per_px * std::max(picture.cols(), picture.rows());
    px_per_mm_ =
        std::min(std::clamp(1 / mm_per_px, kLeastPxPerMm, kMostPxPerMm), kMostSidePx / longer_mm);
    straight_ = Straighten(picture, turn_deg, px_per_mm_ * mm_per_px);
    const cv::Size size = straight_.view.seen.size();
    if (std::min(size.width, size.height) < kLeastSidePx) return;
    const BodySlopes slopes =
        SlopesOver(straight_.view.picture_k, straight_.view.seen, kBlurPx, kThermalLook.noises);
    for (const bool quarter : {false, true}) {
      for (const cv::Rect2d& body : bodies) {
        const BodyShape shape = ShapeOf(body, quarter);
        Image& cells = cells_[shape];
        if (cells.empty()) cells = CellEvidence(slopes, straight_.view.seen, shape);
      }
    }
  }

  // The best places at a scale, a quarter turn and a hand.
  void Add(double scale, int quarter, bool mirrored, std::vector<Found>& out) const {
    if (cells_.empty()) return;
    const cv::Matx22d turn = TurnOf(scale, quarter, mirrored);
    const bool turned = quarter % 2 == 1;
    const Point middle = 0.5 * (all_.tl() + all_.br());
    // The list's middle may lie beyond the picture.
    const auto half = [&](double mm) {
      return static_cast<int>(0.5 * mm * scale * px_per_mm_ / kCellPx);
    };
    const cv::Point room(half(turned ? all_.height : all_.width),
                         half(turned ? all_.width : all_.height));
    const cv::Size cells = cells_.begin()->second.size();
    Image sum(cells.height + 2 * room.y, cells.width + 2 * room.x, 0.0F);
    for (const cv::Rect2d& body : bodies_) {
      const Point at = 0.5 * (body.tl() + body.br()) - middle;
      const cv::Vec2d d = turn * cv::Vec2d(at.x, at.y) * (1.0 / kCellPx);
      const Image& own = cells_.at(ShapeOf(body, turned));
      const cv::Point shift = room - cv::Point(static_cast<int>(std::lround(d[0])),
                                               static_cast<int>(std::lround(d[1])));
      const cv::Rect to = cv::Rect(shift, own.size()) & cv::Rect({}, sum.size());
      if (!to.empty()) sum(to) += own(to - shift);
    }
    for (int n = 0; n < kPeaksATurn; ++n) {
      double best = 0;
      cv::Point p;
      cv::minMaxLoc(sum, nullptr, &best, nullptr, &p);
      if (!(best > 0)) return;
      cv::circle(sum, p, kPeakCells, -1e9, cv::FILLED);
      const Point to = Point(p - room) * kCellPx + Point(1, 1) * (0.5 * (kCellPx - 1));
      out.push_back({best, PictureFromBoard(turn, to, middle)});
    }
  }

 private:
  [[nodiscard]] cv::Matx22d TurnOf(double scale, int quarter, bool mirrored) const {
    const double k = scale * px_per_mm_;
    const double c = std::array<double, 4>{1, 0, -1, 0}[static_cast<std::size_t>(quarter)];
    const double s = std::array<double, 4>{0, 1, 0, -1}[static_cast<std::size_t>(quarter)];
    const double hand = mirrored ? -1 : 1;
    return {k * c * hand, -k * s, k * s * hand, k * c};
  }

  // Turned about the list's middle, which comes to lie at a place of the straight picture.
  [[nodiscard]] PlaneMap PictureFromBoard(const cv::Matx22d& turn, Point to, Point middle) const {
    const cv::Vec2d moved = turn * cv::Vec2d(middle.x, middle.y);
    const cv::Matx33d straight_from_board(
        turn(0, 0), turn(0, 1), to.x - moved[0], turn(1, 0), turn(1, 1), to.y - moved[1], 0, 0, 1);
    const cv::Matx33d map = straight_.picture_from_straight * straight_from_board;
    return PlaneMap{map * (1 / map(2, 2))};
  }

  [[nodiscard]] BodyShape ShapeOf(const cv::Rect2d& body, bool quarter) const {
    const int w = std::max(2, static_cast<int>(std::lround(body.width * px_per_mm_)));
    const int h = std::max(2, static_cast<int>(std::lround(body.height * px_per_mm_)));
    return quarter ? BodyShape{h, w} : BodyShape{w, h};
  }

  const std::vector<cv::Rect2d>& bodies_;
  cv::Rect2d all_;
  double px_per_mm_ = 1;
  Straight straight_;
  std::map<BodyShape, Image> cells_;
};

}  // namespace

std::vector<PlaneMap> SearchBodies(const PhotoLevels& picture,
                                   const Mask& seen,
                                   const std::vector<cv::Rect2d>& bodies_mm,
                                   const BodySearch& how) {
  const double main_deg = MainTurnDeg(MakeEdges(picture.full(), seen, kEdgeBlurPx));
  std::vector<Found> found;
  for (int r = -kTurnSteps; r <= kTurnSteps; ++r) {
    const TurnSearch search(picture, bodies_mm, how.mm_per_px, main_deg + r * kTurnStepDeg);
    for (double scale = 1 - how.within; scale < 1 + how.within + 0.5 * kScaleStep;
         scale += kScaleStep) {
      for (int quarter = 0; quarter < 4; ++quarter) {
        for (const bool mirrored : {false, true}) search.Add(scale, quarter, mirrored, found);
      }
    }
  }
  const auto same = [&](const Found& a, const Found& b) {
    return ApartMm(a.picture_from_board, b.picture_from_board, bodies_mm) < kOtherMm;
  };
  std::vector<PlaneMap> out;
  for (const Found& one : BestApart(std::move(found), how.most, &Found::evidence, same)) {
    out.push_back(one.picture_from_board);
  }
  return out;
}

}  // namespace ohmglow
