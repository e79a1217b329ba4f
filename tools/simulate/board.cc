// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "board.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "random.h"

namespace ohmglow::simulate {
namespace {

constexpr double kRimMm = 1.5;

double Snap(double mm) { return kCellMm * std::round(mm / kCellMm); }

// Bodies as they are common in the trade, on a 0.5 mm grid.
cv::Size2d BodySize(PartKind kind, Random& random) {
  static constexpr std::array<std::array<double, 2>, 4> kChips = {
      {{1.0, 0.5}, {1.5, 1.0}, {2.0, 1.0}, {3.0, 1.5}}};
  static constexpr std::array<double, 5> kCircuits = {3, 4, 5, 7, 10};
  switch (kind) {
    case PartKind::kChip:
    case PartKind::kResistor: {
      const auto& s = kChips[static_cast<std::size_t>(random.Integer(0, 3))];
      return random.Chance(0.3) ? cv::Size2d(s[1], s[0]) : cv::Size2d(s[0], s[1]);
    }
    case PartKind::kCircuit: {
      const double s = kCircuits[static_cast<std::size_t>(random.Integer(0, 4))];
      return {s, s};
    }
    case PartKind::kTransistor:
      return {5, 6};
    case PartKind::kInductor: {
      const double s = random.Integer(8, 14) * kCellMm;
      return {s, s};
    }
    case PartKind::kConnector: {
      const double length = random.Integer(20, 40) * kCellMm;
      return random.Chance(0.5) ? cv::Size2d(length, 5) : cv::Size2d(5, length);
    }
    case PartKind::kCan:
      return {random.Integer(16, 24) * kCellMm, random.Integer(14, 20) * kCellMm};
  }
  return {1, 1};
}

const char* RefLetter(PartKind kind) {
  switch (kind) {
    case PartKind::kChip:
      return "C";
    case PartKind::kResistor:
      return "R";
    case PartKind::kCircuit:
      return "U";
    case PartKind::kTransistor:
      return "Q";
    case PartKind::kInductor:
      return "L";
    case PartKind::kConnector:
      return "J";
    case PartKind::kCan:
      return "SH";
  }
  return "X";
}

class Placer {
 public:
  Placer(Board& board, Random& random) : board_(board), random_(random) {}

  void Place(PartKind kind, bool top) {
    for (int attempt = 0; attempt < 60; ++attempt) {
      const cv::Size2d size = BodySize(kind, random_);
      const cv::Point2d at = Corner(kind, size);
      if (TryPut(kind, {at, size}, top)) return;
    }
  }

  // Two chips side by side, the second `distance_mm` below the first.
  void PlacePair(double distance_mm, bool top) {
    for (int attempt = 0; attempt < 200; ++attempt) {
      const cv::Size2d size(2.0, 1.0);
      const cv::Point2d at(Snap(random_.Uniform(0.25, 0.75) * board_.width_mm),
                           Snap(random_.Uniform(0.25, 0.7) * board_.height_mm));
      const cv::Point2d beside = at + cv::Point2d(0, std::max(1.5, Snap(distance_mm)));
      if (!Free({at, size}, top) || !Free({beside, size}, top)) continue;
      Put(PartKind::kChip, {at, size}, top);
      Put(PartKind::kChip, {beside, size}, top);
      return;
    }
  }

 private:
  // Connectors sit at a rim, all else anywhere.
  cv::Point2d Corner(PartKind kind, cv::Size2d size) {
    const double x = Snap(random_.Uniform(kRimMm, board_.width_mm - kRimMm - size.width));
    const double y = Snap(random_.Uniform(kRimMm, board_.height_mm - kRimMm - size.height));
    if (kind != PartKind::kConnector) return {x, y};
    const bool low = random_.Chance(0.5);
    if (size.width > size.height) {
      return {x, low ? kCellMm : board_.height_mm - size.height - kCellMm};
    }
    return {low ? kCellMm : board_.width_mm - size.width - kCellMm, y};
  }

  [[nodiscard]] bool Free(const cv::Rect2d& box, bool top) const {
    if (box.x < 0 || box.y < 0 || box.br().x > board_.width_mm || box.br().y > board_.height_mm) {
      return false;
    }
    const cv::Rect2d wide(box.x - 0.9, box.y - 0.9, box.width + 1.8, box.height + 1.8);
    const bool parts_clear = std::none_of(board_.parts.begin(), board_.parts.end(), [&](auto& p) {
      return p.top == top && (p.box_mm & wide).area() > 0;
    });
    return parts_clear && std::none_of(board_.holes.begin(), board_.holes.end(), [&](auto& hole) {
             const cv::Point2d half(hole.size_mm / 2, hole.size_mm / 2);
             return (cv::Rect2d(hole.center_mm - half, hole.center_mm + half) & wide).area() > 0;
           });
  }

  bool TryPut(PartKind kind, const cv::Rect2d& box, bool top) {
    if (!Free(box, top)) return false;
    Put(kind, box, top);
    return true;
  }

  void Put(PartKind kind, const cv::Rect2d& box, bool top) {
    const std::string letter = RefLetter(kind);
    board_.parts.push_back({letter + std::to_string(++count_[letter]), kind, box, top});
  }

  Board& board_;
  Random& random_;
  std::map<std::string, int> count_;
};

void PlaceParts(Board& board, const Scenario& s, Random& random) {
  Placer placer(board, random);
  if (s.fault_neighbor_mm > 0) {
    placer.PlacePair(s.fault_neighbor_mm, (s.fault_side == "near") == s.described_top());
  }
  const struct {
    PartKind kind;
    double count;
  } wanted[] = {{PartKind::kConnector, s.connectors},
                {PartKind::kCan, s.cans},
                {PartKind::kCircuit, s.circuits},
                {PartKind::kInductor, s.inductors},
                {PartKind::kTransistor, s.transistors},
                {PartKind::kChip, s.chips},
                {PartKind::kResistor, s.resistors}};
  for (const auto& [kind, count] : wanted) {
    const bool both_sides = kind != PartKind::kConnector && kind != PartKind::kCan;
    for (int k = 0; k < static_cast<int>(count); ++k) {
      placer.Place(kind, !(both_sides && random.Chance(s.bottom_share)));
    }
  }
}

void PlacePads(Board& board, Random& random) {
  for (int k = 0; k < 8; ++k) {
    for (int attempt = 0; attempt < 50; ++attempt) {
      const Point at(Snap(random.Uniform(3, board.width_mm - 3)),
                     Snap(random.Uniform(3, board.height_mm - 3)));
      const bool top = k % 2 == 0;
      const std::array<Point, 5> probes = {at,
                                           at + Point(1.2, 1.2),
                                           at - Point(1.2, 1.2),
                                           at + Point(1.2, -1.2),
                                           at + Point(-1.2, 1.2)};
      if (std::all_of(
              probes.begin(), probes.end(), [&](Point p) { return board.PartAt(p, top) < 0; })) {
        board.pads.push_back({at, 1.5, top});
        break;
      }
    }
  }
}

}  // namespace

const char* KindName(PartKind kind) {
  switch (kind) {
    case PartKind::kChip:
      return "cap";
    case PartKind::kResistor:
      return "res";
    case PartKind::kCircuit:
      return "ic";
    case PartKind::kTransistor:
      return "mosfet";
    case PartKind::kInductor:
      return "inductor";
    case PartKind::kConnector:
      return "connector";
    case PartKind::kCan:
      return "can";
  }
  return "";
}

int Board::PartAt(Point at_mm, bool top) const {
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i].top == top && parts[i].box_mm.contains(at_mm)) return static_cast<int>(i);
  }
  return -1;
}

Board MakeBoard(const Scenario& s) {
  Board board;
  board.width_mm = s.board_width_mm;
  board.height_mm = s.board_height_mm;
  for (const double x : {3.0, s.board_width_mm - 3}) {
    for (const double y : {3.0, s.board_height_mm - 3}) board.holes.push_back({{x, y}, 4.5, true});
  }
  const auto seed = s.board_seed > 0 ? static_cast<std::uint64_t>(s.board_seed) : s.seed;
  Random random(seed, "board");
  PlaceParts(board, s, random);
  PlacePads(board, random);
  LayCopper(board, s);
  return board;
}

}  // namespace ohmglow::simulate
