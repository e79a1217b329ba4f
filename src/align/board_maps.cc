// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/align/board_maps.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <utility>

#include "align/photo_fit.h"
#include "base/larger_pixels.h"
#include "ohmglow/base/error.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr double kLineRatio = 0.02;  // Spread across against spread along.
// The F distribution with 2 and 6 degrees of freedom exceeds 27 once in a thousand.
constexpr double kWrongSigmas = 5.2;
constexpr double kAssumedSigmaPx = 0.5;  // Of a landmark in the frame; common practice, no source.
constexpr double kAssumedFreedom = 4;
// With five, each left out is foretold by an exact fit to the four others, which
// says more about their errors than about the map.
constexpr std::size_t kLeastForChoice = 6;
constexpr std::size_t kLeastForLens = 8;
// Squared error by which a map with a lens must predict better.
constexpr double kLeastGain = 0.9;

// Spread across the best line through the points against spread along it.
double Flatness(const PointPairs& pairs, Point PointPair::*side) {
  std::vector<Point> points;
  for (const PointPair& p : pairs) points.push_back(p.*side);
  const Normaliser n(points);
  double xx = 0, xy = 0, yy = 0;
  for (const Point& p : points) {
    const Point q = n.Apply(p);
    xx += q.x * q.x;
    xy += q.x * q.y;
    yy += q.y * q.y;
  }
  const double middle = 0.5 * (xx + yy);
  const double swing = std::hypot(0.5 * (xx - yy), xy);
  return middle + swing > 0 ? std::sqrt(std::max(0.0, middle - swing) / (middle + swing)) : 0;
}

bool OnALine(const PointPairs& pairs) {
  return Flatness(pairs, &PointPair::from) < kLineRatio ||
         Flatness(pairs, &PointPair::to) < kLineRatio;
}

double Misfit(const PointFit& fit, const PointPair& pair) {
  return cv::norm(fit.Apply(pair.from) - pair.to);
}

// Target units per frame pixel.
double TargetScale(const PointPairs& pairs) {
  std::vector<Point> from, to;
  for (const PointPair& p : pairs) {
    from.push_back(p.from);
    to.push_back(p.to);
  }
  return Normaliser(from).scale / Normaliser(to).scale;
}

// Standard deviation of one coordinate of a landmark: what is assumed counts
// as kAssumedFreedom residuals, lest few residuals that happen to be small
// accuse a good landmark.
double CautiousSigma(const PointFit& fit, const PointPairs& pairs) {
  const int free = std::max(0, 2 * static_cast<int>(pairs.size()) - fit.num_parameters());
  const double assumed = kAssumedSigmaPx * TargetScale(pairs);
  const double sum = SquaredMisfit(fit, pairs) + kAssumedFreedom * assumed * assumed;
  return std::sqrt(sum / (free + kAssumedFreedom));
}

PointPairs Without(const PointPairs& pairs, std::size_t left_out) {
  PointPairs rest = pairs;
  rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(left_out));
  return rest;
}

// The most general map that this many pairs can accuse a landmark with.
MapKind JudgeKind(std::size_t num_pairs, cv::Size photo_size_px) {
  return num_pairs + 1 >= kLeastForLens && !photo_size_px.empty() ? MapKind::kLens
                                                                  : MapKind::kProjective;
}

// Where a landmark is wrong, the others agree best without it. Four of five
// agree exactly on some homography whichever is missing; then the least
// perspective tells, for a camera looks at a board about straight.
std::size_t FindSuspect(const PointPairs& pairs, MapKind kind, cv::Size photo_size_px) {
  double least = std::numeric_limits<double>::infinity();
  std::size_t suspect = 0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const PointPairs rest = Without(pairs, i);
    if (OnALine(rest)) continue;
    const PointFit fit(rest, kind, photo_size_px);
    const double score = rest.size() == 4 ? fit.Perspective() : SquaredMisfit(fit, rest);
    if (score < least) {
      least = score;
      suspect = i;
    }
  }
  return suspect;
}

struct Target {
  const char* where;
  RemarkKind left_out;
  const char* misfit;      // Name of its value, unit last.
  cv::Size photo_size_px;  // Empty: no lens.
};

// Leaves out a landmark that lies where the others forbid it.
void DropWrong(const Target& target, PointPairs& pairs, std::vector<Remark>& remarks) {
  if (pairs.size() < 5) return;
  const MapKind kind = JudgeKind(pairs.size() - 1, target.photo_size_px);
  const std::size_t suspect = FindSuspect(pairs, kind, target.photo_size_px);
  const PointPairs rest = Without(pairs, suspect);
  if (OnALine(rest)) return;
  const PointFit fit(rest, kind, target.photo_size_px);
  const double misfit = Misfit(fit, pairs[suspect]);
  const double variance = 2 + cv::trace(fit.Leverage(pairs[suspect].from));
  if (!(misfit > kWrongSigmas * CautiousSigma(fit, rest) * std::sqrt(variance))) return;
  // The header is row 1, as in the messages of the reader.
  remarks.push_back(Remark(target.left_out)
                        .With("row", static_cast<double>(pairs[suspect].row + 1))
                        .With(target.misfit, misfit));
  pairs = rest;
}

void RequireSpread(const Target& target, const PointPairs& pairs) {
  if (!OnALine(pairs)) return;
  throw DataError("the " + std::to_string(pairs.size()) +
                  " landmarks lie on a line in the frame "
                  "or " +
                  target.where + ": add one well beside it");
}

// Frames and photo show one side, so no map between them turns it over.
void RequireNotMirrored(const PlaneMap& photo_from_frame, const PointPairs& pairs) {
  Point middle;
  for (const auto& pair : pairs) middle += pair.from * (1.0 / static_cast<double>(pairs.size()));
  if (cv::determinant(photo_from_frame.Jacobian(middle)) >= 0) return;
  throw DataError(
      "the landmarks show the photo as a mirror image of the frames: see whether two of their "
      "columns are exchanged (frame_x and frame_y, or photo_x and photo_y), or whether the "
      "photo is mirrored");
}

// The map that predicts best; without a lens where there is little in it.
MapKind ChooseKind(const PointPairs& pairs, cv::Size photo_size_px) {
  if (pairs.size() < 4) return MapKind::kAffine;
  if (pairs.size() < kLeastForChoice) return MapKind::kProjective;
  MapKind chosen = MapKind::kProjective;
  double least = LeaveOneOutError(pairs, chosen, photo_size_px);
  const double affine = LeaveOneOutError(pairs, MapKind::kAffine, photo_size_px);
  if (least > affine) {
    chosen = MapKind::kAffine;
    least = affine;
  }
  if (pairs.size() < kLeastForLens || photo_size_px.empty()) return chosen;
  for (const MapKind kind : {MapKind::kLens, MapKind::kLensTwoTerms}) {
    if (!PointFit(pairs, kind, photo_size_px).Possible()) continue;
    const double error = LeaveOneOutError(pairs, kind, photo_size_px);
    if (!(error < kLeastGain * least)) continue;
    chosen = kind;
    least = error;
  }
  return chosen;
}

std::shared_ptr<const PointFit> FitTo(const Target& target,
                                      PointPairs& pairs,
                                      std::vector<Remark>& remarks) {
  RequireSpread(target, pairs);
  DropWrong(target, pairs, remarks);
  RequireSpread(target, pairs);
  const MapKind kind = ChooseKind(pairs, target.photo_size_px);
  return std::make_shared<const PointFit>(pairs, kind, target.photo_size_px);
}

}  // namespace

Point RadialLens::Apply(Point pinhole_px) const {
  const Point d = (pinhole_px - center_px) * (1 / radius_px);
  const double r2 = d.dot(d);
  return pinhole_px + (pinhole_px - center_px) * (r2 * (k1 + k2 * r2));
}

PlaceError::PlaceError(std::shared_ptr<const PointFit> fit, double sigma)
    : fit_(std::move(fit)), sigma_(sigma) {}

PlaceError PlaceError::OfPixels(int smaller) const {
  PlaceError finer = *this;
  finer.smaller_ *= smaller;
  return finer;
}

cv::Matx22d PlaceError::Covariance(Point frame_px) const {
  if (!fit_) return cv::Matx22d::zeros();
  return fit_->Leverage(ToBinned(frame_px, smaller_)) * (sigma_ * sigma_);
}

double PlaceError::Rms(Point frame_px) const { return std::sqrt(cv::trace(Covariance(frame_px))); }

Point BoardMaps::PhotoPlace(Point frame_px) const {
  const Point pinhole = photo_from_frame->Apply(frame_px);
  return photo_lens ? photo_lens->Apply(pinhole) : pinhole;
}

double BoardMaps::BoardErrorMm(Point frame_px) const {
  return board_error.known() ? board_error.Rms(frame_px) : board_error_mm;
}

BoardMaps FitBoardMaps(const std::vector<Landmark>& landmarks, cv::Size photo_size_px) {
  BoardMaps maps;
  if (landmarks.size() == 1 || landmarks.size() == 2) {
    maps.remarks.push_back(
        Remark(RemarkKind::kFewLandmarks).With("count", static_cast<double>(landmarks.size())));
  } else if (landmarks.size() == 3 || landmarks.size() == 4) {
    maps.remarks.push_back(Remark(RemarkKind::kLandmarksUnchecked)
                               .With("count", static_cast<double>(landmarks.size())));
  }
  PointPairs photo, board;
  for (std::size_t i = 0; i < landmarks.size(); ++i) {
    const Landmark& l = landmarks[i];
    photo.push_back({l.frame_px, l.photo_px, i + 1});
    if (l.board_mm) board.push_back({l.frame_px, *l.board_mm, i + 1});
  }
  if (photo.size() >= 3) {
    const Target target{
        "in the photo", RemarkKind::kPhotoLandmarkLeftOut, "distance_px", photo_size_px};
    const auto fit = FitTo(target, photo, maps.remarks);
    maps.photo_from_frame = fit->plane();
    RequireNotMirrored(*maps.photo_from_frame, photo);
    maps.photo_lens = fit->lens();
    maps.photo_error = {fit, CautiousSigma(*fit, photo)};
  }
  if (board.size() >= 3) {
    const Target target{"on the board", RemarkKind::kBoardLandmarkLeftOut, "distance_mm", {}};
    const auto fit = FitTo(target, board, maps.remarks);
    maps.board_from_frame = fit->plane();
    maps.board_error = {fit, CautiousSigma(*fit, board)};
    const int size = fit->num_parameters();
    const int free = 2 * static_cast<int>(board.size()) - size;
    const double sigma = free > 0 ? std::sqrt(SquaredMisfit(*fit, board) / free)
                                  : kAssumedSigmaPx * TargetScale(board);
    // Mean over the landmarks of the variance of a fitted place, both coordinates.
    maps.board_error_mm = sigma * std::sqrt(size / static_cast<double>(board.size()));
  }
  return maps;
}

}  // namespace ohmglow
