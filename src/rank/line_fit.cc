// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "rank/line_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include "base/decompose.h"
#include "rank/patchy_noise.h"

namespace ohmglow {
namespace {

// Pixels are read in blocks about so large: blur and copper leave nothing finer.
constexpr double kBlockMm = 0.6;
// Points that stand for a line lie no farther apart.
constexpr double kApartMm = 0.6;
// Tried first, all with all; then steps from the best, half as large each time.
constexpr int kNumAngles = 8;
constexpr std::array kLengthsMm = {4.0, 7.0, 11.0, 16.0};
constexpr int kRefinements = 4;
constexpr double kLeastMm = 2;
constexpr double kMostMm = 25;
// How far beside a line its warmest place may lie, by patches of copper.
constexpr double kMostAcrossMm = 1.2;
// Radial courses that make up all profiles, nearly.
constexpr Eigen::Index kNumRadial = 8;
// Numbers to fit, below which nothing is asked.
constexpr double kLeastData = 50;
// A round source's middle may lie this far off the place, per axis.
constexpr std::array kOffMm = {-1.2, -0.6, 0.0, 0.6, 1.2};
// Shorter lines are chips, or bent by patches of copper.
constexpr double kLeastTrackMm = 6;
constexpr double kSureLine = 3;
constexpr double kNoLine = -30;
// Lists are off by pins and paste.
constexpr double kOutlineMm = 0.5;

// A straight piece, seen from the place that is asked [mm].
struct Piece {
  Point middle_mm;
  double angle_rad = 0;
  double length_mm = 0;
};

std::vector<Point> PointsOfPiece(const Piece& piece) {
  const int count = std::max(1, static_cast<int>(std::ceil(piece.length_mm / kApartMm)));
  const Point along(std::cos(piece.angle_rad), std::sin(piece.angle_rad));
  std::vector<Point> points;
  for (int i = 0; i < count; ++i) {
    const double share = (i + 0.5) / count - 0.5;
    points.push_back(piece.middle_mm + share * piece.length_mm * along);
  }
  return points;
}

// Means over blocks of pixels around the place.
struct Blocks {
  Eigen::MatrixXd course;  // modes x blocks, less what all have in common
  Eigen::VectorXd weight;  // pixels of each
  std::vector<Point> at_mm;
};

Blocks ReadBlocks(const Eigen::MatrixXf& modes, const Mask& seen, const LineQuestion& question) {
  const double mm = question.mm_per_pixel;
  const int side = std::max(1, static_cast<int>(std::lround(kBlockMm / mm)));
  const int reach = static_cast<int>(question.reach_mm / (mm * side));
  const cv::Point middle(cvRound(question.at_px.x), cvRound(question.at_px.y));
  const cv::Rect frame({0, 0}, seen.size());
  std::vector<Eigen::VectorXd> means;
  std::vector<double> counts;
  Blocks blocks;
  for (int j = -reach; j <= reach; ++j) {
    for (int i = -reach; i <= reach; ++i) {
      if (mm * side * std::hypot(i, j) > question.reach_mm) continue;
      const cv::Point corner = middle + side * cv::Point(i, j) - cv::Point(side / 2, side / 2);
      const cv::Rect box = cv::Rect(corner, cv::Size(side, side)) & frame;
      Eigen::VectorXd sum = Eigen::VectorXd::Zero(modes.rows());
      Point at;
      double count = 0;
      for (int y = box.y; y < box.y + box.height; ++y) {
        for (int x = box.x; x < box.x + box.width; ++x) {
          if (seen(y, x) == 0) continue;
          sum += modes.col(y * seen.cols + x).cast<double>();
          at += Point(x, y);
          count += 1;
        }
      }
      if (count == 0) continue;
      means.emplace_back(sum / count);
      counts.push_back(count);
      blocks.at_mm.push_back(mm * (at * (1 / count) - question.at_px));
    }
  }
  const auto num = static_cast<Eigen::Index>(means.size());
  blocks.course.resize(modes.rows(), num);
  blocks.weight.resize(num);
  for (Eigen::Index i = 0; i < num; ++i) {
    blocks.course.col(i) = means[static_cast<std::size_t>(i)];
    blocks.weight(i) = counts[static_cast<std::size_t>(i)];
  }
  const Eigen::VectorXd common = blocks.course * blocks.weight / blocks.weight.sum();
  blocks.course.colwise() -= common;
  return blocks;
}

// Orthonormal radial courses that all profiles are made of: radii x courses.
Eigen::MatrixXd RadialBasis(const std::vector<Eigen::MatrixXd>& rises) {
  const Eigen::Index num_radii = rises.front().cols();
  Eigen::MatrixXd gram = Eigen::MatrixXd::Zero(num_radii, num_radii);
  for (const Eigen::MatrixXd& rise : rises) {
    gram += rise.transpose() * rise / std::max(rise.squaredNorm(), 1e-30);
  }
  return ModesOf(gram).vectors.rightCols(std::min<Eigen::Index>(kNumRadial, num_radii));
}

// One profile and what its fit needs of it, in the radial basis.
struct Profile {
  Eigen::MatrixXd rise;  // modes x radial courses
  Eigen::MatrixXd gram;  // of these
};

struct Found {
  Piece piece;
  double chi2 = 0;
  double power = 0;  // times the profile
  std::size_t profile = 0;
};

// Profiles against the blocks. Where a piece lies says how each block sees every radial course:
// a small matrix does for all profiles.
class PieceFit {
 public:
  PieceFit(const Blocks& blocks, double step_mm, std::vector<Eigen::MatrixXd> rises)
      : blocks_(blocks), step_mm_(step_mm) {
    weighted_ = blocks.course * blocks.weight.asDiagonal();
    whole_ = (weighted_.array() * blocks.course.array()).sum();
    // The outermost stands for all beyond.
    for (Eigen::MatrixXd& rise : rises) rise.colwise() -= Eigen::VectorXd(rise.rightCols(1));
    const Eigen::MatrixXd basis = RadialBasis(rises);
    radial_ = basis.transpose();
    for (const Eigen::MatrixXd& rise : rises) {
      const Eigen::MatrixXd part = rise * basis;
      profiles_.push_back({part, part.transpose() * part});
    }
  }

  // Of the profiles from `first` on.
  [[nodiscard]] Found Best(const Piece& piece, std::size_t first) const {
    const Eigen::MatrixXd seen = Seen(piece);
    const Eigen::MatrixXd match = weighted_ * seen.transpose();
    const Eigen::VectorXd common = seen * blocks_.weight;
    Eigen::MatrixXd spread = seen * blocks_.weight.asDiagonal() * seen.transpose();
    spread -= common * common.transpose() / blocks_.weight.sum();
    Found best{piece, whole_, 0, first};
    for (std::size_t i = first; i < profiles_.size(); ++i) {
      const double strength = (profiles_[i].gram.array() * spread.array()).sum();
      const double product = (profiles_[i].rise.array() * match.array()).sum();
      if (strength <= 0 || product <= 0) continue;
      const double chi2 = whole_ - product * product / strength;
      if (chi2 < best.chi2) best = {piece, chi2, product / strength, i};
    }
    return best;
  }

 private:
  // What each block has of the radial courses, from all points of the piece.
  [[nodiscard]] Eigen::MatrixXd Seen(const Piece& piece) const {
    const std::vector<Point> points = PointsOfPiece(piece);
    const double each = 1.0 / static_cast<double>(points.size());
    const double last = static_cast<double>(radial_.cols() - 1) - 1e-9;
    Eigen::MatrixXd seen = Eigen::MatrixXd::Zero(radial_.rows(), blocks_.weight.size());
    for (Eigen::Index b = 0; b < seen.cols(); ++b) {
      const Point at = blocks_.at_mm[static_cast<std::size_t>(b)];
      for (const Point& point : points) {
        const double r = std::min(last, std::hypot(at.x - point.x, at.y - point.y) / step_mm_);
        const auto low = static_cast<Eigen::Index>(r);
        const double share = r - static_cast<double>(low);
        seen.col(b) += each * ((1 - share) * radial_.col(low) + share * radial_.col(low + 1));
      }
    }
    return seen;
  }

  const Blocks& blocks_;
  double step_mm_;
  Eigen::MatrixXd weighted_;
  double whole_ = 0;
  Eigen::MatrixXd radial_;  // courses x radii
  std::vector<Profile> profiles_;
};

Found BestRound(const PieceFit& fit) {
  std::optional<Found> best;
  for (const double x : kOffMm) {
    for (const double y : kOffMm) {
      const Found one = fit.Best({{x, y}, 0, 0}, 0);
      if (!best || one.chi2 < best->chi2) best = one;
    }
  }
  return *best;
}

// Steps of a piece's middle, direction and length, smaller each time.
std::vector<Piece> Neighbours(const Piece& piece, int refinement) {
  const double step = std::pow(0.5, refinement);
  const Point along(std::cos(piece.angle_rad), std::sin(piece.angle_rad));
  const Point across(-along.y, along.x);
  std::vector<Piece> out;
  for (const double sign : {-1.0, 1.0}) {
    Piece one = piece;
    one.middle_mm += sign * step * 0.25 * piece.length_mm * along;
    out.push_back(one);
    one = piece;
    one.middle_mm += sign * step * across;
    out.push_back(one);
    one = piece;
    one.angle_rad += sign * step * 0.5 * std::numbers::pi / kNumAngles;
    out.push_back(one);
    one = piece;
    one.length_mm = std::clamp(piece.length_mm * std::exp(sign * step * 0.25), kLeastMm, kMostMm);
    out.push_back(one);
  }
  return out;
}

// The place is the warmest of the line: near its middle, and on it.
bool HoldsPlace(const Piece& piece) {
  const Point along(std::cos(piece.angle_rad), std::sin(piece.angle_rad));
  return std::abs(piece.middle_mm.dot(along)) <= piece.length_mm / 3 &&
         std::abs(piece.middle_mm.cross(along)) <= kMostAcrossMm;
}

Found BestLine(const PieceFit& fit) {
  std::optional<Found> best;
  for (int i = 0; i < kNumAngles; ++i) {
    for (const double length_mm : kLengthsMm) {
      const Found one = fit.Best({{}, std::numbers::pi * i / kNumAngles, length_mm}, 1);
      if (!best || one.chi2 < best->chi2) best = one;
    }
  }
  for (int refinement = 0; refinement < kRefinements; ++refinement) {
    const Piece from = best->piece;
    for (const Piece& piece : Neighbours(from, refinement)) {
      if (!HoldsPlace(piece)) continue;
      const Found one = fit.Best(piece, 1);
      if (one.chi2 < best->chi2) best = one;
    }
  }
  return *best;
}

}  // namespace

HeatLine FitLine(const Eigen::MatrixXf& modes, const Mask& seen, const LineQuestion& question) {
  HeatLine line;
  if (question.points_k_w.empty() || question.round_k.size() == 0) return line;
  const Blocks blocks = ReadBlocks(modes, seen, question);
  const double num_data = static_cast<double>(blocks.course.size());
  if (num_data < kLeastData) return line;
  std::vector<Eigen::MatrixXd> rises = {question.round_k};
  rises.insert(rises.end(), question.points_k_w.begin(), question.points_k_w.end());
  const PieceFit fit(blocks, question.radius_step_mm, std::move(rises));
  const Found round = BestRound(fit);
  const Found best = BestLine(fit);
  if (best.power <= 0) return line;
  const double noise2 = PatchyNoise(std::min(best.chi2, round.chi2), num_data, question.noise_k);
  line.length_mm = best.piece.length_mm;
  line.angle_rad = best.piece.angle_rad;
  line.middle_px = question.at_px + best.piece.middle_mm * (1 / question.mm_per_pixel);
  line.power_w = best.power;
  line.log_over_round = 0.5 * (round.chi2 - best.chi2) / noise2;
  line.profile_k = best.power * question.points_k_w[best.profile - 1];
  return line;
}

double LogLine(const HeatLine& line) {
  return line.length_mm > kLeastTrackMm ? line.log_over_round - kSureLine : kNoLine;
}

bool IsLine(const HeatLine& line) { return LogLine(line) > 0; }

std::vector<Point> PointsOf(const HeatLine& line, double mm_per_pixel) {
  std::vector<Point> points = PointsOfPiece({{}, line.angle_rad, line.length_mm});
  for (Point& point : points) point = line.middle_px + point * (1 / mm_per_pixel);
  return points;
}

bool InOnePart(const HeatLine& line,
               double mm_per_pixel,
               const PlaneMap& board_from_frame,
               const std::vector<Part>& parts,
               BoardSide side) {
  const Point half_px = 0.5 * line.length_mm / mm_per_pixel *
                        Point(std::cos(line.angle_rad), std::sin(line.angle_rad));
  const Point first_mm = board_from_frame.Apply(line.middle_px - half_px);
  const Point last_mm = board_from_frame.Apply(line.middle_px + half_px);
  return std::any_of(parts.begin(), parts.end(), [&](const Part& part) {
    const auto holds = [&](Point at_mm) {
      return std::abs(at_mm.x - part.center_mm.x) <= 0.5 * part.width_mm + kOutlineMm &&
             std::abs(at_mm.y - part.center_mm.y) <= 0.5 * part.height_mm + kOutlineMm;
    };
    return part.side == side && holds(first_mm) && holds(last_mm);
  });
}

double FromLinePx(const HeatLine& line, double mm_per_pixel, Point at_px) {
  const Point along(std::cos(line.angle_rad), std::sin(line.angle_rad));
  const Point off = at_px - line.middle_px;
  const double half_px = 0.5 * line.length_mm / mm_per_pixel;
  const double nearest_px = std::clamp(off.dot(along), -half_px, half_px);
  return cv::norm(off - nearest_px * along);
}

}  // namespace ohmglow
