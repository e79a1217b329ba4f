// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_fit.h"

#include <algorithm>
#include <cmath>

#include "align/body_evidence.h"
#include "align/small_map.h"

namespace ohmglow {
namespace {

// Prior spread of the parameters, in half widths, as SmallMap() has them: turn, stretch and
// shear are those that a search leaves open, the last ones a slant of some degrees.
constexpr double kSpreads[kMapFreedom] = {0, 0, 0.01, 0.015, 0.006, 0.006, 0.025, 0.025};
constexpr double kShiftMm = 2;
// Votes: sides lie so nearly, are so sure, and are believed down to this distance.
constexpr double kVoteOffMm = 0.05;
constexpr double kVoteMm = 1.0 / 6;
constexpr double kLeastSpreadMm = 0.15;
constexpr int kRounds = 8;
// Of the climb after them.
constexpr double kFirstStepMm = 0.4;
constexpr double kLeastStepMm = 0.1;
constexpr int kSweeps = 4;

double Penalty(const MapVector& p) {
  double sum = 0;
  for (int k = 2; k < kMapFreedom; ++k) sum += 0.5 * (p[k] / kSpreads[k]) * (p[k] / kSpreads[k]);
  return sum;
}

MapNormal Prior(const BodyView& view) {
  MapNormal prior = MapNormal::Zero();
  const double half_width_mm = 0.5 * view.size().width / view.px_per_mm();
  for (int k = 0; k < kMapFreedom; ++k) {
    const double spread = k < 2 ? kShiftMm / half_width_mm : kSpreads[k];
    prior(k, k) = 1 / (spread * spread);
  }
  return prior;
}

// Where each body shows best says where the map should go; chance votes are as many as
// true ones, and lie anywhere. Returns the covariance of what they say.
MapNormal Join(const BodyView& view, double reach_mm, MapVector& moved) {
  const MapVector from = moved;
  const std::vector<BodyView::Vote> votes = view.Votes(SmallMap(from, view.size()), reach_mm);
  const double vote_px = kVoteMm * view.px_per_mm();
  const MapNormal prior = Prior(view);
  MapSolution solved;
  double spread_mm = reach_mm;
  for (int n = 0; n < kRounds; ++n) {
    MapNormal normal = prior;
    MapVector right = MapVector::Zero();
    for (const BodyView::Vote& vote : votes) {
      if (!(vote.evidence > 0)) continue;
      const auto by = ShiftBy(view.size(), vote.at.x, vote.at.y);
      const Eigen::Vector2d shift(vote.shift.x, vote.shift.y);
      const double off = (shift - by * (moved - from)).norm() / (spread_mm * view.px_per_mm());
      const double weight = vote.evidence / (1 + std::pow(off, 4)) / (vote_px * vote_px);
      normal += weight * by.transpose() * by;
      right += weight * by.transpose() * (shift + by * from);
    }
    solved = SolveMap(normal, right);
    moved = solved.parameters;
    spread_mm = std::max(kLeastSpreadMm, spread_mm / 1.5);
  }
  return solved.covariance;
}

// One parameter after the other, uphill: the evidence has steps and no derivative.
double Climb(const BodyView& view, MapVector& best) {
  double most = view.Evidence(SmallMap(best, view.size())) - Penalty(best);
  const double half_width_mm = 0.5 * view.size().width / view.px_per_mm();
  for (double step_mm = kFirstStepMm; step_mm >= kLeastStepMm; step_mm /= 2) {
    bool better = true;
    for (int sweep = 0; sweep < kSweeps && better; ++sweep) {
      better = false;
      for (int k = 0; k < kMapFreedom; ++k) {
        for (const double sign : {-1.0, 1.0}) {
          MapVector tried = best;
          tried[k] += sign * step_mm / half_width_mm;
          const double value = view.Evidence(SmallMap(tried, view.size())) - Penalty(tried);
          if (!(value > most)) continue;
          most = value;
          best = tried;
          better = true;
        }
      }
    }
  }
  return most;
}

double ErrorMm(const BodyView& view, const MapNormal& covariance) {
  double sum = 0;
  const std::vector<Point> places = view.Places();
  for (const Point& at : places) {
    const auto by = ShiftBy(view.size(), at.x, at.y);
    sum += (by * covariance * by.transpose()).trace();
  }
  const double n = std::max<double>(1, static_cast<double>(places.size()));
  return std::sqrt(sum / n) / view.px_per_mm();
}

}  // namespace

FittedBodies FitBodies(const PhotoLevels& picture,
                       const PlaneMap& start,
                       const std::vector<cv::Rect2d>& bodies_mm,
                       double off_mm) {
  BodyView view(picture, start, bodies_mm, kThermalLook);
  FittedBodies out{start, view.Evidence(), off_mm};
  MapVector moved = MapVector::Zero();
  MapNormal covariance;
  view.Allow(kVoteOffMm);
  for (const double share : {1.0, 0.7, 0.5, 0.5}) covariance = Join(view, share * off_mm, moved);
  out.error_mm = ErrorMm(view, covariance);
  view.Allow(2 * kBodyOffMm);
  Climb(view, moved);
  view.Allow(kBodyOffMm);
  const double fitted = Climb(view, moved);
  if (fitted <= out.evidence) return out;
  out.picture_from_board = view.PictureFromBoard(SmallMap(moved, view.size()));
  out.evidence = fitted;
  return out;
}

}  // namespace ohmglow
