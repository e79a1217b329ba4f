// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "off_middle.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::simulate {
namespace {

constexpr double kHotSpotMm = 1;
constexpr double kPinProb = 0.25;
constexpr double kLeastDie = 0.3;
constexpr double kMostDie = 0.7;

cv::Rect2d Around(Point middle, double width_mm, double height_mm) {
  return {middle.x - width_mm / 2, middle.y - height_mm / 2, width_mm, height_mm};
}

// Whole cells, so that the cells' shares have the piece's own middle.
cv::Rect2d EndOfChip(const BoardPart& part, double share, Random& random) {
  const cv::Rect2d& box = part.box_mm;
  const bool along_x = box.width >= box.height;
  const double length_mm = along_x ? box.width : box.height;
  const double piece_mm = kCellMm * std::max(1.0, std::floor(length_mm / 3 / kCellMm + 1e-6));
  const double off_mm = (random.Chance(0.5) ? 0.5 : -0.5) * share * (length_mm - piece_mm);
  const Point middle = part.center_mm();
  return along_x ? Around(middle + Point(off_mm, 0), piece_mm, box.height)
                 : Around(middle + Point(0, off_mm), box.width, piece_mm);
}

// A place on the rim of a square: of the die's, or of the package's.
cv::Rect2d PlaceOnDie(const BoardPart& part, double share, Random& random) {
  const bool pin = random.Chance(kPinProb) && part.kind == PartKind::kCircuit;
  const double die = random.Uniform(kLeastDie, kMostDie);
  const double width_mm = (pin ? 1 : die) * std::min(part.box_mm.width, part.box_mm.height);
  const double off_mm = share * std::max(0.0, (width_mm - kHotSpotMm) / 2);
  const double beside_mm = off_mm * random.Uniform(-1, 1);
  const Point out = random.Chance(0.5) ? Point(off_mm, beside_mm) : Point(beside_mm, off_mm);
  const double sign = random.Chance(0.5) ? 1 : -1;
  return Around(part.center_mm() + sign * out, kHotSpotMm, kHotSpotMm);
}

}  // namespace

cv::Rect2d HotPiece(const BoardPart& part, double share, Random& random) {
  const bool die = part.kind == PartKind::kCircuit || part.kind == PartKind::kTransistor;
  return die ? PlaceOnDie(part, share, random) : EndOfChip(part, share, random);
}

}  // namespace ohmglow::simulate
